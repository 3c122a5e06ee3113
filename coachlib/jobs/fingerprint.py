"""What a page is made from: version, workbook and a checksum of each thing that is read for it."""

import hashlib
import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from coachlib import __version__
from coachlib.analysis.week.calendar import first_day
from coachlib.errors import CoachError, FileProblem, refused_by_system
from coachlib.files.roster.athlete_folder import DIARY_FILE, AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.recordings import Recordings
from coachlib.report.workbooks.books import book_path

#: A recording named after a day so long after the week's end is no part of the week, whatever the time zone.
MARGIN = timedelta(days=2)

#: What is planned for so long after the week stands in its letter.
AHEAD = timedelta(days=7)

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")


def fingerprint(folder: RosterFolder, owns: Sequence[AthleteFolder], book: str, week: str) -> dict[str, Any]:
    """Version and checksums of everything that a page about a week of these athletes is made from.

    Later weeks are no part of it, neither their notes nor recordings named after a later day; of the diary's rows the week
    after is, since its plans stand in the letter.  A recording that is left out for its date, and one day may not
    be, is told from one that counts.

    Raises
    ------
    FileProblem
        When something cannot be read.
    """
    stop = first_day(week, starts=folder.settings.week_starts) + timedelta(days=7)
    inputs = {"roster.toml": _checksum(_bytes_of(folder.path / "roster.toml"))}
    for own in owns:
        known = {entry.path: entry.sha256 for entry in folder.index.entries(own.recordings_dir)}
        left_out = _left_out(folder, own)
        for path in _files(own, week, stop):
            told = known.get(path) or _checksum(_bytes_of(path))
            inputs[path.relative_to(folder.path).as_posix()] = (
                f"{told} left out" if path in left_out else told
            )
        if (diary := own.path / DIARY_FILE).is_file():
            read = own.read_diary()
            plans = [
                (row.on, row.start, row.sport, row.planned, row.planned_min, row.target, row.kind)
                for row in read.rows
                if stop <= row.on < stop + AHEAD
            ]
            told = repr(([row for row in read.rows if row.on < stop], plans, read.problems))
            inputs[diary.relative_to(folder.path).as_posix()] = _checksum(told.encode())
    workbook = _checksum(book_path(book).read_bytes())
    return {"made_by": f"coachlib {__version__}", "workbook": workbook, "inputs": inputs}


def changed_since(before: Mapping[str, Any], now: Mapping[str, Any]) -> tuple[str, ...]:
    """What differs between two fingerprints of one athlete, in a few words.

    Examples
    --------
    >>> changed_since({"made_by": "a", "inputs": {"x/diary.csv": "1"}}, {"made_by": "a", "inputs": {}})
    ('diary.csv',)
    """
    said = [
        what
        for key, what in (("made_by", "the program"), ("workbook", "the workbook"))
        if before.get(key) != now.get(key)
    ]
    old, new = before.get("inputs", {}), now.get("inputs", {})
    files = sorted(
        {name.rpartition("/")[2] for name in old.keys() | new.keys() if old.get(name) != new.get(name)}
    )
    if len(files) > 3:
        return (*said, f"{len(files)} files")
    return (*said, *files)


def _left_out(folder: RosterFolder, own: AthleteFolder) -> set[Path]:
    """The recordings whose date cannot be, as of today."""
    entries = folder.index.entries(own.recordings_dir)
    try:
        return {entry.path for entry in entries} - {
            entry.path for entry in Recordings(folder=folder, own=own).entries
        }
    except CoachError:
        return set()  # the profile cannot be read, and no page is made


def _files(own: AthleteFolder, week: str, stop: date) -> Iterator[Path]:
    """The athlete's files that a page of a week may be made from, the diary left aside."""
    for path in sorted(own.path.rglob("*")):
        inside = path.relative_to(own.path).parts
        if any(part.startswith(".") for part in inside) or not path.is_file():
            continue
        room = own.path / inside[0] if len(inside) > 1 else own.path
        if room == own.reports_dir or inside == (DIARY_FILE,):
            continue
        if room == own.notes_dir and path.stem != week:
            continue
        if room == own.recordings_dir and (day := _DAY.match(path.name)) and _is_after(day[0], stop):
            continue
        yield path


def _is_after(day: str, stop: date) -> bool:
    try:
        return date.fromisoformat(day) >= stop + MARGIN
    except ValueError:
        return False


def _bytes_of(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as problem:
        raise FileProblem(f"{path.name} cannot be read: {refused_by_system(problem)}") from problem


def _checksum(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
