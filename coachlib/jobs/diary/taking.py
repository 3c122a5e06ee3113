"""The diary's command: a week sheet written for an athlete, or one that came back taken into the diary."""

import shlex
from datetime import date
from pathlib import Path
from typing import TextIO

from coachlib.errors import FileProblem, RosterProblem, refused_by_system
from coachlib.files.atomic import write_bytes
from coachlib.files.roster.athlete_folder import DIARY_FILE, AthleteFolder
from coachlib.files.roster.diary_edit import DiaryTable
from coachlib.files.roster.diarytext import read_diary
from coachlib.files.roster.folder import RosterFolder
from coachlib.files.roster.loading import LARGEST_DIARY
from coachlib.jobs.diary.merging import Change, Merged, merged
from coachlib.jobs.diary.sheet import OWN_WORDS, next_sheet_week, read_sheet, sheet_bytes
from coachlib.jobs.publishing import let_out
from coachlib.jobs.terminal import tell
from coachlib.report.words import wording


def write_sheet(
    roster: RosterFolder,
    own: AthleteFolder,
    *,
    today: date,
    week: str | None = None,
    out: TextIO | None = None,
) -> Path:
    """Write a week's sheet into the athlete's reports, for the athlete to fill in.

    Parameters
    ----------
    roster, own : RosterFolder, AthleteFolder
        For whom.
    today : date
        Its week is meant where none is named.
    week : str, optional
        ISO name.
    out : TextIO, optional
        Where is told what was written; else on the screen.

    Raises
    ------
    RosterProblem
        When the diary is no table.
    ReportProblem
        When another athlete's name stands in it.
    """
    starts = roster.settings.week_starts
    week = week or next_sheet_week(today, starts=starts)
    table = DiaryTable.of(_bytes(own.path / DIARY_FILE), day_first=own.day_first)
    data = sheet_bytes(table, slug=own.slug, week=week, starts=starts, units=own.athlete().units)
    path = own.reports_dir / f"{week}_diary.csv"
    let_out({path: data}, own, roster, own_lines=(*OWN_WORDS, own.slug, week), week=week)
    tell(f"Written: {path}", to=out)
    back = f"coachlib diary {shlex.quote(str(roster.path))} {shlex.quote(own.slug)} FILE.csv"
    tell(f"When it comes back filled in: {back}", to=out)
    return path


def take_sheet(
    roster: RosterFolder,
    own: AthleteFolder,
    file: Path,
    *,
    take: bool = False,
    show: bool = False,
    out: TextIO | None = None,
) -> int:
    """Take a filled-in sheet into the athlete's diary, and tell every cell that changes.

    Parameters
    ----------
    roster, own : RosterFolder, AthleteFolder
        Whose diary.
    file : Path
        The sheet as a spreadsheet saved it.
    take : bool
        Where diary and sheet say different things the sheet goes before.
    show : bool
        Only tell what would change.
    out : TextIO, optional
        Where it is told; else on the screen.

    Returns
    -------
    int
        0 when all of it is in the diary, 1 when something waits for the coach.

    Raises
    ------
    RosterProblem
        When it is no sheet, somebody else's, or the diary cannot be written so that it can be read.
    FileProblem
        When a file cannot be read or written.
    """
    starts = roster.settings.week_starts
    sheet = read_sheet(
        _bytes(file, needed=True), file.name, slug=own.slug, names=[own.athlete().name], starts=starts
    )
    path = own.path / DIARY_FILE
    with own.held(path):
        before = _bytes(path)
        found = merged(DiaryTable.of(before, day_first=own.day_first), sheet.rows, take=take)
        if found.changes and not show:
            after = found.table.to_bytes()
            _refuse_worse(before, after, own)
            write_bytes(path, after)
    for line in _told(found, own, show=show):
        tell(line, to=out)
    for problem in sheet.problems:
        tell(problem, to=out)
    return int(bool(found.conflicts or found.unclear or sheet.problems))


def _told(found: Merged, own: AthleteFolder, *, show: bool) -> list[str]:
    """What changes, what is contradicted, what is unclear."""
    n = wording.count(len(found.changes), "cell")
    would = "would be filled in" if show else "filled in"
    lines = [f"{n.capitalize()} {would} in the diary of {own.slug}" + (":" if found.changes else ".")]
    lines += [f"  {_said(change)}" for change in found.changes]
    if found.conflicts:
        lines.append("The diary says otherwise and stays as it is; with --take the sheet goes before:")
        lines += [f"  {_said(conflict)}" for conflict in found.conflicts]
    for row in found.unclear:
        lines.append(
            f"Line {row.line}, {wording.day(row.on)}, was not taken: the diary has several rows of that day that it may "
            "belong to; write the start or what was planned into it as the diary has it"
        )
    return lines


def _said(change: Change) -> str:
    where = f"{wording.short_date(change.on)}, {change.column}"
    if change.was:
        return f"{where}: diary “{change.was}”, sheet “{change.now}”"
    return f"{where}: {change.now}" + (" (a new row)" if change.is_new_row else "")


def _refuse_worse(before: bytes, after: bytes, own: AthleteFolder) -> None:
    """Refuse to write what could not be read again."""
    known = set(read_diary(before, DIARY_FILE, day_first=own.day_first).problems)
    new = [p for p in read_diary(after, DIARY_FILE, day_first=own.day_first).problems if p not in known]
    n_known = len(known)
    if len(new) > n_known:
        raise RosterProblem(
            f"the diary of {own.slug} could not be read any more; nothing was written: {new[0]}"
        )


def _bytes(path: Path, *, needed: bool = False) -> bytes:
    """A file's bytes; none where it is not there and need not be."""
    try:
        if path.exists() and path.stat().st_size > LARGEST_DIARY:
            raise FileProblem(f"{path.name} holds {path.stat().st_size:,} bytes, as no diary does")
        return path.read_bytes()
    except FileNotFoundError:
        if not needed:
            return b""
        raise FileProblem(f"{path} is not there; name the sheet that came back") from None
    except OSError as problem:
        raise FileProblem(f"{path}: {refused_by_system(problem)}") from problem
