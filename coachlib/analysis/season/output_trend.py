"""Trends of output at a heart rate, one for each group of comparable sessions, and the threshold watch."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from coachlib.analysis.season.reading import SessionReading
from coachlib.analysis.season.reference import reference_in_force, week_number
from coachlib.analysis.week.calendar import week_of
from coachlib.measures.season.threshold_watch import ThresholdWatch, watch_threshold
from coachlib.measures.season.trend import Trend, TrendWeek, weekly_trend
from coachlib.records.athlete import Athlete, Reference
from coachlib.records.roster import RosterSettings

#: A reading less sure than this is left out of the trend. [1/min]  Own choice.
WORST_SE_BPM = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputWeek:
    """The level of one week in the output's own unit, with a 90 % interval, and the call of its end."""

    week: str
    output: float
    output_low: float
    output_high: float
    known: TrendWeek


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputTrend:
    """Output at the reference heart rate for one group of comparable sessions.

    ``since`` and ``until`` are the first and last week that later ones are compared with.  Where these are not
    the season's first, ``new_reference`` says why in a few words, ``new_reference_on`` since when, and
    ``about_reference`` the same as a sentence, with the week until which no change can be told.
    ``reference_found`` says that recordings or diary told it, not the coach; ``earlier_kept`` is False where readings
    before it are left out.  ``first_call_on`` is the first day of the
    first week at whose end a change can be called, ``n_tests`` the number of controlled tests among the readings.
    """

    group: str
    unit: str
    hr_reference_bpm: float
    slope: float
    slope_is_own: bool
    since: str
    until: str
    new_reference: str
    new_reference_on: date | None
    reference_found: bool
    about_reference: str
    earlier_kept: bool
    first_call_on: date
    n_readings: int
    n_tests: int
    weeks: tuple[OutputWeek, ...]
    trend: Trend

    @property
    def call(self) -> str:
        """*cannot tell*, *possible*, *likely* or *clear*, at the end of the last week."""
        return self.trend.latest.call

    @property
    def direction(self) -> str:
        """Direction of the call at the end of the last week: "up", "down" or empty."""
        return self.trend.latest.direction

    @property
    def change(self) -> float | None:
        """Last week against the reference weeks, in the output's unit."""
        change = self.trend.latest.change_bpm
        return None if change is None else change / self.slope


def trends_of(
    readings: Sequence[SessionReading],
    starts: Sequence[date],
    settings: RosterSettings,
    references: Sequence[Reference],
) -> tuple[OutputTrend, ...]:
    """One trend for each group of comparable sessions, the best known first.

    Controlled tests join the sport's group with the most sessions, wherever they were done.
    """
    sure = [r for r in readings if r.output is not None and r.output.se_bpm <= WORST_SE_BPM]
    groups = Counter((r.group, r.unit) for r in sure if not r.is_test)
    home = {_home_of(r, sure) for r in sure if r.is_test}
    ordered = sorted({*groups, *home}, key=lambda key: (-groups[key], key))
    left = [r for r in readings if r not in sure]
    return tuple(
        _trend(
            [r for r in sure if _key(r, sure) == key],
            [r for r in left if (r.group, r.unit) == key],
            key,
            starts,
            settings,
            references,
        )
        for key in ordered
    )


def _key(reading: SessionReading, among: Sequence[SessionReading]) -> tuple[str, str]:
    """The group and unit whose trend a reading belongs to."""
    return _home_of(reading, among) if reading.is_test else (reading.group, reading.unit)


def _home_of(test: SessionReading, among: Sequence[SessionReading]) -> tuple[str, str]:
    """The group of the test's sport and unit with the most sessions; its own where there is none."""
    sessions = [r for r in among if not r.is_test and (r.sport, r.unit) == (test.sport, test.unit)]
    groups = Counter(r.group for r in sessions)
    return max(groups, key=lambda g: (groups[g], g), default=test.group), test.unit


def _trend(
    readings: Sequence[SessionReading],
    others: Sequence[SessionReading],
    key: tuple[str, str],
    starts: Sequence[date],
    settings: RosterSettings,
    references: Sequence[Reference],
) -> OutputTrend:
    """The trend of one group since its last new gear."""
    group, unit = key
    reference = reference_in_force(readings, references, starts, others=others)
    pairs = [(r, r.output) for r in readings if r.output is not None and r.on >= reference.kept_from]
    latest = pairs[-1][1]
    # what may be compared shares a reference heart rate: the newest one's
    pairs = [(r, o) for r, o in pairs if o.hr_reference_bpm == latest.hr_reference_bpm]
    slope, first = latest.slope, reference.first_week
    # output, not beats, is what was read: put back with one slope, so that a learnt slope makes no step
    trend = weekly_trend(
        [week_number(r.on, starts) - first for r, _ in pairs],
        [o.output * slope for _, o in pairs],
        test_sd_bpm=[o.se_bpm if r.is_test else None for r, o in pairs],
        elsewhere=[r.group != group for r, _ in pairs],
        n_weeks=len(starts) - first,
        reference_weeks=[w - first for w in reference.reference_weeks],
    )
    names = [week_of(start, starts=settings.week_starts) for start in starts]
    compared = [w for w in reference.reference_weeks if w < len(names)]
    return OutputTrend(
        group=group,
        unit=unit,
        hr_reference_bpm=latest.hr_reference_bpm,
        slope=slope,
        slope_is_own=latest.slope_is_own,
        since=names[compared[0]],
        until=names[compared[-1]],
        new_reference=reference.why,
        new_reference_on=reference.moved_on or reference.new_gear_on,
        reference_found=reference.was_found,
        about_reference=reference.sentence(starts),
        earlier_kept=reference.new_gear_on is None,
        first_call_on=starts[0] + timedelta(weeks=reference.first_call_week),
        n_readings=len(pairs),
        n_tests=trend.n_tests,
        weeks=tuple(
            OutputWeek(
                week=name, output=w.level_bpm / slope, output_low=w.level_low_bpm / slope,
                output_high=w.level_high_bpm / slope, known=w,
            )
            for name, w in zip(names[first:], trend.weeks, strict=True)
        ),
        trend=trend,
    )  # fmt: skip


def watch_of(
    readings: Sequence[SessionReading],
    trends: Sequence[OutputTrend],
    starts: Sequence[date],
    athlete: Athlete,
    settings: RosterSettings,
) -> tuple[ThresholdWatch | None, str]:
    """What the sport with the most readings says about the threshold since it was accepted."""
    with_drift = [r for r in readings if r.drift is not None]
    if not with_drift:
        return None, ""
    sports = [r.sport for r in with_drift]
    main = trends[0].group.removesuffix(" indoors") if trends else max(sports, key=sports.count)
    first = athlete.threshold_on("first", starts[-1] + timedelta(days=6))
    begin = 0 if first is None else max(0, week_number(first.on, starts))
    pairs = [
        (r, r.drift) for r in with_drift if r.sport == main and week_number(r.on, starts) >= begin and r.drift
    ]
    watch = watch_threshold(
        [week_number(r.on, starts) - begin for r, _ in pairs],
        [d.first_half_bpm for _, d in pairs],
        [d.drift_pct for _, d in pairs],
        [d.se_pct for _, d in pairs],
        n_weeks=len(starts) - begin,
        accepted_bpm=first.hr_bpm if first else None,
        hr_max_bpm=athlete.hr_max_bpm,
        temperature_c=[d.temperature_c for _, d in pairs],
        criterion_pct=settings.criterion_pct,
    )
    return watch, week_of(starts[begin], starts=settings.week_starts)
