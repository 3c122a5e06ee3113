"""A season looked back on: what each month held, how thresholds moved, which tests, illnesses and events lay in it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.recording.domains import DomainTime, summed_domains
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.season.season import Season
from coachlib.analysis.week.easy import EasyTime, easy_time
from coachlib.measures.common.constants import Z90
from coachlib.measures.season.trend import CALL_AT, WORDS
from coachlib.records.athlete import Athlete
from coachlib.records.decisions import TEST_KINDS
from coachlib.records.diary import DiaryRow
from coachlib.records.thresholds import Threshold

METHOD = "season review 1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Month:
    """What one month held; sessions without a recording count with their minutes.  ``first_on`` is its first day."""

    first_on: date
    n_sessions: int
    moving_s: float
    domains: DomainTime | None
    easy: EasyTime | None
    n_unwell: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ThresholdMove:
    """One threshold of one sport at the season's beginning and at its end.

    ``earlier`` is None where none stood at the beginning.  ``change_bpm`` has its 90 % interval where both have theirs,
    and ``call`` then says how sure it is that it moved, in the words of ``measures.season.trend``.
    """

    which: str
    sport: str | None
    earlier: Threshold | None
    later: Threshold
    change_bpm: float | None = None
    change_low_bpm: float | None = None
    change_high_bpm: float | None = None
    call: str = WORDS[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Dated:
    """Something with a day, or with several: what it was, and its name where it has one."""

    on: date
    until_on: date | None
    kind: str
    name: str = ""


@dataclass(frozen=True, kw_only=True)
class Review:
    """Everything that a season review tells; ``stop_on`` is the day after its last."""

    athlete: Athlete
    season: Season
    start_on: date
    stop_on: date
    n_sessions: int
    moving_s: float
    climb_m: float
    months: tuple[Month, ...]
    moves: tuple[ThresholdMove, ...]
    tests: tuple[SeriesTest, ...]
    trials: tuple[JudgedRecording, ...]
    dated: tuple[Dated, ...]
    method: str = METHOD


def review(
    season: Season,
    sessions: Sequence[JudgedRecording],
    athlete: Athlete,
    *,
    alone: Sequence[DiaryRow] = (),
    tests: Sequence[SeriesTest] = (),
) -> Review:
    """Look back on the weeks of a season.

    Parameters
    ----------
    season : Season
        The weeks, see ``analysis.season.season``.
    sessions : sequence of JudgedRecording
        Any of the athlete's; those of the season are used.
    athlete : Athlete
        For thresholds, blocks, medicine and events.
    alone : sequence of DiaryRow
        Rows without a recording.
    tests : sequence of SeriesTest
        Any; those of the season are used.

    Source
    ------
    This project's own choice.  A change of a threshold is called like any other: change over its spread, the spread
    from both 90 % intervals as if the two were independent.
    """
    start, stop = season.weeks[0].start_on, season.weeks[-1].start_on + timedelta(days=7)
    within = [s for s in sessions if start <= s.on < stop]
    rows = [r for r in alone if start <= r.on < stop and r.was_done]
    return Review(
        athlete=athlete,
        season=season,
        start_on=start,
        stop_on=stop,
        n_sessions=len(within) + len(rows),
        moving_s=sum(s.moving_s for s in within) + sum(r.moving_s for r in rows),
        climb_m=sum(s.climb_m or 0.0 for s in within),
        months=_months(within, rows, athlete),
        moves=_moves(athlete, start, stop),
        tests=tuple(t for t in tests if start <= t.on < stop),
        trials=tuple(s for s in within if s.kind in TEST_KINDS and s.kind != "drift test"),
        dated=_dated(athlete, start, stop),
    )


def _months(
    sessions: Sequence[JudgedRecording], rows: Sequence[DiaryRow], athlete: Athlete
) -> tuple[Month, ...]:
    """Every month with a session, in order."""
    every: list[JudgedRecording | DiaryRow] = [*sessions, *rows]
    firsts = sorted({each.on.replace(day=1) for each in every})
    months = []
    for first in firsts:
        now = [s for s in sessions if s.on.replace(day=1) == first]
        written = [r for r in rows if r.on.replace(day=1) == first]
        unwell = {e.on for e in every if e.on.replace(day=1) == first and e.health in ("ill", "pain")}
        months.append(
            Month(
                first_on=first,
                n_sessions=len(now) + len(written),
                moving_s=sum(s.moving_s for s in now) + sum(r.moving_s for r in written),
                domains=summed_domains(s.domains for s in now),
                easy=easy_time([s for s in now if not athlete.medicine_on(s.on)], athlete),
                n_unwell=len(unwell),
            )
        )
    return tuple(months)


def _moves(athlete: Athlete, start: date, stop: date) -> tuple[ThresholdMove, ...]:
    """Each threshold that stood at the end, against what stood at the beginning."""
    found = []
    last = stop - timedelta(days=1)
    kinds = {(t.which, t.sport) for t in athlete.thresholds if t.on <= last and not t.withdrawn}
    for which, sport in sorted(kinds, key=lambda kind: (kind[0], kind[1] or "")):
        own = sorted(
            (t for t in athlete.thresholds if (t.which, t.sport) == (which, sport) and not t.withdrawn and t.on <= last),
            key=lambda t: t.on,
        )  # fmt: skip
        before = [t for t in own if t.on <= start]
        earlier = before[-1] if before else own[0]
        found.append(_move(which, sport, earlier if earlier is not own[-1] else None, own[-1]))
    return tuple(found)


def _move(which: str, sport: str | None, earlier: Threshold | None, later: Threshold) -> ThresholdMove:
    bare = ThresholdMove(which=which, sport=sport, earlier=earlier, later=later)
    if earlier is None or earlier.bounded or later.bounded:
        return bare
    change = later.hr_bpm - earlier.hr_bpm
    ends = [(t.hr_low_bpm, t.hr_high_bpm) for t in (earlier, later)]
    sds = [None if low is None or high is None else (high - low) / (2 * Z90) for low, high in ends]
    if sds[0] is None or sds[1] is None:
        return ThresholdMove(which=which, sport=sport, earlier=earlier, later=later, change_bpm=change)
    sd = max((sds[0] ** 2 + sds[1] ** 2) ** 0.5, 1e-9)
    return ThresholdMove(
        which=which,
        sport=sport,
        earlier=earlier,
        later=later,
        change_bpm=change,
        change_low_bpm=change - Z90 * sd,
        change_high_bpm=change + Z90 * sd,
        call=WORDS[sum(abs(change) / sd >= limit for limit in CALL_AT)],
    )


def _dated(athlete: Athlete, start: date, stop: date) -> tuple[Dated, ...]:
    """Days apart, changes of medicine and events, in order; the coach's notes on them stay out."""
    found = [
        Dated(on=b.start_on, until_on=b.stop_on, kind=b.kind)
        for b in athlete.blocks
        if b.start_on < stop and (b.stop_on is None or b.stop_on >= start)
    ]
    found += [
        Dated(on=e.on, until_on=None, kind=e.kind, name=e.name)
        for e in athlete.events
        if start <= e.on < stop
    ]
    found += [
        Dated(on=m.on, until_on=None, kind=f"medicine {m.change}")
        for m in athlete.medicines
        if start <= m.on < stop
    ]
    return tuple(sorted(found, key=lambda each: each.on))
