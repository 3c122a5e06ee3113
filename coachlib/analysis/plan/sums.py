"""What the days of a plan add up to, and what about them is worth a coach's look."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import Protocol

from coachlib.analysis.plan.planned import PlannedDay
from coachlib.measures.common.codes import Code, code
from coachlib.measures.plan.archetypes import archetype
from coachlib.measures.plan.longest_run import LOOK_BACK_DAYS, N_RUNNERS, against_longest
from coachlib.measures.plan.taper import LONGEST_DAYS, taper_minutes
from coachlib.records.athlete import Athlete, Event
from coachlib.records.sports import sport_family

#: Nothing hard so shortly before a test or an event. [days]  Common practice, no source: 24 to 48 hours.
FREE_BEFORE_DAYS = 2
#: The last all-out test before an event keeps this distance. [days]  Own choice: a week to get over it.
TEST_BEFORE_EVENT_DAYS = 7
#: What minutes are for, in the order of effort.
PARTS = ("below first", "around first", "near second", "above second", "not said")


class Trained(Protocol):
    """What is read of a session that was done."""

    @property
    def on(self) -> date:
        """Its day."""

    @property
    def sport(self) -> str:
        """What was done."""

    @property
    def moving_s(self) -> float:
        """Time in motion. [s]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanSums:
    """Minutes of a planned week, those of a usual one (None where there is none), and by what they are for.

    ``n_unknown`` training days have no minutes.  ``notes`` are for the coach: nothing in them forbids anything.
    """

    minutes: float
    n_unknown: int
    usual_minutes: float | None
    by_part: tuple[tuple[str, float], ...]
    notes: tuple[Code, ...]


def plan_sums(
    days: Sequence[PlannedDay],
    athlete: Athlete,
    *,
    done: Sequence[Trained],
    usual_s: float | None,
    start_on: date,
) -> PlanSums:
    """Sum up planned days.

    Parameters
    ----------
    days : sequence of PlannedDay
        One week's, in order.
    athlete : Athlete
        For blocks and events.
    done : sequence of sessions
        At least those of the last 30 days.
    usual_s : float or None
        Time of a usual week. [s]
    start_on : date
        The week's first day.

    Source
    ------
    ``measures.plan.longest_run``, ``measures.plan.taper``; hard days next to each other: common practice, no source.
    """
    training = [d for d in days if d.trains]
    parts = dict.fromkeys(PARTS, 0.0)
    for day in training:
        parts[archetype(day.meant).domain or "not said"] += day.minutes or 0.0
    minutes = sum(parts.values())
    usual = None if usual_s is None else usual_s / 60
    return PlanSums(
        minutes=minutes,
        n_unknown=sum(d.minutes is None for d in training),
        usual_minutes=usual,
        by_part=tuple((name, m) for name, m in parts.items() if m),
        notes=(
            *_blocks(training, athlete),
            *_hard_days(training),
            *_long_runs(training, done),
            *_events(training, athlete, usual, start_on),
        ),
    )


def _blocks(days: Sequence[PlannedDay], athlete: Athlete) -> list[Code]:
    """Training on days set apart."""
    found = {d.on: block.kind for d in days if (block := athlete.block_on(d.on)) is not None}
    return [code("planned inside a block", on=on, kind=kind) for on, kind in list(found.items())[:1]]


def _hard_days(days: Sequence[PlannedDay]) -> list[Code]:
    """Hard days next to each other, and hard ones too shortly before a test."""
    hard = sorted({d.on for d in days if d.is_hard})
    tests = {d.on for d in days if d.is_test}
    found = []
    for first, second in pairwise(hard):
        apart = (second - first).days
        if second in tests and apart <= FREE_BEFORE_DAYS:
            found.append(code("hard shortly before a test", on=first, test_on=second))
        elif apart == 1:
            found.append(code("hard days next to each other", on=first, next_on=second))
    return found


def _long_runs(days: Sequence[PlannedDay], done: Sequence[Trained]) -> list[Code]:
    """Runs far beyond the longest of the thirty days before."""
    runs = [(s.on, s.moving_s / 60) for s in done if sport_family(s.sport) == "running"]
    found = []
    for day in days:
        if (
            day.minutes is None
            or day.sport is None
            or sport_family(day.sport) != "running"
            or day.meant == "strength"
        ):
            continue
        since = day.on - timedelta(days=LOOK_BACK_DAYS)
        compared = against_longest(day.minutes, [m for on, m in runs if since <= on < day.on])
        if compared is not None and compared.hazard is not None:
            found.append(
                code(
                    "run beyond the longest", on=day.on, planned_min=day.minutes, longest_min=compared.longest,
                    beyond_pct=100 * compared.beyond_frac, hazard=compared.hazard, n=N_RUNNERS,
                )
            )  # fmt: skip
        runs.append((day.on, day.minutes))
    return found


def _events(days: Sequence[PlannedDay], athlete: Athlete, usual: float | None, start_on: date) -> list[Code]:
    """What is ahead within three weeks: hard days too close to it, and what is known of tapering."""
    found = []
    for event in events_ahead(athlete, start_on):
        close = [d for d in days if is_too_close(d, event)]
        if close:
            last = close[-1]
            found.append(
                code(
                    "hard shortly before an event", on=last.on, event=event.name, event_on=event.on,
                    is_test=last.is_test, days=(event.on - last.on).days,
                )
            )  # fmt: skip
        if event.kind == "race":
            low, high = (None, None) if usual is None else taper_minutes(usual)
            found.append(
                code(
                    "race within three weeks", event=event.name, event_on=event.on,
                    days=(event.on - start_on).days, low_min=low, high_min=high,
                )
            )  # fmt: skip
    return found


def events_ahead(athlete: Athlete, start_on: date) -> list[Event]:
    """The events of the coming three weeks, in order."""
    stop = start_on + timedelta(days=LONGEST_DAYS)
    return sorted((e for e in athlete.events if start_on <= e.on <= stop), key=lambda e: e.on)


def is_too_close(day: PlannedDay, event: Event) -> bool:
    """Whether a hard day, or an all-out test, lies too shortly before an event; the event's own day is the event."""
    apart = (event.on - day.on).days
    all_out = day.is_test and day.kind not in (None, "drift test")
    return day.is_hard and 0 < apart <= (TEST_BEFORE_EVENT_DAYS - 1 if all_out else FREE_BEFORE_DAYS)
