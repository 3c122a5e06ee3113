"""Which weeks of a trend later ones are compared with, and why they are not the season's first.

The first four weeks with enough readings are the reference.  New gear starts a new one, because readings before and
after cannot be compared; the coach can name such a day, take one back, or move the reference weeks while all
readings stay.

Source
------
This project's own choice.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from coachlib.analysis.recording.gear import last_change
from coachlib.analysis.season.reading import SessionReading
from coachlib.analysis.week.calendar import day_in_words
from coachlib.measures.season.trend import LEAST_REFERENCE_READINGS, N_REFERENCE_WEEKS, first_call_week
from coachlib.records.athlete import Reference
from coachlib.records.sports import RUNNING_SPORTS, WALKING_SPORTS

#: Reasons of a reference that are no new gear.
MOVED, COMPARE_ON = "moved", "compare on"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReferenceInForce:
    """The reference of one trend.

    Weeks are counted from the season's first.  ``first_week`` is the first of the trend, readings before
    ``kept_from`` are left out, and later weeks are compared with ``reference_weeks``.  ``new_gear`` says in a few
    words what changed ("another watch", "new strap"), ``new_gear_on`` since when, ``was_found`` whether recordings
    or diary told it rather than the coach; ``moved_on`` is the day from which the coach has set the weeks; ``note``
    are the coach's own words.
    """

    kept_from: date
    first_week: int
    reference_weeks: tuple[int, ...]
    new_gear: str = ""
    new_gear_on: date | None = None
    was_found: bool = False
    moved_on: date | None = None
    note: str = ""

    @property
    def why(self) -> str:
        """In a few words why the season's first weeks are not compared with; "" where they are."""
        return ", ".join(filter(None, (self.new_gear, "moved by the coach" if self.moved_on else "")))

    @property
    def first_call_week(self) -> int:
        """The first week, counted from the season's first, at whose end a change can be called."""
        return self.first_week + first_call_week([w - self.first_week for w in self.reference_weeks])

    def sentence(self, starts: Sequence[date]) -> str:
        """Why, since when, and until when no change can be told; "" for the season's first weeks."""
        if not self.why:
            return ""
        said = []
        note = f" ({self.note})" if self.note else ""
        if self.new_gear_on is not None:
            said.append(
                f"{self.new_gear} since {day_in_words(self.new_gear_on)}{'' if self.moved_on else note}: "
                "earlier readings cannot be compared with these"
            )
        if self.moved_on is not None:
            first, last = (
                starts[0] + timedelta(weeks=w) for w in (self.reference_weeks[0], self.reference_weeks[-1])
            )
            until = day_in_words(last + timedelta(days=6))
            said.append(f"compared with {day_in_words(first)} to {until}, as set by the coach{note}")
        if self.first_call_week >= len(starts):
            from_on = day_in_words(starts[0] + timedelta(weeks=self.first_call_week))
            said.append(f"no change can be told until the week of {from_on}")
        return "; ".join(said)


def reference_in_force(
    readings: Sequence[SessionReading],
    references: Sequence[Reference],
    starts: Sequence[date],
    *,
    others: Sequence[SessionReading] = (),
) -> ReferenceInForce:
    """The reference of one trend's readings.

    Parameters
    ----------
    readings : sequence of SessionReading
        Of one trend, in order of their days, at least one.
    references : sequence of Reference
        What the coach wrote.
    starts : sequence of date
        First days of the season's weeks.
    others : sequence of SessionReading
        Sessions of the same group that cannot be compared themselves: they too tell since when a watch is worn.
    """
    new = max(
        (*_found(readings, others, references), *_named(readings, references)),
        key=lambda gear: (gear.first_on, not gear.was_found),
        default=_NewGear(first_on=readings[0].on),
    )
    kept = [r for r in readings if r.on >= new.first_on]
    sessions = [r for r in kept if not r.is_test] or kept
    plain = ReferenceInForce(
        kept_from=new.first_on, first_week=week_number(kept[0].on, starts), new_gear=new.what,
        new_gear_on=new.since, was_found=new.was_found, note=new.note,
        reference_weeks=_first_weeks([week_number(r.on, starts) for r in sessions]),
    )  # fmt: skip
    return _moved(plain, references, starts)


@dataclass(frozen=True, slots=True, kw_only=True)
class _NewGear:
    """New gear and the day of the first reading with it."""

    first_on: date
    what: str = ""
    since: date | None = None
    was_found: bool = False
    note: str = ""


def _found(
    readings: Sequence[SessionReading], others: Sequence[SessionReading], references: Sequence[Reference]
) -> list[_NewGear]:
    """New gear that recordings or diary tell.

    Shoes of interval days say nothing about those of easy days, nor what a belt test elsewhere is done with.
    """
    sessions = [r for r in readings if not r.is_test] or readings
    gear = [(r.on, r.gear) for r in sessions]
    gear += [(r.on, tuple(g for g in r.gear if g.is_recorded)) for r in others]
    change = last_change(sorted(gear, key=lambda pair: pair[0]), taken_back=_taken_back(references))
    after = [r.on for r in readings if change is not None and r.on >= change.on]
    if change is None or not after:
        return []
    return [_NewGear(first_on=after[0], what=change.in_words, since=change.on, was_found=True)]


def _named(readings: Sequence[SessionReading], references: Sequence[Reference]) -> list[_NewGear]:
    """New gear that the coach names, with readings before and after it."""
    sport, unit = readings[-1].sport, readings[-1].unit
    return [
        _NewGear(
            first_on=next(r.on for r in readings if r.on >= reference.start_on),
            what=reference.because, since=reference.start_on, note=reference.note,
        )
        for reference in sorted(references, key=lambda r: r.start_on)
        if _is_new_gear(reference, sport, unit) and readings[0].on < reference.start_on <= readings[-1].on
    ]  # fmt: skip


def _first_weeks(weeks: Sequence[int]) -> tuple[int, ...]:
    """The first four weeks that hold enough sessions: one long before the others is no reference."""
    first = next(
        (
            w
            for w in weeks
            if sum(w <= other < w + N_REFERENCE_WEEKS for other in weeks) >= LEAST_REFERENCE_READINGS
        ),
        weeks[0],
    )
    return tuple(range(first, first + N_REFERENCE_WEEKS))


def _taken_back(references: Sequence[Reference]) -> Callable[[date], bool]:
    """Whether the coach says that gear which changed on a day makes no difference."""
    spans = [(r.start_on, r.stop_on or r.start_on) for r in references if r.because == COMPARE_ON]
    return lambda day: any(start <= day <= stop for start, stop in spans)


def week_number(day: date, starts: Sequence[date]) -> int:
    """Number of the week a day lies in, counted from 0."""
    return (day - starts[0]).days // 7


def _is_new_gear(reference: Reference, sport: str, unit: str) -> bool:
    """Whether a reference names new gear that matters to these readings."""
    on_foot = sport in RUNNING_SPORTS | WALKING_SPORTS
    matters = {
        "new watch": True,
        "new strap": True,
        "new shoes": on_foot,
        "new foot pod": on_foot,
        "new power meter": unit == "W",
    }
    return matters.get(reference.because, False)


def _moved(
    plain: ReferenceInForce, references: Sequence[Reference], starts: Sequence[date]
) -> ReferenceInForce:
    """The same with the weeks the coach set last, where they lie within the trend."""
    for reference in sorted(references, key=lambda r: r.start_on, reverse=True):
        if reference.because != MOVED:
            continue
        first = week_number(reference.start_on, starts)
        last = first + N_REFERENCE_WEEKS - 1
        if reference.stop_on is not None:
            last = week_number(reference.stop_on, starts)
        weeks = tuple(w for w in range(first, last + 1) if plain.first_week <= w < len(starts))
        if weeks and (first >= plain.first_week or plain.new_gear_on is None):
            return replace(
                plain, reference_weeks=weeks, moved_on=reference.start_on, note=reference.note or plain.note
            )
    return plain
