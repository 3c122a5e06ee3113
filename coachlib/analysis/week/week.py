"""Seven days of one athlete against the four weeks before."""

from collections.abc import Sequence, Set
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from coachlib.analysis.recording.domains import DomainTime, summed_domains
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.week.calendar import first_day, weeks_before
from coachlib.errors import CoachError
from coachlib.measures.week import distribution, load
from coachlib.measures.week.easy_share import EasyShare, easy_share_of_week, threshold_sd
from coachlib.measures.zones import scales as zones
from coachlib.records.athlete import Athlete, Threshold, Which
from coachlib.records.diary import DiaryRow
from coachlib.records.roster import RosterSettings

#: What "usual" means: the mean of this many weeks before, counting only weeks with training in them.
USUAL_WEEKS = 4
#: How far to each side a threshold without an interval of its own may be off. [1/min]  Own choice, wider
#: than the interval of a series of tests.
UNKNOWN_HALF_WIDTH_BPM = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ThresholdAge:
    """A threshold valid at the end of the week, its age in weeks, and whether that is too old."""

    threshold: Threshold
    weeks: float
    is_stale: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneTime:
    """Minutes in one zone this week and in a usual week (None without earlier weeks)."""

    name: str
    low_bpm: int | None
    high_bpm: int | None
    minutes: float
    usual_minutes: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Distribution:
    """Shares of the week below, between and above the thresholds, and what that pattern is called."""

    below_frac: float
    between_frac: float
    above_frac: float
    kind: str
    polarization_index: float | None
    method: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadWeek:
    """Load by heart rate and by session RPE, with the same for a usual week.

    ``rpe_missing`` counts sessions whose RPE is unknown: they carry no RPE load, so the sum, monotony and
    strain are then left out (None) rather than told too low.
    """

    trimp: float | None
    usual_trimp: float | None
    trimp_missing: int
    rpe_load: float | None
    usual_rpe_load: float | None
    rpe_missing: int
    monotony: float | None
    strain: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Unreadable:
    """A recording that could not be used, or not with its decisions, and why."""

    recording: str
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekResult:
    """One athlete's week.  ``not_told`` lists what could not be said and how to change that."""

    athlete: Athlete
    settings: RosterSettings
    week: str
    start_on: date
    stop_on: date
    sessions: tuple[JudgedRecording, ...]
    unrecorded: tuple[DiaryRow, ...]
    moving_s: float
    usual_moving_s: float | None
    usual_sessions: float | None
    n_usual_weeks: int
    climb_m: float
    domains: DomainTime | None
    zone_scale: str | None
    zone_times: tuple[ZoneTime, ...]
    distribution: Distribution | None
    easy: EasyShare | None
    load: LoadWeek
    thresholds: tuple[ThresholdAge, ...]
    note: str | None
    unreadable: tuple[Unreadable, ...]
    diary_problems: tuple[str, ...]
    not_told: tuple[str, ...]

    @property
    def steady(self) -> tuple[JudgedRecording, ...]:
        """The sessions steady enough for a drift."""
        return tuple(s for s in self.sessions if s.drift is not None)


def analyse_week(
    week: str,
    sessions: Sequence[JudgedRecording],
    athlete: Athlete,
    *,
    settings: RosterSettings,
    diary: Sequence[DiaryRow] = (),
    note: str | None = None,
    unreadable: Sequence[Unreadable] = (),
    diary_problems: Sequence[str] = (),
) -> WeekResult:
    """Sum up one week of one athlete.

    Parameters
    ----------
    week : str
        ISO name, "2026-W47".
    sessions : sequence of JudgedRecording
        Any sessions of the athlete; those of the week and of the four weeks before are used.
    athlete, settings : records
        Who, and how the roster's weeks run.
    diary : sequence of DiaryRow
        Rows of the week that belong to no recording.
    note : str, optional
        The coach's words for this week, Markdown.
    unreadable : sequence of Unreadable
        Recordings of the athlete that could not be used.
    diary_problems : sequence of str
        Rows of the diary that could not be read.

    Source
    ------
    Distribution types and polarization index: ``measures.week.distribution``; load, monotony and strain:
    ``measures.week.load``.  The mean of four weeks as "usual" is this project's own choice.
    """
    start = first_day(week, starts=settings.week_starts)
    stop = start + timedelta(days=7)
    now = tuple(sorted((s for s in sessions if start <= s.on < stop), key=lambda s: s.started_at))
    earlier = _earlier_weeks(week, sessions, settings)
    unrecorded = tuple(row for row in diary if start <= row.on < stop)
    thresholds = _ages(athlete, stop - timedelta(days=1), settings)
    scale, zone_times = _zone_times(athlete, thresholds, now, earlier)
    domains = summed_domains(s.domains for s in now)
    split = _distribution(domains)
    return WeekResult(
        athlete=athlete,
        settings=settings,
        week=week,
        start_on=start,
        stop_on=stop,
        sessions=now,
        unrecorded=unrecorded,
        moving_s=sum(s.moving_s for s in now),
        usual_moving_s=_mean([sum(s.moving_s for s in w) for w in earlier]),
        usual_sessions=_mean([float(len(w)) for w in earlier]),
        n_usual_weeks=len(earlier),
        climb_m=sum(s.climb_m or 0.0 for s in now),
        domains=domains,
        zone_scale=scale,
        zone_times=zone_times,
        distribution=split,
        easy=_easy(now, athlete, stop - timedelta(days=1)),
        load=_load(now, earlier, unrecorded, start),
        thresholds=thresholds,
        note=note,
        unreadable=tuple(unreadable),
        diary_problems=tuple(diary_problems),
        not_told=_not_told(athlete, now, thresholds, zone_times),
    )


def _earlier_weeks(
    week: str, sessions: Sequence[JudgedRecording], settings: RosterSettings
) -> list[list[JudgedRecording]]:
    """The four weeks before, those without any session left out."""
    found = []
    for name in weeks_before(week, USUAL_WEEKS):
        start = first_day(name, starts=settings.week_starts)
        within = [s for s in sessions if start <= s.on < start + timedelta(days=7)]
        if within:
            found.append(within)
    return found


def _mean(values: Sequence[float]) -> float | None:
    return sum(values) / len(values) if values else None


def _ages(athlete: Athlete, day: date, settings: RosterSettings) -> tuple[ThresholdAge, ...]:
    """The thresholds valid on a day, with their age."""
    found = []
    whiches: tuple[Which, ...] = ("first", "second")
    for which in whiches:
        threshold = athlete.threshold_on(which, day)
        if threshold is not None:
            weeks = (day - threshold.on).days / 7
            found.append(
                ThresholdAge(threshold=threshold, weeks=weeks, is_stale=weeks > settings.stale_after_weeks)
            )
    return tuple(found)


def _distribution(domains: DomainTime | None) -> Distribution | None:
    """The pattern's name, where both thresholds are known."""
    if domains is None or domains.above_s is None or domains.total_s <= 0:
        return None
    shares = [x / domains.total_s for x in (domains.below_s, domains.between_s, domains.above_s)]
    index = distribution.polarization_index(*shares)
    return Distribution(
        below_frac=shares[0],
        between_frac=shares[1],
        above_frac=shares[2],
        kind=distribution.distribution_type(*shares),
        polarization_index=index,
        method="time in three domains 1",
    )


def meant_easy(session: JudgedRecording) -> bool:
    """Whether a session was meant as easy: by its plan, else by its kind."""
    plan = (session.planned or "").lower()
    if plan:
        return any(word in plan for word in ("easy", "recovery", "long"))
    return session.kind in ("easy", "long")


def threshold_interval(threshold: Threshold) -> tuple[float, float]:
    """The 90 % interval of a threshold, a wide one where none was written down (beats per minute)."""
    low, high = threshold.hr_low_bpm, threshold.hr_high_bpm
    return (
        threshold.hr_bpm - UNKNOWN_HALF_WIDTH_BPM if low is None else low,
        threshold.hr_bpm + UNKNOWN_HALF_WIDTH_BPM if high is None else high,
    )


def _easy(sessions: Sequence[JudgedRecording], athlete: Athlete, day: date) -> EasyShare | None:
    """How much of the sessions meant as easy lay at or below the first threshold."""
    first = athlete.threshold_on("first", day)
    easy = [s for s in sessions if meant_easy(s) and s.seconds_at_bpm]
    if first is None or not easy:
        return None
    return easy_share_of_week(
        [np.arange(len(s.seconds_at_bpm), dtype=float) for s in easy],
        [np.asarray(s.seconds_at_bpm) for s in easy],
        threshold_bpm=first.hr_bpm,
        threshold_sd_bpm=threshold_sd(*threshold_interval(first)),
    )


def _zone_times(
    athlete: Athlete,
    thresholds: Sequence[ThresholdAge],
    now: Sequence[JudgedRecording],
    earlier: Sequence[Sequence[JudgedRecording]],
) -> tuple[str | None, tuple[ZoneTime, ...]]:
    """Minutes in the athlete's zones; the same zones for both sides, so that like is compared with like."""
    try:
        scale = zones.zone_set(
            athlete.zones,
            first_bpm=_value(thresholds, "first"),
            second_bpm=_value(thresholds, "second"),
            hr_rest_bpm=athlete.hr_rest_bpm,
            hr_max_bpm=athlete.hr_max_bpm,
        )
    except CoachError:
        return None, ()
    minutes = [_zone_minutes(scale, s) for s in now]
    before = [[_zone_minutes(scale, s) for s in week] for week in earlier]
    times = []
    for at, zone in enumerate(scale.zones):
        usual = _mean([sum(m[at] for m in week) for week in before])
        times.append(
            ZoneTime(
                name=zone.name,
                low_bpm=zone.low_bpm,
                high_bpm=zone.high_bpm,
                minutes=sum(m[at] for m in minutes),
                usual_minutes=usual,
            )
        )
    return scale.scale, tuple(times)


def _zone_minutes(scale: zones.ZoneSet, session: JudgedRecording) -> list[float]:
    """Minutes of one session in each zone of a scale."""
    return [s / 60 for s in zones.seconds_in_zones(session.seconds_at_bpm, scale)]


def _value(thresholds: Sequence[ThresholdAge], which: str) -> float | None:
    return next((t.threshold.hr_bpm for t in thresholds if t.threshold.which == which), None)


def _load(
    now: Sequence[JudgedRecording],
    earlier: Sequence[Sequence[JudgedRecording]],
    unrecorded: Sequence[DiaryRow],
    start: date,
) -> LoadWeek:
    """The week's load by heart rate and by RPE."""
    rpe_missing = sum(s.rpe is None for s in now)
    trimps = [s.trimp for s in now]
    daily = [sum(s.rpe_load or 0.0 for s in now if (s.on - start).days == day) for day in range(7)]
    complete = bool(now) and rpe_missing == 0
    spread = load.monotony(daily) if complete else None
    return LoadWeek(
        trimp=sum(t or 0.0 for t in trimps) if any(t is not None for t in trimps) else None,
        usual_trimp=_mean([sum(s.trimp or 0.0 for s in w) for w in earlier if any(s.trimp for s in w)]),
        trimp_missing=sum(t is None for t in trimps),
        rpe_load=sum(daily) if complete else None,
        usual_rpe_load=_mean(
            [sum(s.rpe_load or 0.0 for s in w) for w in earlier if any(s.rpe_load for s in w)]
        ),
        rpe_missing=rpe_missing,
        monotony=spread,
        strain=None if spread is None else sum(daily) * spread,
    )


def _not_told(
    athlete: Athlete,
    now: Sequence[JudgedRecording],
    thresholds: Sequence[ThresholdAge],
    zone_times: Sequence[ZoneTime],
) -> tuple[str, ...]:
    """What this week's letter cannot say, each with the way to change that."""
    if not now:
        return ()
    known = {t.threshold.which for t in thresholds}
    missing = []
    if "first" not in known:
        missing.append(
            "Easy and hard minutes are not told apart, since no first threshold is known yet. "
            "A steady drift test settles it."
        )
    elif "second" not in known:
        missing.append(
            "Minutes above the second threshold are not told, since it is not known yet. "
            "A 30-minute time trial settles it."
        )
    if not zone_times:
        missing.append(_zones_lacking(athlete, known))
    lacking = [
        said
        for said, value in (
            ("highest heart rate", athlete.hr_max_bpm),
            ("resting heart rate", athlete.hr_rest_bpm),
            ("sex", athlete.sex),
        )
        if value is None
    ]
    if lacking:
        missing.append(f"Load by heart rate needs your {_listed(lacking)}; tell your coach.")
    without = sum(s.rpe is None for s in now)
    if without:
        missing.append(
            f"Load by session RPE, monotony and strain need a rating for every session; "
            f"{without} of {len(now)} had none in the diary."
        )
    return tuple(missing)


def _zones_lacking(athlete: Athlete, known: Set[str]) -> str:
    """What the athlete's zone scale still needs."""
    needs = {
        "first threshold": "first" in known,
        "second threshold": "second" in known,
        "resting heart rate": athlete.hr_rest_bpm is not None,
        "highest heart rate": athlete.hr_max_bpm is not None,
    }
    if athlete.zones != "two thresholds":
        needs = {name: given for name, given in needs.items() if "heart rate" in name}
    lacking = [name for name, given in needs.items() if not given] or ["values in rising order"]
    return f"Minutes in zones are not told: your zones still need the {_listed(lacking)}."


def _listed(words: Sequence[str]) -> str:
    *most, last = words
    return f"{', '.join(most)} and {last}" if most else last
