"""What runs that were killed leave behind, found and removed by the next one."""

import hashlib
import os
import platform
import re
import shutil
import tempfile
import time
from collections.abc import Iterable
from contextlib import suppress
from functools import cache
from pathlib import Path

import filelock

#: Unfinished files of another computer, or of unknown origin, are nobody's after this time. [s]  Own choice:
#: writing takes moments.
ABANDONED_AFTER_S = 3600.0

_MARK = re.compile(r"(?P<host>[0-9a-f]{6})-(?P<process>\d+)-")
#: Files being written, as this version and the one before name them.
_UNFINISHED = re.compile(
    r"^\..+\.(?:[0-9a-f]{6}-\d+-[0-9a-f]{8}|[0-9a-f]{12})\.tmp$|^\.\d{4}-W\d\d-[a-z0-9_]{8}\.(?:html|json)$"
)
#: Where a Python process that runs workbooks keeps its sockets; its own starter's number is in the name.
_PROCESS_FOLDER = re.compile(r"^coach-(\d+)-")


def marked_as_ours() -> str:
    """Name this computer and this process, to stand in the name of what is unfinished.

    Examples
    --------
    >>> is_abandoned(f".a.{marked_as_ours()}-0f0f0f0f.tmp", age_s=10)
    False
    """
    return f"{_host()}-{os.getpid()}"


def is_abandoned(name: str, *, age_s: float) -> bool:
    """Whether nobody will finish what is called so.

    Parameters
    ----------
    name : str
        A name with `marked_as_ours` in it, or another one.
    age_s : float
        For how long nothing was written to it. [s]

    Examples
    --------
    >>> is_abandoned(".a.123456789abc.tmp", age_s=10), is_abandoned(".a.123456789abc.tmp", age_s=1e5)
    (False, True)
    """
    mark = _MARK.search(name)
    if mark and mark["host"] == _host() and not _is_running(int(mark["process"])):
        return True
    return age_s > ABANDONED_AFTER_S


def remove_leftovers(folders: Iterable[Path], *, locks: Path) -> None:
    """Remove unfinished files, the locks of nobody, and the folders of Python processes that are gone.

    Nothing that cannot be removed stops anybody.

    Parameters
    ----------
    folders : iterable of Path
        Where files are written; those inside them are not looked into.
    locks : Path
        The folder of the roster's locks.
    """
    for folder in folders:
        for path in _entries(folder):
            if _UNFINISHED.match(path.name) and is_abandoned(path.name, age_s=_age_s(path)):
                with suppress(OSError):
                    path.unlink()
    for path in _entries(locks):
        if path.suffix == ".lock":
            _remove_lock(path)
    for path in _entries(Path(tempfile.gettempdir())):
        if (found := _PROCESS_FOLDER.match(path.name)) and _is_own(path) and not _is_running(int(found[1])):
            shutil.rmtree(path, ignore_errors=True)


def _remove_lock(path: Path) -> None:
    """Remove a lock that nobody holds; who waits for it makes a new one."""
    with suppress(OSError, filelock.Timeout), filelock.FileLock(path, timeout=0):
        path.unlink(missing_ok=True)


def _entries(folder: Path) -> list[Path]:
    try:
        return list(folder.iterdir())
    except OSError:
        return []


def _age_s(path: Path) -> float:
    try:
        return time.time() - path.stat().st_mtime
    except OSError:
        return 0.0


def _is_own(path: Path) -> bool:
    try:
        return not hasattr(os, "getuid") or path.lstat().st_uid == os.getuid()
    except OSError:
        return False


def _is_running(process: int) -> bool:
    """Whether a process of this computer is there, whoever started it; where that cannot be asked, it is."""
    if os.name != "posix":
        return True
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):
        pass
    return True


@cache
def _host() -> str:
    return hashlib.sha256(platform.node().encode()).hexdigest()[:6]
