"""Sheets for the athlete, beside the weekly letters: how to do the next test, and the zones."""

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from coachlib import __version__
from coachlib.analysis.first_threshold.series import Series
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.week.calendar import week_of
from coachlib.analysis.zones.plan import ZonePlan
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.field_tests.drift_tests import read_drift_tests, series_of_tests
from coachlib.jobs.history import week_of_athlete
from coachlib.jobs.publishing import Page, publish
from coachlib.jobs.recordings import Recordings
from coachlib.measures.common.codes import Code
from coachlib.records.diary import DiaryRow
from coachlib.report.first_threshold.protocol_sheet import protocol_of, protocol_sheet
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.words import wording
from coachlib.report.zones.zone_sheet import zone_sheet

PROTOCOL_FILE, ZONES_FILE = "next_test.html", "zones.html"


def save_protocol_sheet(
    folder: RosterFolder,
    own: AthleteFolder,
    series: Series | None = None,
    *,
    against: Sequence[Code] | None = None,
    today: date | None = None,
) -> Path:
    """Write the sheet for an athlete's next steady test into the athlete's reports.

    Parameters
    ----------
    folder : RosterFolder
        The roster.
    own : AthleteFolder
        For whom.
    series : Series, optional
        As the coach has it on the screen; without one the athlete's tests are read, and where there are
        none the sheet asks for a first test by talking.
    against : sequence of Code
        What speaks against a test now, see ``analysis.first_threshold.fit_to_test``; where nobody says it is asked
        as of ``today``, so that a sheet never asks what letter and call sheet forbid.
    today : date, optional
        The day from which the test is planned; None takes the day after the athlete's last recording or diary row.

    Returns
    -------
    Path
        The page.

    Raises
    ------
    RosterProblem
        When the profile cannot be read.
    ReportProblem
        When the page holds what no page for an athlete may hold.
    """
    athlete = own.athlete()
    today = today or next_day_of(folder, own)
    if series is None:
        tests = read_drift_tests(folder, own).tests
        series = series_of_tests(tests, athlete, criterion_pct=folder.settings.criterion_pct, today=today)
    monday = _monday(folder, own, today) if against is None or series is None else None
    if against is None and monday is not None:
        against = monday.against_test(today)
    first = monday.first_test if monday is not None else None
    plan = protocol_of(
        series, athlete=athlete.name, coach=folder.settings.coach, first=first, against=against or ()
    )
    with wording.spoken_in(athlete.units):
        sheet = protocol_sheet(plan)
    return _save(folder, own, sheet, title=f"{athlete.name}, the next test", name=PROTOCOL_FILE)


def next_day_of(folder: RosterFolder, own: AthleteFolder) -> date:
    """The day after an athlete's last recording or diary row; the computer's where there is neither."""
    recordings = Recordings(folder=folder, own=own)
    days = [row.on for row in recordings.diary.rows if _is_done(row)]
    days += [max(recordings.days)] if recordings.days else []
    return max(days) + timedelta(days=1) if days else date.today()


def against_test(folder: RosterFolder, own: AthleteFolder, today: date) -> tuple[Code, ...]:
    """What speaks against asking an athlete for a steady test on a day, as the letter and the call sheet see it."""
    return _monday(folder, own, today).against_test(today)


def _monday(folder: RosterFolder, own: AthleteFolder, today: date) -> AthleteWeek:
    """What is known of an athlete on the day before."""
    week = week_of(today - timedelta(days=1), starts=folder.settings.week_starts)
    return week_of_athlete(folder, own, week)


def _is_done(row: DiaryRow) -> bool:
    """Whether a row tells of a day, not of a plan."""
    return bool(row.health or row.rpe or row.remarks or row.recording or row.done_min)


def save_zone_sheet(folder: RosterFolder, own: AthleteFolder, plan: ZonePlan) -> Path:
    """Write an athlete's zones into the athlete's reports.

    Parameters
    ----------
    folder, own : RosterFolder, AthleteFolder
        For whom.
    plan : ZonePlan
        The zones with what stands beside them.

    Returns
    -------
    Path
        The page.

    Raises
    ------
    ReportProblem
        When the page holds what no page for an athlete may hold.
    """
    shown = {"thresholds": [{"which": t.which, "on": str(t.on), "hr_bpm": t.hr_bpm} for t in plan.thresholds]}
    with wording.spoken_in(own.athlete().units):
        sheet = zone_sheet(plan)
    return _save(folder, own, sheet, title=f"{plan.athlete}, zones", name=ZONES_FILE, made_from=shown)


def _save(
    folder: RosterFolder,
    own: AthleteFolder,
    sheet: Html,
    *,
    title: str,
    name: str,
    made_from: Mapping[str, Any] | None = None,
) -> Path:
    """Publish a sheet, with what made it at its end."""
    made = f'<section class="how"><p class="made">Made by coachlib {escape(__version__)}.</p></section>'
    page = Page(name=Path(name).stem, title=title, blocks=(sheet, made), made_from=made_from or {})
    return publish(page, own, folder)
