"""Weekly letters: one page an athlete, made again only when what it is made from has changed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.progress import track
from rich.table import Table

from coachlib.analysis.week.calendar import first_day
from coachlib.errors import CoachError, RosterProblem, refused_by_system
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.call_sheet import SheetMade, make_call_sheet
from coachlib.jobs.fingerprint import changed_since, fingerprint
from coachlib.jobs.history import latest_week
from coachlib.jobs.publishing import PAGE_CHECKSUM, Page, Standing, publish, standing
from coachlib.report.letter.differences import differences
from coachlib.report.page.page import blocks_of, for_coach_of, numbers_of
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
        Make letters again whose inputs have not changed, and those of weeks before the latest, which else stay as
        they were made; the former one of these is kept beside the new one.
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
    latest = _latest(folder)
    week = week or latest or latest_week(folder)
    is_past = latest is not None and first_day(week) < first_day(latest)
    results = []
    with BookRunner() as runner:
        for own in track(owns, description="Writing letters", console=console, transient=True):
            try:
                results.append(make_letter(folder, own, week, runner=runner, again=again, is_past=is_past))
            except CoachError as problem:
                results.append(_failed(own, str(problem)))
            except OSError as problem:
                results.append(_failed(own, f"{own.slug} cannot be read: {refused_by_system(problem)}"))
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
    is_past: bool = False,
) -> LetterMade:
    """Make one athlete's letter, unless it stands already and nothing it is made from has changed.

    Parameters
    ----------
    folder : RosterFolder
        The roster.
    own : AthleteFolder
        Whose.
    week : str
        ISO name.
    runner : BookRunner
        What runs the workbook.
    again : bool
        Make it in any case.
    is_past : bool
        The week lies before the roster's latest: a letter that stands was sent, and stays as it is unless
        ``again`` asks for another; the former one is then kept.
    """
    made_from = fingerprint(folder, [own], BOOK, week)
    found = standing(week, own, folder)
    if found is not None and not again:
        unchanged = found.is_whole and found.made_from == made_from
        is_earlier_versions = bool(found.numbers) and PAGE_CHECKSUM not in found.numbers
        if unchanged or (is_past and (found.is_whole or is_earlier_versions)):
            return _left(own, found, "" if unchanged else _since(found, made_from))
    book = runner.run(book_path(BOOK), {"roster": str(folder.path), "athlete": own.slug, "week": week})
    numbers = numbers_of(book)
    for_coach = {**for_coach_of(book), "names_allowed": own.note(week).names_allowed}
    name = numbers["athlete"]["name"]
    page = Page(
        name=week,
        title=f"{name}, week {week}",
        blocks=blocks_of(book),
        numbers=numbers,
        week=week,
        made_from=made_from,
        for_coach=for_coach,
    )
    keeps_former = is_past and found is not None
    path = publish(page, own, folder, keeps_former=keeps_former)
    replaced = _replaced(found.numbers, numbers) if keeps_former and found is not None else ""
    return LetterMade(
        slug=own.slug,
        athlete=name,
        n_sessions=len(numbers["sessions"]),
        path=path,
        remarks="; ".join(filter(None, (replaced, _worth_knowing(for_coach)))),
    )


def _latest(folder: RosterFolder) -> str | None:
    """The roster's latest week; None without a recording."""
    try:
        return latest_week(folder)
    except RosterProblem:
        return None


def _failed(own: AthleteFolder, why: str) -> LetterMade:
    return LetterMade(slug=own.slug, athlete=own.slug, n_sessions=None, path=None, remarks=why, failed=True)


def _left(own: AthleteFolder, found: Standing, since: str) -> LetterMade:
    """A letter that stays as it stands."""
    sessions = found.numbers.get("sessions")
    return LetterMade(
        slug=own.slug,
        athlete=str((found.numbers.get("athlete") or {}).get("name", own.slug)),
        n_sessions=len(sessions) if isinstance(sessions, list) else None,
        path=found.path,
        remarks="; ".join(filter(None, (since, _worth_knowing(found.for_coach or {})))),
        unchanged=True,
    )


def _since(found: Standing, made_from: Mapping[str, Any]) -> str:
    """Why the letter of a past week might differ if it was made today, and how to have that."""
    changed = changed_since(found.made_from, made_from) if found.made_from is not None else ()
    why = (
        f"since then {wording.listed(list(changed))} changed"
        if changed
        else "what changed since is not known"
    )
    return f"stays as it was made, {why}; --again makes it anew and keeps this one beside it"


def _replaced(before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    return f"made anew, the former one is kept beside it; different: {differences(before, after)}"


def _worth_knowing(for_coach: Mapping[str, Any]) -> str:
    """What the coach should know beside the letter."""
    unreadable = for_coach.get("unreadable", [])
    said = list(unreadable[:1])
    if (more := len(unreadable) - 1) > 0:
        said.append(f"{more} more recordings with problems, `coachlib check` tells all")
    said += for_coach.get("diary_problems", [])[:1]
    if not for_coach.get("has_note", True):
        said.append("no note from you yet")
    if names := for_coach.get("names_allowed"):
        said.append(f"names allowed: {', '.join(names)}")
    said += [f"{name}: test not decided yet" for name in for_coach.get("undecided", [])]
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
