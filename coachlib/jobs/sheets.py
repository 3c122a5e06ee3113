"""Sheets for the athlete, beside the weekly letters: how to do the next test, and the zones."""

from collections.abc import Sequence
from pathlib import Path

from coachlib import __version__
from coachlib.analysis.first_threshold.series import Series
from coachlib.analysis.zones.plan import ZonePlan
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.field_tests.drift_tests import read_drift_tests, series_of_tests
from coachlib.jobs.publishing import Page, publish
from coachlib.measures.common.codes import Code
from coachlib.report.first_threshold.protocol_sheet import protocol_of, protocol_sheet
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.zones.zone_sheet import zone_sheet

PROTOCOL_FILE, ZONES_FILE = "next_test.html", "zones.html"


def save_protocol_sheet(
    folder: RosterFolder,
    own: AthleteFolder,
    series: Series | None = None,
    *,
    against: Sequence[Code] = (),
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
        What speaks against a test now, see ``analysis.first_threshold.fit_to_test``.

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
    if series is None:
        tests = read_drift_tests(folder, own).tests
        series = series_of_tests(tests, athlete, criterion_pct=folder.settings.criterion_pct)
    plan = protocol_of(series, athlete=athlete.name, coach=folder.settings.coach, against=against)
    return _save(
        folder, own, protocol_sheet(plan), title=f"{athlete.name}, the next test", name=PROTOCOL_FILE
    )


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
    return _save(folder, own, zone_sheet(plan), title=f"{plan.athlete}, zones", name=ZONES_FILE)


def _save(folder: RosterFolder, own: AthleteFolder, sheet: Html, *, title: str, name: str) -> Path:
    """Publish a sheet, with what made it at its end."""
    made = f'<section class="how"><p class="made">Made by coachlib {escape(__version__)}.</p></section>'
    return publish(Page(name=Path(name).stem, title=title, blocks=(sheet, made)), own, folder)
