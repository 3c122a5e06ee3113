"""The next test of an athlete within three weeks: which, why, from which day on, and what it would gain in certainty."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from coachlib.analysis.plan.sums import FREE_BEFORE_DAYS, TEST_BEFORE_EVENT_DAYS
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.week.week import ThresholdAge
from coachlib.measures.common.codes import Code, code
from coachlib.records.athlete import Event
from coachlib.records.thresholds import Which

#: How far ahead tests are looked for. [days]
AHEAD_DAYS = 21
#: Days after an event in which no test is asked for.  Own choice.
FREE_AFTER_DAYS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class DueTest:
    """A test that is due: of which threshold, ``why``, the first day for it, its ``gain`` in certainty (None unknown).

    ``waits`` is what keeps from asking for it at all now; ``planned_on`` the day that the coach gave it.
    """

    which: Which
    why: Code
    earliest_on: date
    gain: Code | None
    waits: Code | None
    planned_on: date | None


def next_due_test(athlete: AthleteWeek) -> DueTest | None:
    """The next test of an athlete; None where none is due within three weeks, or heart rate tells nothing.

    Source
    ------
    Why a test is due: as ``analysis.roster.one_thing``.  Rest days before it: ``measures.first_threshold.next_test``.  The
    distance from events: this project's own choice, ``analysis.plan.sums``.
    """
    week = athlete.week
    if week.by_effort is not None:
        return None
    start = week.stop_on
    whiches: tuple[Which, ...] = ("first", "second")
    for which in whiches:
        found = next((t for t in week.thresholds if t.threshold.which == which), None)
        due = _due(athlete, which, found, start)
        if due is None:
            continue
        why, from_on = due
        is_first = which == "first"
        rest = athlete.next_not_before if is_first and athlete.next_not_before else start
        earliest = clear_of_events(max(start, from_on, rest), week.athlete.events, all_out=not is_first)
        against = [c for c in athlete.against_test(earliest) if c.name != "no session as long"]
        planned = next(
            (d.on for d in athlete.planned if d.is_test and (d.kind in (None, "drift test")) is is_first),
            None,
        )
        return DueTest(
            which=which,
            why=why,
            earliest_on=earliest,
            gain=_gain(athlete) if is_first else None,
            waits=against[0] if against else None,
            planned_on=planned,
        )
    return None


def _due(
    athlete: AthleteWeek, which: Which, found: ThresholdAge | None, start: date
) -> tuple[Code, date] | None:
    """Why a test of a threshold is due within three weeks, and from which day on."""
    if found is None:
        # one thing after the other: the second is looked for once the first is known
        return code("test for what is not known"), start
    if found.threshold.bounded:
        return code("test for a bound"), start
    if found.unchecked is not None:
        return code("test of what was not checked", **dict(found.unchecked)), start
    watch = athlete.season.watch if athlete.season is not None else None
    if which == "first" and watch is not None and watch.latest.disagrees:
        return code("test for what sessions say", seems=watch.latest.disagrees), start
    old_on = found.threshold.on + timedelta(weeks=athlete.week.settings.stale_after_weeks)
    if old_on < start + timedelta(days=AHEAD_DAYS):
        return code("test for its age", weeks=found.weeks, old_on=old_on), old_on
    return None


def _gain(athlete: AthleteWeek) -> Code | None:
    planned = athlete.next_test
    if planned is None:
        return None
    if planned.enough:
        return code("test adds little", now_bpm=planned.width_now_bpm)
    return code("test narrows", now_bpm=planned.width_now_bpm, after_bpm=planned.width_after_bpm)


def clear_of_events(day: date, events: Sequence[Event], *, all_out: bool) -> date:
    """The first day from a day on that keeps its distance from every event.

    Parameters
    ----------
    day : date
        The first day that would do.
    events : sequence of Event
        The athlete's.
    all_out : bool
        Whether the test is an all-out one, which takes longer to get over.

    Examples
    --------
    >>> race = Event(on="2026-11-29", name="Hill race")
    >>> clear_of_events(date(2026, 11, 24), [race], all_out=True)
    datetime.date(2026, 12, 3)
    >>> clear_of_events(date(2026, 11, 24), [race], all_out=False)
    datetime.date(2026, 11, 24)
    """
    before = TEST_BEFORE_EVENT_DAYS - 1 if all_out else FREE_BEFORE_DAYS
    for event in sorted(events, key=lambda e: e.on):
        if -FREE_AFTER_DAYS <= (event.on - day).days <= before:
            day = event.on + timedelta(days=FREE_AFTER_DAYS + 1)
    return day
