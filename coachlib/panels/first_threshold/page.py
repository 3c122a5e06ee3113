"""One athlete's series of drift tests as a page, with what the coach chose."""

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from coachlib.analysis.first_threshold.accepting import Proposal, proposal
from coachlib.analysis.first_threshold.agreement import Held, held_against_series
from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.first_threshold.fit_to_test import fit_to_test
from coachlib.analysis.first_threshold.series import Series, analyse_series, of_sport, sports_of
from coachlib.analysis.recording.domains import domain_time
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.week.calendar import week_of
from coachlib.errors import CoachError, TooLittleData
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.field_tests.drift_tests import DriftTests
from coachlib.jobs.history import read_history
from coachlib.measures.common.codes import Code
from coachlib.records.athlete import Athlete, Threshold
from coachlib.records.machine import Machine
from coachlib.records.sports import sport_family
from coachlib.report.first_threshold import accepting_view, series_tests_view
from coachlib.report.first_threshold import threshold_view as view
from coachlib.report.first_threshold.next_test_view import next_test
from coachlib.report.first_threshold.second_opinions_view import other_opinions
from coachlib.report.page.blocks import Html

#: Weeks that are judged again under a new threshold.  Own choice: what a coach remembers.
JUDGED_WEEKS = 4


@dataclass(frozen=True, kw_only=True)
class SeriesPage:
    """One athlete's series in one sport with what the coach chose, and its page.

    ``against`` is what speaks against asking for a test now.
    """

    athlete: Athlete
    series: Series
    left_out: tuple[str, ...]
    held: tuple[Held, ...]
    silent: tuple[str, ...]
    sessions: tuple[JudgedRecording, ...]
    against: tuple[Code, ...] = ()

    @cached_property
    def proposal(self) -> Proposal:
        """What would be accepted, from the day after the last test."""
        on = self.series.tests[-1].test.on + timedelta(days=1)
        return proposal(self.series, self.athlete, on=on, held=self.held)

    def estimate(self) -> Html:
        """What the series says and what can be accepted of it: stands beside the buttons."""
        last = max([t.test.on for t in self.series.tests] + [s.on for s in self.sessions])
        standing = self.athlete.accepted_on("first", last, self.series.sport or None)
        said = view.finding(self.series, athlete=self.athlete.name, standing=standing, held=self.held)
        return Html(f"{said}{accepting_view.acceptance(self.proposal)}")

    def evidence(self) -> Html:
        """What the estimate rests on, the next test, and what accepting would do."""
        pieces = (
            next_test(self.series, against=self.against),
            view.chart(self.series),
            view.numbers(self.series),
            view.cautious(self.series),
            series_tests_view.series_tests(self.series, left_out=self.left_out),
            other_opinions(self.held, silent=self.silent),
            series_tests_view.conditions(self.series),
            accepting_view.rejudged(self._rejudged(), new=self._new),
            accepting_view.standing_thresholds(self.athlete, "first"),
            view.cautions(),
        )
        return Html("".join(pieces))

    def html(self) -> Html:
        """The whole page."""
        return Html(f"{self.estimate()}{self.evidence()}")

    @property
    def _new(self) -> Threshold | None:
        """The value that would be accepted; a bound is none."""
        return None if self.proposal.is_bound else self.proposal.threshold

    def _rejudged(self) -> list[accepting_view.Rejudged]:
        """The last sessions under the thresholds of their day and under the proposed one."""
        new, found = self._new, []
        for s in self.sessions:
            if sport_family(s.sport or "") != self.series.sport and self.series.sport:
                continue
            if new is not None and s.seconds_at_bpm and sum(s.seconds_at_bpm) > 0:
                second = self.athlete.threshold_on("second", s.on, self.series.sport or None)
                found.append(
                    accepting_view.Rejudged(
                        on=s.on,
                        kind=s.kind or s.planned or "",
                        then=s.domains,
                        now=domain_time(s.seconds_at_bpm, new.hr_bpm, second.hr_bpm if second else None),
                    )
                )
        return found


def series_page(
    known: DriftTests,
    *,
    sport: str | None = None,
    today: date | None = None,
    criterion_pct: float,
    machine: Machine | None,
    sessions: tuple[JudgedRecording, ...],
    left_out: tuple[str, ...] = (),
    against: tuple[Code, ...] | None = None,
) -> SeriesPage:
    """Analyse an athlete's series.

    Parameters
    ----------
    known : DriftTests
        The tests as they were read.
    sport : str, optional
        Which sport's series; None takes the one with most tests.
    today : date, optional
        The day from which the next test is planned; None takes that of the last test.
    criterion_pct : float
        Drift over an hour that marks the threshold. [%]
    machine : Machine or None
        What the next test can be set to.
    sessions : tuple of JudgedRecording
        The last weeks, to be judged again.
    left_out : tuple of str
        Names of tests (see ``name_of_test``) that the coach leaves out.
    against : tuple of Code, optional
        What speaks against a test now, see ``jobs.sheets.against_test``; None asks the sessions alone.

    Raises
    ------
    TooLittleData
        Without any test.
    """
    sports = sports_of(known.tests)
    chosen = sport if sport is not None else sports[0] if sports else ""
    own, untold = of_sport(known.tests, chosen)
    kept = tuple(t for t in own if name_of_test(t) not in left_out)
    if not kept and own:
        raise TooLittleData("every test is left out; a threshold needs at least 1. Tick one.")
    series = analyse_series(kept, known.athlete, criterion_pct=criterion_pct, machine=machine, today=today)
    said = [f"{name} is left out by your choice" for name in left_out if name in map(name_of_test, own)]
    said += [f"the sport of {name_of_test(t)} is not told; type it in athlete.toml" for t in untold]
    return SeriesPage(
        athlete=known.athlete,
        series=series,
        left_out=(*said, *known.left_out),
        held=held_against_series(series, known.opinions),
        silent=known.silent,
        sessions=sessions,
        against=fit_to_test(
            known.athlete, on=today or series.tests[-1].test.on, sessions=sessions, health=_health(sessions)
        )
        if against is None
        else against,
    )


def _health(sessions: tuple[JudgedRecording, ...]) -> str | None:
    """What the athlete last wrote about health."""
    told = [s for s in sessions if s.health is not None]
    return max(told, key=lambda s: s.on).health if told else None


def today_of(roster: RosterFolder) -> date | None:
    """The day from which the roster looks ahead: the day after its newest recording; None without any."""
    days = [path.name[:10] for slug in roster.athletes() for path in roster.athlete(slug).recordings()]
    try:
        return date.fromisoformat(max(days)) + timedelta(days=1) if days else None
    except ValueError:
        return None


def name_of_test(test: SeriesTest) -> str:
    """How a test is called in a list."""
    return test.source if test.sha256 else f"{test.on} (typed in)"


def recent_sessions(roster: RosterFolder, own: AthleteFolder) -> tuple[JudgedRecording, ...]:
    """The athlete's last weeks of training, up to the last recording."""
    paths = own.recordings()
    if not paths:
        return ()
    try:
        last = date.fromisoformat(max(p.name[:10] for p in paths))
        week = week_of(last, starts=roster.settings.week_starts)
        return read_history(roster, own, week, n_weeks=JUDGED_WEEKS).sessions
    except (CoachError, ValueError):
        return ()
