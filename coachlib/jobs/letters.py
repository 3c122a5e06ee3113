"""Weekly letters: one page an athlete, made again only when what it is made from has changed."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from rich.console import Console
from rich.progress import track
from rich.table import Table

from coachlib.analysis.week.calendar import first_day
from coachlib.errors import CoachError, RosterProblem
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.call_sheet import SheetMade, fingerprint, kept_numbers, make_call_sheet
from coachlib.jobs.history import latest_week, names_of_others
from coachlib.report.page.gate import check_page
from coachlib.report.page.page import numbers_of, render
from coachlib.report.page.saving import save_letter
from coachlib.report.words import wording
from coachlib.report.workbooks.books import book_path
from coachlib.report.workbooks.runner import BookRunner

BOOK = "weekly_report"


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterMade:
    """What became of one athlete's letter: made, left as it was or failed, and what the coach should know."""

    slug: str
    athlete: str
    n_sessions: int | None
    path: Path | None
    remarks: str
    failed: bool = False
    unchanged: bool = False


def make_letters(
    folder: RosterFolder,
    *,
    week: str | None,
    athletes: Sequence[str] = (),
    again: bool = False,
    names_allowed: bool = False,
    console: Console,
) -> int:
    """Make the letters of a week, the call sheet where everybody gets one, and print what became of each.

    Parameters
    ----------
    folder : RosterFolder
        The roster.
    week : str or None
        ISO name; None takes the week of the last recording.
    athletes : sequence of str
        Whom; nobody named means everybody.
    again : bool
        Make letters again whose inputs have not changed.
    names_allowed : bool
        Let a letter name another athlete of the roster (a note that says who rode along).
    console : Console
        Where progress and the table go.

    Returns
    -------
    int
        0 when every letter stands, 1 when one failed.
    """
    owns = [folder.athlete(name) for name in athletes or folder.athletes()]
    if not owns:
        raise RosterProblem(f"{folder.path} has no athletes; each is a sub-folder with athlete.toml in it")
    week = week or latest_week(folder)
    first_day(week)
    results = []
    with BookRunner() as runner:
        for own in track(owns, description="Writing letters", console=console, transient=True):
            try:
                results.append(
                    make_letter(folder, own, week, runner=runner, again=again, names_allowed=names_allowed)
                )
            except CoachError as problem:
                results.append(
                    LetterMade(
                        slug=own.slug,
                        athlete=own.slug,
                        n_sessions=None,
                        path=None,
                        remarks=str(problem),
                        failed=True,
                    )
                )
        sheet = None if athletes else make_call_sheet(folder, week, runner=runner, again=again)
    console.print(_table(results, sheet, week, folder.path))
    if left := _left_alone(results, sheet):
        console.print(left)
    return int(any(r.failed for r in results) or (sheet is not None and sheet.failed))


def make_letter(
    folder: RosterFolder,
    own: AthleteFolder,
    week: str,
    *,
    runner: BookRunner,
    again: bool = False,
    names_allowed: bool = False,
) -> LetterMade:
    """Make one athlete's letter, unless it stands already and nothing it is made from has changed."""
    html_path, json_path = own.reports_dir / f"{week}.html", own.reports_dir / f"{week}.json"
    made_from = fingerprint(folder, [own], BOOK)
    if not again and html_path.is_file() and (kept := kept_numbers(json_path, made_from)) is not None:
        return LetterMade(
            slug=own.slug,
            athlete=kept["athlete"]["name"],
            n_sessions=len(kept["sessions"]),
            path=html_path,
            remarks=_worth_knowing(kept),
            unchanged=True,
        )
    book = runner.run(book_path(BOOK), {"roster": str(folder.path), "athlete": own.slug, "week": week})
    numbers = numbers_of(book)
    name = numbers["athlete"]["name"]
    page = render(book, title=f"{name}, week {week}", accent=folder.settings.accent)
    check_page(page, other_names=() if names_allowed else names_of_others(folder, own))
    save_letter(page, {**numbers, **made_from}, html_path=html_path, json_path=json_path)
    return LetterMade(
        slug=own.slug,
        athlete=name,
        n_sessions=len(numbers["sessions"]),
        path=html_path,
        remarks=_worth_knowing(numbers),
    )


def _worth_knowing(numbers: dict) -> str:
    """What the coach should know beside the letter."""
    said = [f"{u['recording']}: {u['sentence']}" for u in numbers["unreadable"][:1]]
    if (more := len(numbers["unreadable"]) - 1) > 0:
        said.append(f"{more} more recordings with problems, `coachlib check` tells all")
    said += numbers["diary_problems"][:1]
    if not numbers["note"]:
        said.append("no note from you yet")
    undecided = [
        s["recording"] for s in numbers["sessions"] if s["kind"] == "drift test" and not s["decided"]
    ]
    said += [f"{name}: test not decided yet" for name in undecided]
    return "; ".join(said)


def _table(results: Sequence[LetterMade], sheet: SheetMade | None, week: str, root: Path) -> Table:
    """What became of each letter, as a table; with a call sheet, those come first who need the coach most."""
    table = Table(title=f"Letters for {week}", title_justify="left", box=None, pad_edge=False)
    table.add_column("athlete", no_wrap=True)
    table.add_column("sessions", no_wrap=True, justify="right")
    table.add_column("report", no_wrap=True)
    table.add_column("anything wrong", overflow="fold")
    needs = sheet.strongest if sheet is not None else {}
    order = {slug: rank for rank, slug in enumerate(needs)}
    for r in sorted(results, key=lambda r: order.get(r.slug, len(order))):
        wrong = "; ".join(filter(None, (needs.get(r.slug), r.remarks))) or "nothing"
        sessions = "" if r.n_sessions is None else str(r.n_sessions)
        table.add_row(r.athlete, sessions, _in_roster(r.path, root), wrong)
    if sheet is not None:
        table.add_row("(call sheet)", "", _in_roster(sheet.path, root), sheet.remarks or "nothing")
    return table


def _left_alone(results: Sequence[LetterMade], sheet: SheetMade | None) -> str:
    """How many pages were left as they were; "" where none was."""
    n = sum(r.unchanged for r in results)
    letters = [wording.count(n, "letter")] * (n > 0)
    pages = letters + ["the call sheet"] * (sheet is not None and sheet.unchanged)
    return f"Left as they were, unchanged: {' and '.join(pages)}." if pages else ""


def _in_roster(path: Path | None, root: Path) -> str:
    return "none" if path is None else str(path.relative_to(root))
