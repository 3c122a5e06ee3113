"""The week ahead of an athlete: what of the coach's plan may be asked now, what stands before it, what the coach is told.

The plan is the coach's.  What the week speaks against is held back in the letter, so that no page asks for what another
forbids, and the coach is told of it on the call sheet, on the letter's page and beside the letters.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from coachlib.analysis.first_threshold.fit_to_test import TEST_MINUTES, instead_of_test
from coachlib.analysis.plan.planned import PlannedDay
from coachlib.analysis.plan.sums import PlanSums, events_ahead, plan_sums
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.one_thing import more_than_usual, one_thing
from coachlib.measures.common.codes import Code, code
from coachlib.records.athlete import Event
from coachlib.records.health import SESSIONS_BACK

#: Tests by this kind, or of no said kind, are the steady ones that have a sheet.
STEADY_TEST = "drift test"
#: What somebody newly back, or in pain, may be asked for all the same.
_SHORT_AND_EASY, _NOT_HARD = ("easy",), ("easy", "steady", "strength", "other", "strides", "long")
_WATTS = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:w|watts?|watt)\b", re.IGNORECASE)
_KMH = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:km/h|kmh|kph)", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class AheadDay:
    """A planned day; where something speaks against it, why (``held``) and what to do ``instead``.

    ``sheet`` is the steady test's settings as they stand on its sheet, None for anything else.
    """

    day: PlannedDay
    held: tuple[Code, ...] = ()
    instead: tuple[Code, ...] = ()
    sheet: Code | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekAhead:
    """The seven days after a week.

    ``first`` stands before the days; where ``waits`` is set no day is asked for at all.  ``told`` is what the coach should
    settle before the letter goes out, the weightiest first; ``sums`` has what is worth a look besides.
    """

    start_on: date
    days: tuple[AheadDay, ...]
    first: tuple[Code, ...]
    waits: bool
    events: tuple[Event, ...]
    told: tuple[Code, ...]
    sums: PlanSums

    @property
    def has_steady_test(self) -> bool:
        """Whether a steady test is asked for, so that its sheet goes with the letter."""
        return not self.waits and any(d.sheet is not None and not d.held for d in self.days)


def week_ahead(athlete: AthleteWeek) -> WeekAhead:
    """What is planned for the seven days after a week, held against what the week tells.

    Source
    ------
    A physician before everything, rest while ill, gates after it, nothing hard in pain: the order of
    ``analysis.roster.one_thing``.  Whether a test may be asked: ``analysis.first_threshold.fit_to_test``.
    """
    start = athlete.week.stop_on
    days = _held(athlete)
    person = athlete.week.athlete
    return WeekAhead(
        start_on=start,
        days=days,
        first=_first(athlete) if days else (),
        waits=bool(athlete.red_flags),
        events=tuple(e for e in events_ahead(person, start) if e.on < start + timedelta(days=7)),
        told=tuple(_told(athlete, days)),
        sums=plan_sums(
            [d.day for d in days],
            person,
            done=athlete.sessions,
            usual_s=athlete.week.usual_moving_s,
            start_on=start,
        ),
    )


def _first(athlete: AthleteWeek) -> tuple[Code, ...]:
    """What stands before the days."""
    if athlete.red_flags:
        return (code("plan waits for a physician"),)
    if _is_ill(athlete) or _is_injured(athlete):
        return (code("plan waits until well"),)
    if athlete.health == "pain":
        return (code("plan without what hurts"),)
    return (code("gates before each day"),) if athlete.newly_back is not None else ()


def _held(athlete: AthleteWeek) -> tuple[AheadDay, ...]:
    """Every planned day with what speaks against it."""
    trained = [s.on for s in athlete.sessions]
    found = []
    for day in athlete.planned:
        ahead = _one(athlete, day, _missing_on_the_way_back(athlete, day.on, trained))
        if day.trains and not ahead.held:
            trained.append(day.on)
        found.append(ahead)
    return tuple(found)


def _missing_on_the_way_back(athlete: AthleteWeek, on: date, trained: Sequence[date]) -> int:
    """How many short, easy sessions are still to come before a day, after illness or injury; planned ones count."""
    since = athlete.week.athlete.back_since(on)
    if since is None and athlete.newly_back is not None:
        since = athlete.newly_back[0]
    return 0 if since is None else max(0, SESSIONS_BACK - sum(since <= day < on for day in trained))


def _one(athlete: AthleteWeek, day: PlannedDay, n_missing: int) -> AheadDay:
    """One day; ``n_missing`` short, easy sessions come first."""
    sheet = _sheet(athlete) if day.is_test and day.kind in (None, STEADY_TEST) else None
    ahead = AheadDay(day=day, sheet=sheet)
    if not day.trains:
        return ahead
    if athlete.red_flags:
        return replace(ahead, held=(code("held before a physician"),))
    if (_is_ill(athlete, day.on) or _is_injured(athlete, day.on)) and day.meant not in _SHORT_AND_EASY:
        return replace(ahead, held=(code("held until well"),))
    if athlete.health == "pain" and day.meant not in _NOT_HARD:
        return replace(ahead, held=(code("held with pain"),))
    if n_missing and day.meant not in _SHORT_AND_EASY:
        return replace(ahead, held=(code("held newly back", n_missing=n_missing),))
    if day.is_test:
        against = athlete.against_test(day.on)
        is_short = sheet is not None and day.minutes is not None and day.minutes < TEST_MINUTES
        if sheet is None or is_short:
            too_long = [c for c in against if c.name == "no session as long"]
            against = tuple(c for c in against if c not in too_long)
            if too_long and is_short and not against:
                return replace(ahead, sheet=code("short test as on its sheet"))
        return replace(ahead, held=against, instead=instead_of_test(against))
    return ahead


def _sheet(athlete: AthleteWeek) -> Code:
    """The steady test as its sheet asks for it."""
    planned = athlete.next_test
    if planned is None:
        return code("test as on its sheet")
    found = planned.settings
    return code(
        "test at its settings",
        speed_mps=None if found is None else found.speed_mps,
        grade=None if found is None else found.grade,
        power_w=None if found is None else found.power_w,
        hr_bpm=planned.target_bpm,
    )


def _is_ill(athlete: AthleteWeek, on: date | None = None) -> bool:
    blocks = athlete.week.athlete.blocks_on(on or athlete.last_day)
    return athlete.health == "ill" or any(b.kind == "ill" for b in blocks)


def _is_injured(athlete: AthleteWeek, on: date | None = None) -> bool:
    return any(b.kind == "injured" for b in athlete.week.athlete.blocks_on(on or athlete.last_day))


def _told(athlete: AthleteWeek, days: Iterable[AheadDay]) -> list[Code]:
    """What of the plan the week speaks against, for the coach: held days, a test left out, more than was wanted."""
    days = list(days)
    held = [d for d in days if d.held]
    found = []
    for ahead in held[:1]:
        names = ahead.day.words or ahead.day.target or ahead.day.meant
        found.append(
            code(
                "planned against the week",
                on=ahead.day.on,
                words=names,
                why=ahead.held[0].name,
                n_more=len(held) - 1,
            )
        )
    if days and not held and not any(d.day.is_test for d in days):
        unplanned = one_thing(replace(athlete, coming=()))
        if unplanned.is_test:
            found.append(code("test due and not planned", why=unplanned.why.name))
    for ahead in days:
        if not ahead.held and (asked := _other_setting(ahead)) is not None:
            found.append(asked)
    more = more_than_usual(athlete)
    if more is not None and one_thing(replace(athlete, coming=())).what.name == "an ordinary week":
        found.append(code("more planned than an ordinary week", planned_min=more[0], usual_min=more[1]))
    return found


def _other_setting(ahead: AheadDay) -> Code | None:
    """A setting in the plan's words that the test's sheet does not have."""
    if ahead.sheet is None or ahead.sheet.name != "test at its settings":
        return None
    for pattern, key, per in ((_WATTS, "power_w", 1.0), (_KMH, "speed_mps", 3.6)):
        asked, written = ahead.sheet[key], pattern.search(ahead.day.words)
        if (
            written
            and isinstance(asked, float)
            and abs(float(written[1].replace(",", ".")) - per * asked) > 0.05
        ):
            return code("test setting differs", on=ahead.day.on, words=ahead.day.words, **dict(ahead.sheet))
    return None
