"""Seven days of one athlete against a usual week."""

from collections.abc import Sequence, Set
from dataclasses import dataclass
from datetime import date, timedelta

from coachlib.analysis.recording.domains import DomainTime, summed_domains
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.week.calendar import first_day
from coachlib.analysis.week.easy import EasyTime, easy_time
from coachlib.analysis.week.usual import usual, weeks_that_count
from coachlib.analysis.zones.holding import by_effort, unchecked_since
from coachlib.errors import CoachError
from coachlib.measures.common.codes import Code, code
from coachlib.measures.week import distribution, load
from coachlib.measures.zones import scales
from coachlib.records.athlete import Athlete
from coachlib.records.diary import DiaryRow
from coachlib.records.roster import RosterSettings
from coachlib.records.thresholds import Threshold, Which


@dataclass(frozen=True, slots=True, kw_only=True)
class ThresholdAge:
    """A threshold accepted for the end of the week, its age in weeks, and whether that is too old.

    It may be a bound: ``threshold.bounded`` says so.  ``unchecked`` is what happened since it was accepted: it was not
    checked since.
    """

    threshold: Threshold
    weeks: float
    is_stale: bool
    unchecked: Code | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneTime:
    """Minutes in one zone this week and in a usual week (None where nothing is usual)."""

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
    """One athlete's week.

    ``unrecorded`` are rows of the diary without a recording; those with ``done_min`` count towards ``moving_s`` and the load
    by rating.  ``as_of`` is the day on which this was asked, None where the week is over: rows from then on are ahead.
    ``usual_below_frac`` is the share below the first threshold of a usual week; ``thresholds`` those of every sport
    that the week's sessions were judged by; ``by_effort`` why limits by heart rate do not hold at its end, None where
    they do; ``not_told`` what could not be said and how to change that.
    """

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
    usual_below_frac: float | None
    zone_scale: str | None
    zone_times: tuple[ZoneTime, ...]
    distribution: Distribution | None
    easy: EasyTime | None
    load: LoadWeek
    thresholds: tuple[ThresholdAge, ...]
    by_effort: Code | None
    note: str | None
    unreadable: tuple[Unreadable, ...]
    diary_problems: tuple[str, ...]
    not_told: tuple[Code, ...]
    as_of: date | None = None

    @property
    def done_unrecorded(self) -> tuple[DiaryRow, ...]:
        """What was done without a recording, by the diary."""
        return tuple(row for row in self.unrecorded if row.was_done)

    @property
    def n_sessions(self) -> int:
        """Everything that was done."""
        return len(self.sessions) + len(self.done_unrecorded)

    def is_ahead(self, row: DiaryRow) -> bool:
        """Whether a row without a recording still lies ahead."""
        return self.as_of is not None and row.on >= self.as_of and not row.was_done

    @property
    def steady(self) -> tuple[JudgedRecording, ...]:
        """The sessions with a judged steady stretch."""
        return tuple(s for s in self.sessions if s.steady is not None)

    def accepted(self, which: Which, sport: str | None = None) -> Threshold | None:
        """The threshold or bound accepted for the week, of a sport where there is one of its own."""
        of_kind = [t.threshold for t in self.thresholds if t.threshold.which == which]
        own = [t for t in of_kind if sport is not None and t.sport == sport]
        return next(iter(own or of_kind), None)


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
    as_of: date | None = None,
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
    as_of : date, optional
        The day on which this is asked, where the week is not over.

    Source
    ------
    Distribution types and polarization index: ``measures.week.distribution``; load, monotony and strain:
    ``measures.week.load``.  What is usual: ``analysis.week.usual``.
    """
    start = first_day(week, starts=settings.week_starts)
    stop = start + timedelta(days=7)
    last = stop - timedelta(days=1)
    now = tuple(sorted((s for s in sessions if start <= s.on < stop), key=lambda s: s.started_at))
    earlier = weeks_that_count(start, sessions, is_apart=lambda day: athlete.block_on(day) is not None)
    unrecorded = tuple(row for row in diary if start <= row.on < stop)
    unrecorded_now = [row for row in unrecorded if row.was_done]
    counted: tuple[JudgedRecording | DiaryRow, ...] = (*sessions, *(row for row in diary if row.was_done))
    usual_weeks = weeks_that_count(start, counted, is_apart=lambda day: athlete.block_on(day) is not None)
    thresholds = _ages(athlete, now, last, settings)
    scale, zone_times = _zone_times(athlete, now, earlier, last)
    domains = summed_domains(s.domains for s in now)
    talk_and_effort = by_effort(athlete, last)
    return WeekResult(
        athlete=athlete,
        settings=settings,
        week=week,
        start_on=start,
        stop_on=stop,
        sessions=now,
        unrecorded=unrecorded,
        moving_s=sum(s.moving_s for s in now) + sum(row.moving_s for row in unrecorded_now),
        usual_moving_s=usual([sum(s.moving_s for s in w) for w in usual_weeks]),
        usual_sessions=usual([float(len(w)) for w in usual_weeks]),
        n_usual_weeks=len(usual_weeks),
        climb_m=sum(s.climb_m or 0.0 for s in now),
        domains=domains,
        usual_below_frac=usual([_below_frac(w) for w in earlier]),
        zone_scale=scale,
        zone_times=zone_times,
        distribution=_distribution(domains),
        easy=None if talk_and_effort else easy_time(now, athlete),
        load=_load(now, earlier, start, done=unrecorded_now, usual_weeks=usual_weeks),
        thresholds=thresholds,
        by_effort=talk_and_effort,
        note=note,
        unreadable=tuple(unreadable),
        diary_problems=tuple(diary_problems),
        not_told=_not_told(athlete, now, unrecorded_now, thresholds, zone_times, by_effort=talk_and_effort),
        as_of=as_of,
    )


def _below_frac(sessions: Sequence[JudgedRecording]) -> float | None:
    """Share of some sessions' judged time at or below the first threshold of each day."""
    domains = summed_domains(s.domains for s in sessions)
    return None if domains is None or domains.total_s <= 0 else domains.below_s / domains.total_s


def _ages(
    athlete: Athlete, now: Sequence[JudgedRecording], day: date, settings: RosterSettings
) -> tuple[ThresholdAge, ...]:
    """What was accepted for a day, for each sport of the week (in the order of its time), with its age."""
    seconds: dict[str, float] = {}
    for session in now:
        seconds[session.sport] = seconds.get(session.sport, 0.0) + session.moving_s
    sports: list[str | None] = [*sorted(seconds, key=lambda sport: -seconds[sport])] or [None]
    found: list[ThresholdAge] = []
    whiches: tuple[Which, ...] = ("first", "second")
    for which in whiches:
        for sport in sports:
            threshold = athlete.accepted_on(which, day, sport)
            if threshold is not None and not any(f.threshold is threshold for f in found):
                weeks = (day - threshold.on).days / 7
                is_stale = weeks > settings.stale_after_weeks
                unchecked = unchecked_since(athlete, [(day, threshold)])
                found.append(
                    ThresholdAge(threshold=threshold, weeks=weeks, is_stale=is_stale, unchecked=unchecked)
                )
    return tuple(found)


def _distribution(domains: DomainTime | None) -> Distribution | None:
    """The pattern's name, where both thresholds are known."""
    if domains is None or domains.above_s is None or domains.total_s <= 0:
        return None
    shares = [x / domains.total_s for x in (domains.below_s, domains.between_s, domains.above_s)]
    return Distribution(
        below_frac=shares[0],
        between_frac=shares[1],
        above_frac=shares[2],
        kind=distribution.distribution_type(*shares),
        polarization_index=distribution.polarization_index(*shares),
        method="time in three domains 1",
    )


def _zone_times(
    athlete: Athlete, now: Sequence[JudgedRecording], earlier: Sequence[Sequence[JudgedRecording]], last: date
) -> tuple[str | None, tuple[ZoneTime, ...]]:
    """Minutes in the athlete's zones, each session by those of its own day and sport; names are the same for all."""
    sports: list[str | None] = list(dict.fromkeys(s.sport for s in sorted(now, key=lambda s: -s.moving_s)))
    scale = next(
        (z for sport in sports or [None] if (z := _zones_on(athlete, last, sport)) is not None), None
    )
    if scale is None:
        return None, ()
    minutes = [_zone_minutes(athlete, s, scale) for s in now]
    before = [
        [_zone_minutes(athlete, s, scale) for s in week if _zones_on(athlete, s.on, s.sport) is not None]
        for week in earlier
    ]
    return scale.scale, tuple(
        ZoneTime(
            name=zone.name,
            low_bpm=zone.low_bpm,
            high_bpm=zone.high_bpm,
            minutes=sum(m[at] for m in minutes),
            usual_minutes=usual([sum(m[at] for m in week) if week else None for week in before]),
        )
        for at, zone in enumerate(scale.zones)
    )


def _zones_on(athlete: Athlete, day: date, sport: str | None) -> scales.ZoneSet | None:
    """The athlete's zones of a day; none by a bound, where heart rate misleads, or where values are missing."""
    if athlete.by_effort_on(day):
        return None
    first, second = (athlete.threshold_on(which, day, sport) for which in ("first", "second"))
    try:
        return scales.zone_set(
            athlete.zones,
            first_bpm=None if first is None else first.hr_bpm,
            second_bpm=None if second is None else second.hr_bpm,
            hr_rest_bpm=athlete.hr_rest_bpm,
            hr_max_bpm=athlete.hr_max_bpm,
        )
    except CoachError:
        return None


def _zone_minutes(athlete: Athlete, session: JudgedRecording, named: scales.ZoneSet) -> list[float]:
    """Minutes of one session in each zone of its own day, where those are of the same scale."""
    own = _zones_on(athlete, session.on, session.sport)
    if own is None or len(own.zones) != len(named.zones):
        return [0.0] * len(named.zones)
    return [s / 60 for s in scales.seconds_in_zones(session.seconds_at_bpm, own)]


def _load(
    now: Sequence[JudgedRecording],
    earlier: Sequence[Sequence[JudgedRecording]],
    start: date,
    *,
    done: Sequence[DiaryRow],
    usual_weeks: Sequence[Sequence[JudgedRecording | DiaryRow]],
) -> LoadWeek:
    """The week's load by heart rate and by RPE; a sum over sessions of which one is unknown is unknown.

    Load by rating counts what was done without a recording too, load by heart rate only what was recorded.
    """
    rated: tuple[JudgedRecording | DiaryRow, ...] = (*now, *done)
    daily = [sum(s.rpe_load or 0.0 for s in rated if (s.on - start).days == day) for day in range(7)]
    complete = bool(rated) and all(s.rpe_load is not None for s in rated)
    spread = load.monotony(daily) if complete else None
    trimp = _sum([s.trimp for s in now])
    return LoadWeek(
        trimp=trimp,
        usual_trimp=usual([_sum([s.trimp for s in w]) for w in earlier]),
        trimp_missing=sum(s.trimp is None for s in now),
        rpe_load=sum(daily) if complete else None,
        usual_rpe_load=usual([_sum([s.rpe_load for s in w]) for w in usual_weeks]),
        rpe_missing=sum(s.rpe_load is None for s in rated),
        monotony=spread,
        strain=None if spread is None else sum(daily) * spread,
    )


def _sum(values: Sequence[float | None]) -> float | None:
    """The sum where all are known; None where one is not, or there is nothing."""
    known = [v for v in values if v is not None]
    return sum(known) if known and len(known) == len(values) else None


def _not_told(
    athlete: Athlete,
    now: Sequence[JudgedRecording],
    done: Sequence[DiaryRow],
    thresholds: Sequence[ThresholdAge],
    zone_times: Sequence[ZoneTime],
    *,
    by_effort: Code | None,
) -> tuple[Code, ...]:
    """What this week's letter cannot say, each with the way to change that."""
    if not now:
        return ()
    if by_effort is not None:
        return (by_effort,)
    known = {t.threshold.which for t in thresholds if not t.threshold.bounded}
    bounds = {t.threshold.which: t.threshold for t in thresholds if t.threshold.bounded}
    missing = []
    if "first" in bounds and "first" not in known:
        bound = bounds["first"]
        missing.append(code("only a bound is accepted", hr_bpm=bound.hr_bpm, bounded=bound.bounded))
    elif "first" not in known:
        missing.append(code("no first threshold for domains"))
    elif "second" not in known:
        missing.append(code("no second threshold for domains"))
    if not zone_times and "first" not in bounds:
        missing.append(_zones_lacking(athlete, known))
    facts = {
        "highest heart rate": athlete.hr_max_bpm,
        "resting heart rate": athlete.hr_rest_bpm,
        "sex": athlete.sex,
    }
    if lacking := tuple(said for said, value in facts.items() if value is None):
        missing.append(code("load by heart rate lacks", lacking=lacking))
    all_done: tuple[JudgedRecording | DiaryRow, ...] = (*now, *done)
    if without := sum(s.rpe is None for s in all_done):
        missing.append(code("load by rating lacks", n_without=without, n_sessions=len(all_done)))
    elif any(row.done_min is None for row in done):
        missing.append(code("load by rating lacks minutes"))
    return tuple(missing)


def _zones_lacking(athlete: Athlete, known: Set[str]) -> Code:
    """What the athlete's zone scale still needs."""
    needs = {
        "first threshold": "first" in known,
        "second threshold": "second" in known,
        "resting heart rate": athlete.hr_rest_bpm is not None,
        "highest heart rate": athlete.hr_max_bpm is not None,
    }
    if athlete.zones != "two thresholds":
        needs = {name: given for name, given in needs.items() if "heart rate" in name}
    lacking = tuple(name for name, given in needs.items() if not given)
    return code("zones lack", lacking=lacking or ("values in rising order",))
