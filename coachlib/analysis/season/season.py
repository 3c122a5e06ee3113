"""Many weeks of one athlete: is the base improving, does the threshold still fit, was easy easy, how much."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from coachlib.analysis.recording.domains import DomainTime, summed_domains
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.season.output_trend import OutputTrend, trends_of
from coachlib.analysis.season.reading import SessionReading
from coachlib.analysis.season.watch import SportWatch, watches_of
from coachlib.analysis.season.weeks import SeasonWeek, load_kind_of, load_of, season_week
from coachlib.analysis.week.calendar import first_day, weeks_before
from coachlib.analysis.week.easy import EasyTime, easy_time
from coachlib.analysis.week.meant import meant_easy
from coachlib.analysis.week.usual import usual, weeks_that_count
from coachlib.measures.common.codes import Code, code
from coachlib.measures.drift_test.drift import VERDICT_WINDOW_S
from coachlib.measures.season.load_range import LoadRange, load_in_own_range
from coachlib.measures.season.threshold_watch import ThresholdWatch
from coachlib.records.athlete import Athlete, Threshold
from coachlib.records.decisions import UNSTEADY_KINDS
from coachlib.records.diary import DiaryRow
from coachlib.records.roster import RosterSettings

#: Weeks of a season: four to compare with and twelve to look at.
N_WEEKS = 16
#: Of these a letter draws the last.
N_SHOWN = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class SteadyDrift:
    """Drift of one steady session over its window, with its 90 % interval."""

    on: date
    recording: str
    first_half_bpm: float
    drift_pct: float
    drift_low_pct: float
    drift_high_pct: float
    minutes: float

    @property
    def an_hour(self) -> "SteadyDrift | None":
        """The same brought to an hour, to be compared with others; None from a window too short for a verdict."""
        if 60 * self.minutes < VERDICT_WINDOW_S:
            return None
        factor = 60 / self.minutes
        return replace(
            self,
            drift_pct=factor * self.drift_pct,
            drift_low_pct=factor * self.drift_low_pct,
            drift_high_pct=factor * self.drift_high_pct,
            minutes=60.0,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class GoalShares:
    """Shares of some sessions by what they were for (easy, between, hard), and the time of the same ones by domain."""

    easy_frac: float
    between_frac: float
    hard_frac: float
    n_sessions: int
    domains: DomainTime


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """A season of one athlete.

    ``trends`` are ordered by the number of readings, ``watches`` by sport, that of the first trend first.
    ``load_kind`` is "heart rate" or "session RPE", ``usual_load`` that of a usual week.  ``not_told`` lists what
    could not be said, and what would help.
    """

    athlete: Athlete
    weeks: tuple[SeasonWeek, ...]
    trends: tuple[OutputTrend, ...]
    drifts: tuple[SteadyDrift, ...]
    watches: tuple[SportWatch, ...]
    easy_four_weeks: EasyTime | None
    goals: GoalShares | None
    load_kind: str
    load_range: LoadRange | None
    usual_load: float | None
    thresholds: tuple[Threshold, ...]
    not_told: tuple[Code, ...]
    n_shown: int = N_SHOWN

    @property
    def main_trend(self) -> OutputTrend | None:
        """The trend with the most readings."""
        return self.trends[0] if self.trends else None

    @property
    def main_watch(self) -> SportWatch | None:
        """The watch of the main trend's sport."""
        return self.watches[0] if self.watches else None

    @property
    def watch(self) -> ThresholdWatch | None:
        """The same without its sport."""
        return self.main_watch.watch if self.main_watch is not None else None


def analyse_season(
    last_week: str,
    sessions: Sequence[JudgedRecording],
    readings: Sequence[SessionReading],
    athlete: Athlete,
    *,
    settings: RosterSettings,
    diary: Sequence[DiaryRow] = (),
    unrecorded: Sequence[DiaryRow] = (),
    n_weeks: int = N_WEEKS,
    n_shown: int = N_SHOWN,
) -> Season:
    """Sum up the weeks up to and including ``last_week``.

    Parameters
    ----------
    last_week : str
        ISO name of the last complete week, "2026-W47".
    sessions, readings : sequences
        Any of the athlete's.  Sessions outside the season are left aside; readings are followed from as far back
        as they can be compared.
    athlete, settings, diary : records
        Who, how weeks run, and what was written down.
    unrecorded : sequence of DiaryRow
        Those rows of the diary that belong to no recording.
    n_weeks : int
        Weeks of the season.
    n_shown : int
        So many of them are drawn.

    Returns
    -------
    Season

    Source
    ------
    The measures carry their own sources: ``measures.season.trend``, ``threshold_watch``, ``easy_share``,
    ``load_range``.
    """
    names = (*weeks_before(last_week, n_weeks - 1), last_week)
    starts = tuple(first_day(name, starts=settings.week_starts) for name in names)
    first, stop = starts[0], starts[-1] + timedelta(days=7)
    within = tuple(sorted((s for s in sessions if first <= s.on < stop), key=lambda s: s.started_at))
    rows = tuple(row for row in diary if first <= row.on < stop)
    kept = tuple(
        sorted((r for r in readings if r.on < stop and not athlete.block_on(r.on)), key=lambda r: r.on)
    )
    load_kind = load_kind_of(within)
    recent = [s for s in within if s.on >= stop - timedelta(days=28)]
    # where beats hold for some of the weeks only, the rest would be told as if they were all
    holds = athlete.by_effort_on(stop - timedelta(days=1)) is None
    recent = [s for s in recent if holds and athlete.threshold_on("first", stop - timedelta(days=1), s.sport)]
    weeks = tuple(
        season_week(name, start, within, rows, athlete, load_kind, unrecorded=unrecorded)
        for name, start in zip(names, starts, strict=True)
    )
    trends = trends_of(kept, athlete, settings, starts)
    watches = watches_of(kept, athlete, settings, starts)
    if trends:
        watches = tuple(sorted(watches, key=lambda w: w.sport != trends[0].sport))
    return Season(
        athlete=athlete,
        weeks=weeks,
        trends=trends,
        drifts=_drifts(within),
        watches=watches,
        easy_four_weeks=easy_time(recent, athlete),
        goals=_goals(recent),
        load_kind=load_kind,
        load_range=_load_range(weeks),
        usual_load=_usual_load(
            starts[-1], (*within, *(r for r in unrecorded if r.was_done)), athlete, load_kind
        ),
        thresholds=tuple(t for t in athlete.thresholds if first <= t.on < stop and not t.withdrawn),
        not_told=_not_told(trends, kept, athlete, stop),
        n_shown=n_shown,
    )


def _load_range(weeks: Sequence[SeasonWeek]) -> LoadRange | None:
    """The last week's load against the weeks before; None where it is unknown."""
    last = weeks[-1].load
    if last is None:
        return None
    earlier = [np.nan if w.load is None or w.apart else w.load for w in weeks[:-1]]
    return load_in_own_range(earlier, last)


def _usual_load(
    start: date, sessions: Sequence[JudgedRecording | DiaryRow], athlete: Athlete, load_kind: str
) -> float | None:
    """Load of a usual week; a session whose load is unknown makes its week's unknown."""
    before = weeks_that_count(start, sessions, is_apart=lambda day: athlete.block_on(day) is not None)
    return usual([load_of(week, load_kind) for week in before])


def _drifts(sessions: Sequence[JudgedRecording]) -> tuple[SteadyDrift, ...]:
    """Drift of every valid steady session, at constant output where that is known, in order."""
    return tuple(
        SteadyDrift(
            on=s.on, recording=s.recording, first_half_bpm=found.drift.first_half_bpm, drift_pct=told.drift_pct,
            drift_low_pct=told.drift_low_pct, drift_high_pct=told.drift_high_pct,
            minutes=(found.drift.stop_s - found.drift.start_s) / 60,
        )
        for s in sessions
        if (found := s.steady) is not None
        and not found.is_void
        and found.meaning.name != "medicine slows the heart"
        and (told := found.told)
    )  # fmt: skip


def _goals(recent: Sequence[JudgedRecording]) -> GoalShares | None:
    """What those sessions of the last four weeks were for whose minutes are told by the thresholds."""
    known = [s for s in recent if s.domains is not None and (s.kind or s.planned)]
    domains = summed_domains(s.domains for s in known)
    if domains is None:
        return None
    easy = sum(meant_easy(s) for s in known)
    hard = sum(s.kind in UNSTEADY_KINDS and not meant_easy(s) for s in known)
    n = len(known)
    return GoalShares(
        easy_frac=easy / n,
        between_frac=(n - easy - hard) / n,
        hard_frac=hard / n,
        n_sessions=n,
        domains=domains,
    )


def _not_told(
    trends: Sequence[OutputTrend], readings: Sequence[SessionReading], athlete: Athlete, stop: date
) -> tuple[Code, ...]:
    """What the season cannot say, and what would help."""
    said: list[Code] = []
    if not trends:
        said.append(
            next((r.no_output for r in reversed(readings) if r.no_output), code("no steady session yet"))
        )
    for trend in trends[:1]:
        said += [*trend.about, *trend.trend.caveats]
    if athlete.threshold_on("first", stop - timedelta(days=1)) is None:
        said.append(code("no first threshold for easy days"))
    return tuple(said)
