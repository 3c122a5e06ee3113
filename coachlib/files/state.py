"""What the disk says of a folder and of this program, without opening a file: the same answer, nothing changed.

Sizes, times and places of files are looked at, as the index looks at recordings.  A file that changed so shortly
before that a clock may not tell makes a look unsettled: then nothing may be said to be unchanged.
"""

import hashlib
import os
import stat
import sys
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

#: A file that changed so shortly before it was looked at may have changed again within one tick of its clock.
#: Own choice; the coarsest clocks of file systems tick every two seconds.  [ns]
TICK_NS = 2_000_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """A checksum of what a look found, and whether everything had lain still long enough."""

    checksum: str
    is_settled: bool


def state_of_folder(folder: Path, *, without: str, written: str) -> State:
    """Look at everything in a folder.

    Parameters
    ----------
    folder : Path
        Which; it may be gone.
    without : str
        What lies in it by this name is left aside.
    written : str
        In folders of this name only links and folders count: this program writes files there and reads none.
    """
    looked_at_ns, newest_ns = time.time_ns(), 0
    lines = [f"{os.path.realpath(folder)}\0{_of_folder(os.fspath(folder))}"]
    for entry in _entries(folder):
        if entry.name == without:
            continue
        for each in (entry, *_below(entry, written)):
            told, changed_ns = _told(each)
            lines.append(f"{each.path}\0{told}")
            newest_ns = max(newest_ns, changed_ns)
    return State(checksum=_checksum(lines), is_settled=newest_ns < looked_at_ns - TICK_NS)


def state_of_program() -> str:
    """A checksum of what the disk says of this program's own modules, so that another program is told from it.

    Examples
    --------
    >>> state_of_program() == state_of_program()
    True
    """
    modules = sorted(Path(__file__).parents[1].rglob("*.py"))
    looks = [(path, path.stat()) for path in modules]
    return _checksum([sys.version, *(f"{path}\0{s.st_size} {s.st_mtime_ns}" for path, s in looks)])


def _checksum(lines: Iterable[str]) -> str:
    return hashlib.sha256("\n".join(lines).encode(errors="surrogateescape")).hexdigest()


def _entries(folder: Path | str) -> list[os.DirEntry[str]]:
    """What lies in a folder, by name; nothing where it cannot be listed, which ``_of_folder`` tells."""
    try:
        with os.scandir(folder) as found:
            return sorted(found, key=lambda entry: entry.name)
    except OSError:
        return []


def _below(entry: os.DirEntry[str], written: str) -> Iterator[os.DirEntry[str]]:
    """Everything below a folder that is read; links are not followed."""
    if entry.is_dir(follow_symlinks=False):
        for each in _entries(entry.path):
            if entry.name != written or not each.is_file(follow_symlinks=False):
                yield each
                yield from _below(each, written)


def _told(entry: os.DirEntry[str]) -> tuple[str, int]:
    """What the disk says of one entry, and when a file changed last."""
    if entry.is_symlink():
        return f"link {os.path.realpath(entry.path)} {_of_file(entry.path)}", 0
    if entry.is_dir(follow_symlinks=False):
        return _of_folder(entry.path), 0
    s = entry.stat(follow_symlinks=False)
    return _words(s), max(s.st_mtime_ns, s.st_ctime_ns)


def _of_file(path: str) -> str:
    """What lies at the end of a link."""
    try:
        return _words(os.stat(path))  # noqa: PTH116 - a Path for each of thousands takes longer than the look
    except OSError as problem:
        return f"nothing {problem.errno}"


def _words(s: os.stat_result) -> str:
    return f"{s.st_mode} {s.st_uid} {s.st_size} {s.st_mtime_ns} {s.st_ctime_ns} {s.st_ino}"


def _of_folder(path: str) -> str:
    """Who may look into a folder; what lies in it is looked at by itself."""
    try:
        s = os.stat(path)  # noqa: PTH116
    except OSError as problem:
        return f"nothing {problem.errno}"
    may_be_listed = os.access(path, os.R_OK | os.X_OK)
    return f"folder {stat.S_IMODE(s.st_mode)} {s.st_uid} {s.st_gid} {may_be_listed}"
