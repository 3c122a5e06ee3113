"""Whether a steady test may be asked of somebody now, and what to do instead where it may not.

Source
------
A session as long as the test within 30 days, three sessions after illness, no test under age: common practice, no
source.  Illness, pregnancy, complaints: the consensus lists PAR-Q+ and Riebe et al. (2015), Med Sci Sports Exerc
47:2473-2479.  Beta-blockers lower heart rate by some 36 beats: Mitchell et al. (2025), doi
10.1007/s00421-025-05818-x.
"""

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Protocol

from coachlib.measures.common.codes import Code, code
from coachlib.records.athlete import OF_AGE, Athlete
from coachlib.records.decisions import UNSTEADY_KINDS

#: The test at its own settings: settling and the hour. [min]
TEST_MINUTES = 75.0
#: How far back a long session counts. [days]  Common practice, no source.
LOOK_BACK_DAYS = 30
#: So many sessions after illness or injury come first.  Common practice, no source.
SESSIONS_BACK = 3
#: So long after a medicine that changes heart rate was begun, changed or stopped no test tells anything.  Own choice.
MEDICINE_SETTLES = timedelta(weeks=4)
#: Of these no setting of the roster relieves anybody.
_BLOCKS = {
    "ill": "no test while ill", "injured": "no test while injured", "pregnant": "no test in pregnancy", "travel": "no test while away", "altitude": "no test while away",
}  # fmt: skip
#: What a physician is asked about first, and what leaves talking as the only test.
_TALK_INSTEAD = {
    "no test in pregnancy",
    "no test under medicine",
    "no test after medicine",
    "no test under age",
}
_ASK_FIRST = _TALK_INSTEAD - {"no test under age"} | {"no test in pain"}


class Trained(Protocol):
    """What is read of a session."""

    @property
    def on(self) -> date:
        """Local day."""
        ...

    @property
    def moving_s(self) -> float | None:
        """Time in motion [s]."""
        ...

    @property
    def kind(self) -> str | None:
        """What kind of session it was."""
        ...


def fit_to_test(
    athlete: Athlete,
    *,
    on: date,
    sessions: Iterable[Trained],
    health: str | None = None,
    passed_sessions: int | None = None,
    back_since: date | None = None,
    test_minutes: float = TEST_MINUTES,
) -> tuple[Code, ...]:
    """What speaks against asking for a steady test now; none where it fits.

    Parameters
    ----------
    athlete : Athlete
        Blocks, medicine and year of birth.
    on : date
        Today.
    sessions : iterable of sessions
        With ``on``, ``moving_s`` and ``kind``; at least the last 30 days.
    health : str, optional
        What the last diary row says: "ok", "tired", "ill" or "pain".
    passed_sessions : int, optional
        Sessions since the last illness or injury that passed the gates; those trained since are counted where nobody
        tells.
    back_since : date, optional
        First day after an illness that the profile has no block for, as the diary tells it.
    test_minutes : float
        Length of the test at its own settings. [min]

    Returns
    -------
    tuple of Code
        The weightiest first.

    Examples
    --------
    >>> [c.name for c in fit_to_test(Athlete(slug="mira", name="Mira"), on=date(2026, 10, 3), sessions=())]
    ['no session as long']
    """
    trained = list(sessions)
    found = [code(name) for name in _of_the_day(athlete, on, health)]
    if (
        not found
        and (back := _newly_back(athlete.back_since(on) or back_since, on, trained, passed_sessions))
        is not None
    ):
        found.append(back)
    if athlete.medicine_on(on):
        found.append(code("no test under medicine"))
    elif changed := athlete.medicine_changes_between(on - MEDICINE_SETTLES, on):
        found.append(code("no test after medicine", on=changed[-1].on, change=changed[-1].change))
    if athlete.is_under_age(on):
        found.append(code("no test under age", of_age=OF_AGE))
    longest = longest_steady_minutes(trained, on=on)
    if longest is None or longest < test_minutes:
        found.append(
            code("no session as long", longest_min=longest, test_min=test_minutes, days=LOOK_BACK_DAYS)
        )
    return tuple(found)


def longest_steady_minutes(sessions: Iterable[Trained], *, on: date) -> float | None:
    """The longest session that was not of an unsteady kind in the last 30 days [min]; None without any."""
    since = on - timedelta(days=LOOK_BACK_DAYS)
    lengths = [
        s.moving_s / 60.0
        for s in sessions
        if since <= s.on <= on and s.moving_s and (s.kind or "") not in UNSTEADY_KINDS
    ]
    return max(lengths, default=None)


def _of_the_day(athlete: Athlete, on: date, health: str | None) -> list[str]:
    """Names of what keeps from testing today, blocks first."""
    names = [_BLOCKS[b.kind] for b in athlete.blocks_on(on) if b.kind in _BLOCKS]
    if health == "ill" and "no test while ill" not in names:
        names.append("no test while ill")
    if health == "pain":
        names.append("no test in pain")
    return list(dict.fromkeys(names))


def _newly_back(since: date | None, on: date, sessions: list[Trained], passed: int | None) -> Code | None:
    """Whether the last illness or injury is over and too few sessions have passed since."""
    if since is None:
        return None
    n = sum(since <= s.on <= on for s in sessions) if passed is None else passed
    return (
        None
        if n >= SESSIONS_BACK
        else code("no test newly back", since_on=since, sessions=n, needed=SESSIONS_BACK)
    )


def instead_of_test(reasons: Iterable[Code]) -> tuple[Code, ...]:
    """What to do instead of the test, in the order of weight; none where nothing speaks against it.

    Examples
    --------
    >>> [c.name for c in instead_of_test([code("no test while ill")])]
    ['rest, then the gates']
    """
    names = [r.name for r in reasons]
    if not names:
        return ()
    if "no test before a physician" in names:
        return (code("ask a physician first"),)
    if "no test while ill" in names or "no test while injured" in names:
        return (code("rest, then the gates"),)
    found = []
    if _ASK_FIRST & set(names):
        found.append(code("ask a physician first"))
    if "no test newly back" in names:
        found.append(code("three easy sessions first", needed=SESSIONS_BACK))
    if _TALK_INSTEAD & set(names):
        found.append(code("talk test instead"))
    elif "no session as long" in names and "no test newly back" not in names:
        found.append(code("shorter test instead"))
    if "no test while away" in names:
        found.append(code("test when back"))
    return tuple(found)
