"""Sheets for the athlete, beside the weekly letters: how to do the next test, and the zones."""

from collections.abc import Sequence
from pathlib import Path

from nbformat.v4 import new_code_cell, new_notebook, new_output

from coachlib import __version__
from coachlib.analysis.first_threshold.machine import machine_of
from coachlib.analysis.first_threshold.series import Series, analyse_series, of_sport, sports_of
from coachlib.errors import TooLittleData
from coachlib.files.atomic import write_text
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.field_tests.drift_tests import read_drift_tests
from coachlib.jobs.history import names_of_others
from coachlib.measures.common.codes import Code
from coachlib.report.first_threshold.protocol_sheet import protocol_of, protocol_sheet
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.page.gate import check_page
from coachlib.report.page.marks import BLOCK_TYPE
from coachlib.report.page.page import render
from coachlib.report.zones.zone_plan import ZonePlan
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
        known = read_drift_tests(folder, own)
        tests, _ = of_sport(known.tests, next(iter(sports_of(known.tests)), ""))
        try:
            series = analyse_series(
                tests,
                athlete,
                criterion_pct=folder.settings.criterion_pct,
                machine=machine_of(athlete, tests),
            )
        except TooLittleData:
            series = None
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


def sheet_page(folder: RosterFolder, own: AthleteFolder, sheet: Html, *, title: str) -> str:
    """A sheet as a whole page of the same look as the letters, looked at by the same gate."""
    made = f'<section class="how"><p class="made">Made by coachlib {escape(__version__)}.</p></section>'
    cells = [
        new_code_cell(outputs=[new_output("display_data", data={BLOCK_TYPE: piece})])
        for piece in (str(sheet), made)
    ]
    page = render(new_notebook(cells=cells), title=title, accent=folder.settings.accent)
    check_page(page, other_names=names_of_others(folder, own))
    return page


def _save(folder: RosterFolder, own: AthleteFolder, sheet: Html, *, title: str, name: str) -> Path:
    path = own.reports_dir / name
    page = sheet_page(folder, own, sheet, title=title)
    path.parent.mkdir(parents=True, exist_ok=True)
    write_text(path, page)
    return path
