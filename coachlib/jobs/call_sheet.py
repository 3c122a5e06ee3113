"""The coach's Monday: the roster's call sheet as a page, made again only when something has changed."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coachlib import __version__
from coachlib.errors import CoachError
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.files.store.store import sha256_of
from coachlib.jobs.history import links_of_sheet
from coachlib.report.page.gate import check_page
from coachlib.report.page.page import numbers_of, render
from coachlib.report.page.saving import save_letter
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

    Source
    ------
    This project's own choice.  The page holds everybody's data and is for the coach alone.
    """
    html_path, json_path = folder.reports_dir / f"{week}.html", folder.reports_dir / f"{week}.json"
    try:
        slugs = folder.athletes()
        links = sorted(links_of_sheet(folder, slugs, week).values())
        made_from = {**fingerprint(folder, [folder.athlete(slug) for slug in slugs], BOOK), "links": links}
        kept = None if again or not html_path.is_file() else kept_numbers(json_path, made_from)
        if kept is not None:
            return SheetMade(path=html_path, strongest=_strongest(kept), unchanged=True)
        book = runner.run(book_path(BOOK), {"roster": str(folder.path), "week": week})
        numbers = numbers_of(book)
        page = render(book, title=f"Call sheet, week {week}", accent=folder.settings.accent)
        check_page(page, links=links)
        save_letter(page, {**numbers, **made_from}, html_path=html_path, json_path=json_path)
    except CoachError as problem:
        return SheetMade(path=None, strongest={}, remarks=str(problem), failed=True)
    return SheetMade(path=html_path, strongest=_strongest(numbers))


def _strongest(numbers: Mapping[str, Any]) -> dict[str, str]:
    """Everybody's strongest reason in a few words, in order of need; "" for those who are fine."""
    return {
        entry["slug"]: in_short(entry["group"], [reason["kind"] for reason in entry["reasons"]])
        for entry in numbers["in_order"]
    }


def fingerprint(folder: RosterFolder, owns: Sequence[AthleteFolder], book: str) -> dict[str, Any]:
    """Version and checksums of everything a page about these athletes is made from, by path in the roster."""
    files = [folder.path / "roster.toml"]
    for own in owns:
        files += [
            p
            for p in own.path.rglob("*")
            if p.is_file() and own.reports_dir not in p.parents and not p.name.startswith(".")
        ]
    inputs = {p.relative_to(folder.path).as_posix(): sha256_of(p) for p in sorted(files)}
    workbook = hashlib.sha256(book_path(book).read_bytes()).hexdigest()
    return {"made_by": f"coachlib {__version__}", "workbook": workbook, "inputs": inputs}


def kept_numbers(json_path: Path, made_from: Mapping[str, Any]) -> dict[str, Any] | None:
    """The numbers beside a page that was made from exactly these inputs."""
    try:
        kept = json.loads(json_path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    same = isinstance(kept, dict) and all(kept.get(key) == value for key, value in made_from.items())
    return kept if same else None
