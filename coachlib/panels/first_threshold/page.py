"""One athlete's series of drift tests as a page, with what the coach chose."""

from dataclasses import dataclass
from datetime import date, timedelta

from coachlib.analysis.first_threshold.agreement import Held, held_against_series
from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.first_threshold.series import Series, analyse_series
from coachlib.analysis.recording.domains import domain_time
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.week.calendar import week_of
from coachlib.errors import CoachError, TooLittleData
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.field_tests.drift_tests import DriftTests
from coachlib.jobs.history import read_history
from coachlib.records.athlete import Athlete, Threshold
from coachlib.records.machine import Machine
from coachlib.report.first_threshold import accepting_view, series_tests_view
from coachlib.report.first_threshold import threshold_view as view
from coachlib.report.first_threshold.next_test_view import next_test
from coachlib.report.first_threshold.second_opinions_view import other_opinions
from coachlib.report.page.blocks import Html

#: Weeks that are judged again under a new threshold.  Own choice: what a coach remembers.
JUDGED_WEEKS = 4


@dataclass(frozen=True, kw_only=True)
class SeriesPage:
    """One athlete's series with what the coach chose, and its page."""

    athlete: Athlete
    series: Series
    left_out: tuple[str, ...]
    held: tuple[Held, ...]
    silent: tuple[str, ...]
    sessions: tuple[JudgedRecording, ...]

    @property
    def proposal(self) -> Threshold:
        """What would be accepted, from the day after the last test."""
        return accepting_view.proposal(self.series, on=self.series.tests[-1].test.on + timedelta(days=1))

    def html(self) -> Html:
        """The whole page."""
        last = max([t.test.on for t in self.series.tests] + [s.on for s in self.sessions])
        pieces = (
            view.finding(
                self.series,
                athlete=self.athlete.name,
                standing=self.athlete.threshold_on("first", last),
                held=self.held,
            ),
            view.chart(self.series),
            series_tests_view.series_tests(self.series, left_out=self.left_out),
            other_opinions(self.held, silent=self.silent),
            series_tests_view.conditions(self.series),
            next_test(self.series),
            accepting_view.rejudged(self._rejudged(), new=self.proposal),
            accepting_view.standing_thresholds(self.athlete, "first"),
            view.cautions(),
        )
        return Html("".join(pieces))

    def _rejudged(self) -> list[accepting_view.Rejudged]:
        """The last sessions under the thresholds of their day and under the proposed one."""
        new = self.proposal
        found = []
        for s in self.sessions:
            if s.seconds_at_bpm and sum(s.seconds_at_bpm) > 0:
                second = self.athlete.threshold_on("second", s.on)
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
    criterion_pct: float,
    machine: Machine | None,
    sessions: tuple[JudgedRecording, ...],
    left_out: tuple[str, ...] = (),
) -> SeriesPage:
    """Analyse an athlete's series.

    Parameters
    ----------
    known : DriftTests
        The tests as they were read.
    criterion_pct : float
        Drift over an hour that marks the threshold. [%]
    machine : Machine or None
        What the next test can be set to.
    sessions : tuple of JudgedRecording
        The last weeks, to be judged again.
    left_out : tuple of str
        Names of tests (see ``name_of_test``) that the coach leaves out.

    Raises
    ------
    TooLittleData
        Without any test.
    """
    kept = tuple(t for t in known.tests if name_of_test(t) not in left_out)
    if not kept and known.tests:
        raise TooLittleData("every test is left out; a threshold needs at least 1. Tick one.")
    series = analyse_series(kept, known.athlete, criterion_pct=criterion_pct, machine=machine)
    said = tuple(f"{name} is left out by your choice" for name in left_out)
    return SeriesPage(
        athlete=known.athlete,
        series=series,
        left_out=(*said, *known.left_out),
        held=held_against_series(series, known.opinions),
        silent=known.silent,
        sessions=sessions,
    )


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
