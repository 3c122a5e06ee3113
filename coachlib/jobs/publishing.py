"""The one door: every page that a person may keep goes through it, with the numbers beside it, or stays inside."""

import hashlib
import json
import re
from collections.abc import Callable, Collection, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from coachlib.errors import CoachError, FileProblem, refused_by_system
from coachlib.files.atomic import locked, write_together
from coachlib.files.roster.athlete_folder import ATHLETE_FILE, AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.files.roster.places import DERIVED_FOLDER
from coachlib.jobs.clearing import MADE_FOLDER
from coachlib.report.page.gate import TAKE_OUT, check_page
from coachlib.report.page.names import LookOut
from coachlib.report.page.other_files import check_file
from coachlib.report.page.page import render

#: The numbers' name for the checksum of the page they belong to.
PAGE_CHECKSUM = "page_sha256"

_ADDRESS_LINE = re.compile(r"""^[ \t]*email[ \t]*=[ \t]*(["'])(.+?)\1""", re.MULTILINE)
_NAME_LINE = re.compile(r"""^[ \t]*name[ \t]*=[ \t]*(["'])(.+?)\1""", re.MULTILINE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """A page before it is published.

    Parameters
    ----------
    name : str
        Its file's name without ending.
    title : str
        As a phone shows it in its list of pages.
    blocks : sequence of str
        `coachlib.report.page.blocks.Html` pieces in their order; words that people typed stand in elements that say so
        (see `coachlib.report.page.marks`).
    numbers : mapping or None
        What is kept beside the page, for the same eyes; None where nothing is.
    week : str or None
        The week whose note says which names may stand on the page; None: no other name may.
    links : collection of str
        Where the page may link to; a page for an athlete links nowhere.
    made_from, for_coach : mapping
        What the page is made from, and what only the coach should know; both stay in the roster's derived folder.
    """

    name: str
    title: str
    blocks: Sequence[str]
    numbers: Mapping[str, Any] | None = None
    week: str | None = None
    links: Collection[str] = ()
    made_from: Mapping[str, Any] = field(default_factory=dict)
    for_coach: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A page that is there.

    ``is_whole``: page and numbers belong together.  ``made_from`` and ``for_coach`` are None where that is not
    known any more.
    """

    path: Path
    numbers: Mapping[str, Any]
    is_whole: bool
    made_from: Mapping[str, Any] | None
    for_coach: Mapping[str, Any] | None


def publish(
    page: Page, owner: AthleteFolder | None, roster: RosterFolder, *, keeps_former: bool = False
) -> Path:
    """Look at a page as the last one before a person, and put it and its numbers in their place.

    Parameters
    ----------
    page : Page
        What it is made of.
    owner : AthleteFolder or None
        Whose page it is; None: the coach's own, which may name everybody.
    roster : RosterFolder
        On which everybody else is.
    keeps_former : bool
        Keep the page that stood there, beside the new one.

    Returns
    -------
    Path
        The page; it, its numbers and what is kept about them may be read by their owner only.

    Raises
    ------
    ReportProblem
        When page or numbers hold what they must not hold; nothing is written then.
    FileProblem
        When they cannot be written; what stood there stays.

    Notes
    -----
    The numbers carry the checksum of their page, so that two halves of different
    runs are noticed (`standing`).
    """
    text = render(page.blocks, title=page.title, accent=roster.settings.accent)
    check_page(
        text,
        numbers=page.numbers,
        look_out=None if owner is None else _look_out(page.week, owner, roster),
        links=page.links,
        name_cure=_name_cure(page.week),
    )
    path, json_path, record_path = _paths(page.name, owner, roster)
    contents = {path: text.encode()}
    if page.numbers is not None:
        contents[json_path] = _json({**page.numbers, PAGE_CHECKSUM: _checksum(contents[path])})
    _make_folder(path.parent)
    with _held(path, roster):
        if keeps_former and path.exists():
            _keep_former(path, json_path)
        write_together(contents, private=True)
    if page.made_from:
        record = {
            "made_from": page.made_from,
            "for_coach": page.for_coach,
            "sha256": [_checksum(contents[path]), _checksum(contents.get(json_path, b""))],
        }
        try:
            _make_folder(record_path.parent)
            write_together({record_path: _json(record)}, private=True)
        except FileProblem:
            pass  # the page stands; without the record it is made once more than needed
    return path


def let_out(
    files: Mapping[Path, bytes],
    owner: AthleteFolder,
    roster: RosterFolder,
    *,
    own_lines: Collection[str] = (),
    week: str | None = None,
) -> None:
    """Look at files for an athlete that are no pages, as the last one before a person, and put them in their place.

    Parameters
    ----------
    files : mapping of Path to bytes
        Where each goes, and what it holds to the last byte: mail drafts (.eml), calendars (.ics), tables (.csv),
        .json, .txt, .md, and copies of pages (.html).  A mail's parts are looked into like files of their own.
    owner : AthleteFolder
        For whom they are.
    roster : RosterFolder
        On which everybody else is.
    own_lines : collection of str
        Lines, table cells and calendar lines that are the program's own words, whole; all else counts as typed by
        people, where a word such as Will or May may be a name.
    week : str, optional
        The week whose note says which names may stand in them.

    Raises
    ------
    ReportProblem
        When one holds what it must not hold; nothing is written then.
    FileProblem
        When they cannot be written; what stood there stays.
    """
    look_out = _look_out(week, owner, roster)
    for path, data in files.items():
        check_file(path.name, data, look_out=look_out, own_lines=own_lines, name_cure=_name_cure(week))
    for folder in {path.parent for path in files}:
        _make_folder(folder)
    write_together(files, private=True)


def reworded(name: str, owner: AthleteFolder, roster: RosterFolder, change: Callable[[str], str]) -> bool:
    """Change the words of a page that stands, of its numbers and of what is known about it; all stay one state.

    Parameters
    ----------
    name : str
        The page's name without ending.
    owner, roster : AthleteFolder, RosterFolder
        Whose page it is.
    change : callable
        From each text to what it shall be.

    Returns
    -------
    bool
        Whether anything was different afterwards.
    """
    path, json_path, record_path = _paths(name, owner, roster)
    page, kept, record = (_bytes_of(each) for each in (path, json_path, record_path))
    contents = {path: change(page.decode("utf-8", "replace")).encode()}
    numbers, known = _read(kept), _read(record)
    if kept:
        told = json.loads(change(json.dumps(numbers, ensure_ascii=False)))
        if numbers.get(PAGE_CHECKSUM) == _checksum(page):
            told[PAGE_CHECKSUM] = _checksum(contents[path])
        contents[json_path] = kept if told == numbers else _json(told)
    if record:
        told = json.loads(change(json.dumps(known, ensure_ascii=False)))
        if known.get("sha256") == [_checksum(page), _checksum(kept)]:
            told["sha256"] = [_checksum(contents[path]), _checksum(contents.get(json_path, b""))]
        contents[record_path] = record if told == known else _json(told)
    before = {path: page, json_path: kept, record_path: record}
    changed = {each: data for each, data in contents.items() if data != before[each]}
    with _held(path, roster):
        write_together(changed, private=True)
    return bool(changed)


def standing(name: str, owner: AthleteFolder | None, roster: RosterFolder) -> Standing | None:
    """What stands under a page's name; None where there is no page or an empty one."""
    path, json_path, record_path = _paths(name, owner, roster)
    page, kept = _bytes_of(path), _bytes_of(json_path)
    if not page:
        return None
    numbers, record = _read(kept), _read(_bytes_of(record_path))
    checksums = [_checksum(page), _checksum(kept)]
    is_known = record.get("sha256") == checksums
    return Standing(
        path=path,
        numbers=numbers,
        is_whole=numbers.get(PAGE_CHECKSUM) == checksums[0] and (is_known or not record),
        made_from=record.get("made_from") if is_known else None,
        for_coach=record.get("for_coach") if is_known else None,
    )


def names_of_others(roster: RosterFolder, owner: AthleteFolder) -> tuple[str, ...]:
    """The whole names of everybody else on the roster; a profile that cannot be read still tells its name."""
    return tuple(name for other in _others(roster, owner) for name in _names_of(other))


def _others(roster: RosterFolder, owner: AthleteFolder) -> list[AthleteFolder]:
    return [
        AthleteFolder(slug=slug, path=roster.path / slug) for slug in roster.athletes() if slug != owner.slug
    ]


def _names_of(other: AthleteFolder) -> list[str]:
    try:
        return [other.athlete().name]
    except CoachError:
        found = _said_in_profile(other, _NAME_LINE)
        return [other.slug, *found]


def _addresses_of(other: AthleteFolder) -> list[str]:
    try:
        address = other.athlete().email
        return [address] if address else []
    except CoachError:
        return _said_in_profile(other, _ADDRESS_LINE)


def _said_in_profile(other: AthleteFolder, line: re.Pattern[str]) -> list[str]:
    """What a line of a profile says that cannot be read as a whole."""
    found = line.search(_bytes_of(other.path / ATHLETE_FILE).decode("utf-8", "replace"))
    return [] if found is None else [found[2]]


def _look_out(week: str | None, owner: AthleteFolder, roster: RosterFolder) -> LookOut:
    """Whose names may not stand in what an athlete gets."""
    own = owner.athlete()
    addresses = {address for other in _others(roster, owner) for address in _addresses_of(other)}
    return LookOut(
        others=names_of_others(roster, owner),
        own=own.name,
        allowed=owner.note(week).names_allowed if week else (),
        coach=roster.settings.coach,
        addresses=sorted(addresses - {own.email}),
    )


def _name_cure(week: str | None) -> str:
    if week is None:
        return TAKE_OUT
    return (
        f'Take the name out, or, where it is meant, write "names allowed: NAMES" as the first line of the note '
        f"notes/{week}.md."
    )


def _paths(name: str, owner: AthleteFolder | None, roster: RosterFolder) -> tuple[Path, Path, Path]:
    """Where a page lies, its numbers, and what is kept about both."""
    reports = roster.reports_dir if owner is None else owner.reports_dir
    made = roster.path / DERIVED_FOLDER / MADE_FOLDER
    made = made if owner is None else made / owner.slug
    return reports / f"{name}.html", reports / f"{name}.json", made / f"{name}.json"


def _keep_former(path: Path, json_path: Path) -> None:
    """Keep copies of a page and its numbers under the first free name."""
    n = 1
    while (former := path.with_name(f"{path.stem}.former-{n}.html")).exists():
        n += 1
    contents = {former: path.read_bytes()}
    if json_path.exists():
        contents[former.with_suffix(".json")] = json_path.read_bytes()
    write_together(contents, private=True)


def _held(path: Path, roster: RosterFolder) -> AbstractContextManager[None]:
    """Hold a page against another run of the same."""
    return locked(path, folder=roster.path / DERIVED_FOLDER / "locks")


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise FileProblem(f"the folder {folder} cannot be made: {refused_by_system(problem)}") from problem


def _bytes_of(path: Path) -> bytes:
    """A file's bytes; none where it is not there or cannot be read."""
    try:
        return path.read_bytes()
    except OSError:
        return b""


def _read(data: bytes) -> dict[str, Any]:
    """What a JSON file holds; nothing where it is damaged."""
    try:
        found = json.loads(data)
    except (ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


def _json(values: Mapping[str, Any]) -> bytes:
    return (json.dumps(dict(values), allow_nan=False, ensure_ascii=False, indent=1) + "\n").encode()


def _checksum(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
