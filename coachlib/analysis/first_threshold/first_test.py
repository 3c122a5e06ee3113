"""Which test fits somebody first: the sport, the place and the heart rate that ordinary sessions hint at.

Source
------
This project's own choice.  Ordinary steady sessions are put into the estimate of a series of tests, each as one of unsure
conditions, and the aim is that of every next test; this chooses a heart rate and is no estimate that anybody is told.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from math import hypot
from typing import Literal

from coachlib.analysis.recording.judged import JudgedRecording, SteadyStretch
from coachlib.measures.common.codes import Code, code
from coachlib.measures.first_threshold.drift_series import MaximumFrom
from coachlib.measures.first_threshold.estimate import FirstThreshold, estimate_first_threshold
from coachlib.measures.first_threshold.next_test import target_heart_rate
from coachlib.records.athlete import Athlete
from coachlib.records.sports import sport_family

Place = Literal["treadmill", "ergometer", "rowing machine", "open air"]
#: A machine that somebody trained on so recently is at hand. [days]  Own choice: four weeks.
AT_HAND_DAYS = 28
#: Sessions older than this hint at nothing. [days]  Own choice: twelve weeks, the length of the weeks shown.
HINTS_DAYS = 84
#: The newest sessions that are counted.  Own choice: more say little more, and fitness moves.
MOST_HINTS = 8
#: Sport -> the machine that keeps its effort the same.
_MACHINES: dict[str, Place] = {"running": "treadmill", "walking": "treadmill", "cycling": "ergometer", "rowing": "rowing machine"}  # fmt: skip
#: Sports that are done at one effort for an hour; and those in which no strap tells heart rate while they are done.
#: Common practice, no source.
_STEADY = frozenset({*_MACHINES, "cross_country_skiing", "inline_skating"})
_NOT_IN = frozenset({"swimming"})


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstTest:
    """The first steady test for somebody.

    ``sport`` is "" where nothing tells.  ``target_bpm`` is None where no session hints at a heart rate: then it goes by
    talking.  ``why`` says what the aim rests on.
    """

    sport: str
    place: Place
    target_bpm: float | None
    why: Code


@dataclass(frozen=True, slots=True, kw_only=True)
class _Hint:
    """One steady session: first half, drift brought to an hour, how unsure that is."""

    first_half_bpm: float
    drift_pct: float
    se_pct: float
    weeks: float


def hints_at_something(steady: SteadyStretch) -> bool:
    """Whether a steady stretch was judged to lie on a side of the criterion, or near it."""
    return not steady.is_void and steady.meaning.name in ("below", "near", "above")


def first_test(
    athlete: Athlete, sessions: Sequence[JudgedRecording], *, on: date, criterion_pct: float
) -> FirstTest:
    """Which steady test fits somebody who has done none.

    Parameters
    ----------
    athlete : Athlete
        Sports, the main one first, and the maximum.
    sessions : sequence of JudgedRecording
        Up to that day; older ones than twelve weeks are left aside.
    on : date
        The day from which it is planned.
    criterion_pct : float
        Drift over an hour that marks the threshold. [%]

    Examples
    --------
    >>> found = first_test(Athlete(slug="mira", name="Mira", sports=("rowing",)), (), on=date(2026, 10, 3),
    ...                    criterion_pct=5.0)
    >>> found.sport, found.place, found.target_bpm, found.why.name
    ('rowing', 'open air', None, 'first threshold not known')
    """
    recent = [s for s in sessions if on - timedelta(days=HINTS_DAYS) <= s.on <= on]
    sport = _sport(athlete, recent)
    of_sport = [s for s in recent if sport_family(s.sport) == sport]
    target, why = _aim(athlete, _hints(of_sport, on), on, criterion_pct)
    return FirstTest(sport=sport, place=_place(sport, of_sport, on), target_bpm=target, why=why)


def _sport(athlete: Athlete, sessions: Sequence[JudgedRecording]) -> str:
    """The athlete's first sport that was trained; else what was trained most, else the one the profile names."""
    trained = Counter(sport_family(s.sport) for s in sessions if s.sport)
    own = [sport for named in athlete.sports if (sport := sport_family(named)) not in _NOT_IN]
    known = next((sport for sport in own if trained[sport]), None)
    if known is not None:
        return known
    steady = [sport for sport in trained if sport in _STEADY]
    return max(steady, key=lambda sport: (trained[sport], sport), default=own[0] if own else "")


def _place(sport: str, sessions: Sequence[JudgedRecording], on: date) -> Place:
    """The sport's machine where it was used of late, since it keeps the effort; else the open air."""
    is_at_hand = any(s.is_indoor and s.on >= on - timedelta(days=AT_HAND_DAYS) for s in sessions)
    return _MACHINES.get(sport, "open air") if is_at_hand else "open air"


def _hints(sessions: Sequence[JudgedRecording], on: date) -> tuple[_Hint, ...]:
    """What the newest steady sessions show."""
    found = []
    for s in sorted(sessions, key=lambda s: s.started_at):
        steady = s.steady
        if steady is None or not hints_at_something(steady):
            continue
        told = steady.held or steady.drift
        se_pct = hypot(steady.held.se_pct, steady.held.u_pct) if steady.held else steady.drift.se_pct
        length_s = steady.drift.stop_s - steady.drift.start_s
        hourly = 3600.0 / length_s
        found.append(
            _Hint(
                first_half_bpm=steady.drift.first_half_bpm, drift_pct=hourly * told.drift_pct,
                se_pct=hourly * se_pct, weeks=(s.on - on).days / 7,
            )
        )  # fmt: skip
    return tuple(found[-MOST_HINTS:])


def _aim(
    athlete: Athlete, hints: tuple[_Hint, ...], on: date, criterion_pct: float
) -> tuple[float | None, Code]:
    """The heart rate to aim at and what it rests on; none where no session hints at one."""
    if not hints:
        return None, code("first threshold not known")
    hr_max = None if athlete.medicine_on(on) else athlete.hr_max_bpm
    threshold = _estimate(hints, criterion_pct, hr_max, athlete.hr_max_from if hr_max else None)
    rates = [hint.first_half_bpm for hint in hints]
    target, _ = target_heart_rate(threshold, last_bpm=max(rates), hr_max_bpm=hr_max)
    n = len(hints)
    if threshold.bounded == "below":
        return target, code("sessions hint higher", n=n, above_bpm=max(rates))
    if threshold.bounded == "above":
        return target, code("sessions hint lower", n=n, below_bpm=min(rates))
    return target, code(
        "sessions hint between", n=n, low_bpm=threshold.hr_low_bpm, high_bpm=threshold.hr_high_bpm
    )


@lru_cache(maxsize=64)
def _estimate(
    hints: tuple[_Hint, ...],
    criterion_pct: float,
    hr_max_bpm: float | None,
    hr_max_from: MaximumFrom | None,
) -> FirstThreshold:
    """Where the sessions together put the threshold."""
    return estimate_first_threshold(
        [h.first_half_bpm for h in hints],
        [h.drift_pct for h in hints],
        [h.se_pct for h in hints],
        criterion_pct=criterion_pct,
        hr_max_bpm=hr_max_bpm,
        hr_max_from=hr_max_from,
        conditions_unsure=[True] * len(hints),
        weeks=[h.weeks for h in hints],
    )
