"""The coach's Monday: the roster's call sheet as a page, made again only when something has changed."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coachlib.errors import CoachError, refused_by_system
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.fingerprint import fingerprint
from coachlib.jobs.history import links_of_sheet
from coachlib.jobs.publishing import Page, publish, standing
from coachlib.report.page.page import blocks_of, numbers_of
from coachlib.report.words.roster import in_short
from coachlib.report.workbooks.books import book_path
from coachlib.report.workbooks.runner import BookRunner

BOOK = "roster"


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetMade:
    """What became of the call sheet; ``strongest`` has everybody's folder in order of need, with why in short."""

    path: Path | None
    strongest: Mapping[str, str]
    remarks: str = ""
    failed: bool = False
    unchanged: bool = False


def make_call_sheet(folder: RosterFolder, week: str, *, runner: BookRunner, again: bool = False) -> SheetMade:
    """Make the call sheet of a week, unless it stands already and nothing it is made from has changed.

    Notes
    -----
    The page holds everybody's data and is for the coach alone.
    """
    try:
        slugs = folder.athletes()
        links = sorted(links_of_sheet(folder, slugs, week).values())
        everybody = [folder.athlete(slug) for slug in slugs]
        made_from = {**fingerprint(folder, everybody, BOOK, week), "links": links}
        found = standing(week, None, folder)
        if found is not None and found.is_whole and found.made_from == made_from and not again:
            return SheetMade(path=found.path, strongest=_strongest(found.numbers), unchanged=True)
        book = runner.run(book_path(BOOK), {"roster": str(folder.path), "week": week})
        numbers = numbers_of(book)
        page = Page(
            name=week,
            title=f"Call sheet, week {week}",
            blocks=blocks_of(book),
            numbers=numbers,
            links=links,
            made_from=made_from,
        )
        path = publish(page, None, folder)
    except CoachError as problem:
        return SheetMade(path=None, strongest={}, remarks=str(problem), failed=True)
    except OSError as problem:
        why = f"the roster cannot be read: {refused_by_system(problem)}"
        return SheetMade(path=None, strongest={}, remarks=why, failed=True)
    return SheetMade(path=path, strongest=_strongest(numbers))


def _strongest(numbers: Mapping[str, Any]) -> dict[str, str]:
    """Everybody's strongest reason in a few words, in order of need; "" for those who are fine."""
    return {
        entry["slug"]: in_short(entry["group"], [reason["kind"] for reason in entry["reasons"]])
        for entry in numbers["in_order"]
    }
