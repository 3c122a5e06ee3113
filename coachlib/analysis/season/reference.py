"""What a trend's weeks are compared with at a week's end: since when, which weeks, at which heart rate.

The first four weeks with enough sessions are the reference, and they stand still.  A comparison begins anew only
with new gear, with a dated change of medicine, after eight weeks without readings, or because the coach says so;
the coach can also move the reference weeks while all readings stay, or take back what was found.

"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from statistics import median
from typing import Literal

from coachlib.analysis.recording.gear import CHANGED, last_change
from coachlib.analysis.season.reading import SessionReading
from coachlib.measures.common.codes import Code, code
from coachlib.measures.season.trend import LEAST_REFERENCE_READINGS, N_REFERENCE_WEEKS
from coachlib.records.athlete import Athlete, Reference
from coachlib.records.sports import RUNNING_SPORTS, WALKING_SPORTS

#: Reasons of a reference that are no new gear; the last is written by the program itself.
MOVED, COMPARE_ON, FIRST_WEEKS = "moved", "compare on", "first weeks"
#: Units of output as the athlete's file names what they measure.
_OUTPUT: dict[str, Literal["speed", "power"]] = {"m/s": "speed", "W": "power"}
#: So many weeks without a reading end a comparison.  Own choice.
LONGEST_GAP_WEEKS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """What one trend's weeks are compared with, as of a day.

    Weeks are counted from the first of ``starts``.  Readings before ``kept_from`` are left out; later weeks are
    compared with ``reference_weeks`` at ``hr_bpm``.  ``because`` says why these are not simply the first weeks:
    "new gear", "medicine changed", "long gap", "reference moved"; ``new_gear`` are the things, ``new_on`` since
    when, ``was_found`` whether recordings or diary told it rather than the coach.  ``withheld`` says why no change
    is told at all.
    """

    kept_from: date
    reference_weeks: tuple[int, ...]
    hr_bpm: float
    because: tuple[Code, ...] = ()
    new_gear: tuple[str, ...] = ()
    new_on: date | None = None
    was_found: bool = False
    is_moved: bool = False
    withheld: Code | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Start:
    """A day from which readings can be compared, and why."""

    on: date
    why: Code | None = None
    new_gear: tuple[str, ...] = ()
    new_on: date | None = None
    was_found: bool = False


def comparison_on(
    readings: Sequence[SessionReading],
    athlete: Athlete,
    starts: Sequence[date],
    *,
    others: Sequence[SessionReading] = (),
) -> Comparison | None:
    """What a trend's weeks are compared with, from what is known by the end of the last week.

    Parameters
    ----------
    readings : sequence of SessionReading
        Of one trend, in order of their days, each with its output.
    athlete : Athlete
        For references and medicines.
    starts : sequence of date
        First days of the weeks; the last one is the week at whose end is looked.
    others : sequence of SessionReading
        Sessions of the same group that cannot be compared themselves: they too tell since when a watch is worn.

    Returns
    -------
    Comparison or None
        None where no reading is left to compare.
    """
    if not readings:
        return None
    like, unit = next((r for r in reversed(readings) if not r.is_test), readings[-1]), readings[-1].unit
    references = [
        r for r in athlete.references if r.start_on < starts[-1] + timedelta(days=7) and _is_for(r, like)
    ]
    start = max(
        (
            _Start(on=readings[0].on),
            *_gear_found(readings, others, references),
            *_gear_named(readings, references, unit),
            *_medicine(athlete, starts[-1] + timedelta(days=6)),
            *_after_gap(readings),
        ),
        key=lambda s: (s.on, not s.was_found),
    )
    kept = [r for r in readings if r.on >= start.on]
    if not kept:
        return None
    sessions = [r for r in kept if not r.is_test] or kept
    weeks, chosen = _reference_weeks(sessions, references, starts)
    moved = _moved(references, week_number(kept[0].on, starts), starts, is_first=start.why is None)
    early = [r for r in sessions if week_number(r.on, starts) in weeks] or sessions
    kept_at = [
        r.hr_bpm for r in (moved[0] if moved else None, chosen) if r is not None and r.hr_bpm is not None
    ]
    return Comparison(
        kept_from=kept[0].on if moved else max(kept[0].on, starts[weeks[0]]),
        reference_weeks=moved[1] if moved else weeks,
        hr_bpm=kept_at[0] if kept_at else float(round(median(r.output.hr_bpm for r in early if r.output))),
        because=tuple(c for c in (start.why, moved[2] if moved else None) if c is not None),
        new_gear=start.new_gear, new_on=moved[0].start_on if moved else start.new_on, was_found=start.was_found,
        is_moved=bool(moved), withheld=_withheld(athlete),
    )  # fmt: skip


def kept_comparison(group: str, unit: str, *, start_on: date, hr_bpm: float) -> Reference:
    """What the athlete's file keeps of a comparison that the program chose, so that it never moves again.

    Examples
    --------
    >>> kept = kept_comparison("rowing indoors", "W", start_on=date(2026, 3, 2), hr_bpm=150)
    >>> kept.sport, kept.where, kept.output
    ('rowing', 'indoors', 'power')
    """
    return Reference(
        start_on=start_on, sport=group.removesuffix(" indoors"), where=_where(group),
        output=_OUTPUT[unit], hr_bpm=hr_bpm, because="first weeks",
    )  # fmt: skip


def _where(group: str) -> Literal["outdoors", "indoors"]:
    return "indoors" if group.endswith(" indoors") else "outdoors"


def _is_for(reference: Reference, reading: SessionReading) -> bool:
    """Whether a reference speaks of such sessions."""
    return (
        reference.sport in (None, reading.sport)
        and reference.where in (None, _where(reading.group))
        and reference.output in (None, _OUTPUT[reading.unit])
    )


def week_number(day: date, starts: Sequence[date]) -> int:
    """Number of the week a day lies in, counted from 0."""
    return (day - starts[0]).days // 7


def _withheld(athlete: Athlete) -> Code | None:
    """Medicine without a date may have begun anywhere in the season."""
    if athlete.heart_rate_medicine and not athlete.medicines:
        return code("medicine without date")
    return None


def _gear_found(
    readings: Sequence[SessionReading], others: Sequence[SessionReading], references: Sequence[Reference]
) -> list[_Start]:
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
    things = tuple(CHANGED[thing] for thing in change.things)
    return [_new_gear(after[0], things, change.on, was_found=True)]


def _gear_named(
    readings: Sequence[SessionReading], references: Sequence[Reference], unit: str
) -> list[_Start]:
    """New gear that the coach names, with readings before and after it."""
    return [
        _new_gear(
            next(r.on for r in readings if r.on >= reference.start_on), (reference.because,), reference.start_on,
            note=reference.note,
        )
        for reference in sorted(references, key=lambda r: r.start_on)
        if _matters(reference, readings[-1].sport, unit) and readings[0].on < reference.start_on <= readings[-1].on
    ]  # fmt: skip


def _new_gear(
    on: date, things: tuple[str, ...], since: date, *, was_found: bool = False, note: str = ""
) -> _Start:
    why = code("new gear", things=things, on=since, note=note)
    return _Start(on=on, why=why, new_gear=things, new_on=since, was_found=was_found)


def _matters(reference: Reference, sport: str, unit: str) -> bool:
    """Whether a reference names new gear that moves these readings."""
    on_foot = sport in RUNNING_SPORTS | WALKING_SPORTS
    matters = {
        "new watch": True,
        "new strap": True,
        "new shoes": on_foot,
        "new foot pod": on_foot,
        "new power meter": unit == "W",
    }
    return matters.get(reference.because, False)


def _medicine(athlete: Athlete, until: date) -> list[_Start]:
    """Days on which a medicine that changes heart rate was begun, changed or stopped."""
    return [
        _Start(on=m.on, why=code("medicine changed", change=m.change, on=m.on), new_on=m.on)
        for m in athlete.medicines
        if m.on <= until
    ]


def _after_gap(readings: Sequence[SessionReading]) -> list[_Start]:
    """The first reading after a long time without any."""
    longest = timedelta(weeks=LONGEST_GAP_WEEKS)
    return [
        _Start(
            on=later.on,
            why=code("long gap", weeks=(later.on - before.on).days // 7, on=later.on),
            new_on=later.on,
        )
        for before, later in pairwise(readings)
        if later.on - before.on > longest
    ]


def _reference_weeks(
    sessions: Sequence[SessionReading], references: Sequence[Reference], starts: Sequence[date]
) -> tuple[tuple[int, ...], Reference | None]:
    """The first four weeks that hold enough sessions, or those kept from an earlier look.

    One session long before the others is no reference.
    """
    weeks = [week_number(r.on, starts) for r in sessions]

    def held(first: int) -> int:
        return sum(first <= week < first + N_REFERENCE_WEEKS for week in weeks)

    for kept in sorted(references, key=lambda r: r.start_on, reverse=True):
        first = week_number(kept.start_on, starts)
        if kept.because == FIRST_WEEKS and first >= weeks[0] and held(first) >= LEAST_REFERENCE_READINGS:
            return tuple(range(first, first + N_REFERENCE_WEEKS)), kept
    first = next((w for w in weeks if held(w) >= LEAST_REFERENCE_READINGS), weeks[0])
    return tuple(range(first, first + N_REFERENCE_WEEKS)), None


def _taken_back(references: Sequence[Reference]) -> Callable[[date], bool]:
    """Whether the coach says that gear which changed on a day makes no difference."""
    spans = [(r.start_on, r.stop_on or r.start_on) for r in references if r.because == COMPARE_ON]
    return lambda day: any(start <= day <= stop for start, stop in spans)


def _moved(
    references: Sequence[Reference], first_week: int, starts: Sequence[date], *, is_first: bool
) -> tuple[Reference, tuple[int, ...], Code] | None:
    """The weeks the coach set last, where they lie within the trend."""
    for reference in sorted(references, key=lambda r: r.start_on, reverse=True):
        if reference.because != MOVED:
            continue
        first = week_number(reference.start_on, starts)
        last = first + N_REFERENCE_WEEKS - 1
        if reference.stop_on is not None:
            last = week_number(reference.stop_on, starts)
        weeks = tuple(w for w in range(first, last + 1) if first_week <= w < len(starts))
        if weeks and (is_first or first >= first_week):
            first_on, last_on = starts[weeks[0]], starts[weeks[-1]] + timedelta(days=6)
            why = code("reference moved", first_on=first_on, last_on=last_on, note=reference.note)
            return reference, weeks, why
    return None
