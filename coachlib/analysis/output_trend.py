"""Trends of output at a heart rate, one for each group of comparable sessions, and the threshold watch."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from coachlib.analysis.readings import SessionReading
from coachlib.analysis.weeks import week_of
from coachlib.measures.threshold_watch import ThresholdWatch, watch_threshold
from coachlib.measures.trend import Trend, TrendWeek, weekly_trend
from coachlib.records.athlete import Athlete
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

    ``since`` is the first week of the reference now in force; ``new_reference`` says why it is not the
    season's first.  ``change`` is in the output's unit against the reference weeks.
    """

    group: str
    unit: str
    hr_reference_bpm: float
    slope: float
    slope_is_own: bool
    since: str
    new_reference: str
    n_readings: int
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
    new_references: Sequence[date],
) -> tuple[OutputTrend, ...]:
    """One trend for each group of comparable sessions, the best known first."""
    sure = [r for r in readings if r.output is not None and r.output.se_bpm <= WORST_SE_BPM]
    groups = sorted({r.group for r in sure}, key=lambda g: (-sum(r.group == g for r in sure), g))
    found = [_trend([r for r in sure if r.group == g], starts, settings, new_references) for g in groups]
    return tuple(found)


def _trend(
    readings: Sequence[SessionReading],
    starts: Sequence[date],
    settings: RosterSettings,
    new_references: Sequence[date],
) -> OutputTrend:
    """The trend of one group since its last new reference."""
    since_on, why = _reference_start(readings, new_references)
    used = [r for r in readings if r.on >= since_on]
    pairs = [(r, r.output) for r in used if r.output is not None]
    # what may be compared shares a reference heart rate: the newest one's
    reference = pairs[-1][1].hr_reference_bpm
    pairs = [(r, o) for r, o in pairs if o.hr_reference_bpm == reference]
    slope, is_own = pairs[-1][1].slope, pairs[-1][1].slope_is_own
    number = [week_number(r.on, starts) for r, _ in pairs]
    first = min(number)
    # output, not beats, is what was read: put back with one slope, so that a learnt slope makes no step
    trend = weekly_trend(
        [w - first for w in number], [o.output * slope for _, o in pairs], n_weeks=len(starts) - first
    )
    names = [week_of(start, starts=settings.week_starts) for start in starts[first:]]
    return OutputTrend(
        group=used[-1].group,
        unit=used[-1].unit,
        hr_reference_bpm=reference,
        slope=slope,
        slope_is_own=is_own,
        since=names[0],
        new_reference=why,
        n_readings=len(pairs),
        weeks=tuple(
            OutputWeek(
                week=name, output=w.level_bpm / slope, output_low=w.level_low_bpm / slope,
                output_high=w.level_high_bpm / slope, known=w,
            )
            for name, w in zip(names, trend.weeks, strict=True)
        ),
        trend=trend,
    )  # fmt: skip


def _reference_start(readings: Sequence[SessionReading], new_references: Sequence[date]) -> tuple[date, str]:
    """Day from which readings may be compared, and why it is not the first."""
    since, why = readings[0].on, ""
    known = [r for r in readings if r.device]
    for i in range(1, len(known)):
        before, after = {r.device for r in known[:i]}, {r.device for r in known[i:]}
        if not before & after:
            since, why = known[i].on, "another recording device"
    for day in new_references:
        if since <= day <= readings[-1].on:
            since, why = day, "set by the coach"
    return since, why


def week_number(day: date, starts: Sequence[date]) -> int:
    """Number of the week a day lies in, counted from 0."""
    return (day - starts[0]).days // 7


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
