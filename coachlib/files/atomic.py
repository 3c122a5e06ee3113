"""Writing files so that nobody ever sees half of one, and two writers never lose each other's work."""

import hashlib
import os
import secrets
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import filelock

from coachlib.errors import FileProblem

#: How long a writer waits for another one before it gives up.  [s]
LONGEST_WAIT_S = 20.0


def write_bytes(path: Path | str, data: bytes, *, owner_only: bool = False, is_derived: bool = False) -> None:
    """Replace a file's contents in one step; on failure the old contents stay and nothing else is left.

    Parameters
    ----------
    path : Path or str
        The file; its folder must exist.
    data : bytes
        The new contents.
    owner_only : bool
        Whether nobody but the owner may read it.
    is_derived : bool
        Whether it can be made again, so that it need not be forced to the disk, which takes time.

    Raises
    ------
    FileProblem
        When the folder cannot be written to, or the disk is full.

    Source
    ------
    This project's own choice: a temporary file in the same folder, forced to the disk, then renamed.

    Examples
    --------
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_bytes(Path(folder) / "a.txt", b"done")
    ...     [file.name for file in Path(folder).iterdir()]
    ['a.txt']
    """
    target = Path(path).resolve()  # a link stays a link
    temporary = target.with_name(f".{target.name[:80]}.{secrets.token_hex(6)}.tmp")
    try:
        with open(temporary, "xb", opener=_owner_only if owner_only else None) as file:
            file.write(data)
            file.flush()
            if not is_derived:
                os.fsync(file.fileno())
        if target.exists() and not owner_only:
            shutil.copymode(target, temporary)
        temporary.replace(target)
    except OSError as problem:
        raise FileProblem(
            f"{path} cannot be written: {problem.strerror or problem}. "
            "Check that its folder exists, may be written to, and that the disk has room."
        ) from problem
    finally:
        temporary.unlink(missing_ok=True)


def _owner_only(path: str, flags: int) -> int:
    """Open a new file so that only its owner may read it."""
    return os.open(path, flags, 0o600)


def write_text(path: Path | str, text: str) -> None:
    """Replace a text file's contents in one step, in UTF-8 with the line ends as given; see `write_bytes`.

    Examples
    --------
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_text(Path(folder) / "a.txt", "Größe")
    ...     (Path(folder) / "a.txt").read_text(encoding="utf-8")
    'Größe'
    """
    write_bytes(path, text.encode("utf-8"))


@contextmanager
def locked(
    path: Path | str, *, folder: Path | None = None, longest_wait_s: float = LONGEST_WAIT_S
) -> Iterator[None]:
    """Hold a file for reading, changing and writing it back, so that no other writer comes between.

    Parameters
    ----------
    path : Path or str
        The file to hold; it need not exist.
    folder : Path, optional
        Where the lock's own file lies: a roster's ``.coachlib`` folder, so that two computers that share
        the roster see it.  Else the computer's temporary folder, so that no folder is littered.
    longest_wait_s : float
        Give up when another writer holds the file for longer. [s]

    Raises
    ------
    FileProblem
        When another program holds the file for too long, or no lock can be made.

    Notes
    -----
    Locks work among programs that ask for them.  Within one thread a file may be locked again.

    Examples
    --------
    >>> with tempfile.TemporaryDirectory() as folder, locked(Path(folder) / "a.txt"):
    ...     write_text(Path(folder) / "a.txt", "mine")
    """
    target = Path(path).resolve()
    name = hashlib.sha256(os.fsencode(target)).hexdigest()[:24]
    try:
        folder = _own_temporary_folder() if folder is None else folder
        folder.mkdir(parents=True, exist_ok=True)
        lock = filelock.FileLock(folder / f"{name}.lock", is_singleton=True)
        lock.acquire(timeout=longest_wait_s)
    except filelock.Timeout as problem:
        raise FileProblem(
            f"{path} is being changed by another program since more than {longest_wait_s:g} s. "
            "Close it there, or wait, and try again."
        ) from problem
    except OSError as problem:
        raise FileProblem(
            f"{path} cannot be locked for writing: {problem.strerror or problem}. "
            f"Check that {folder} may be written to."
        ) from problem
    try:
        yield
    finally:
        lock.release()


def _own_temporary_folder() -> Path:
    """A folder for this user's locks; where users have no number the temporary folder is their own."""
    user = os.getuid() if hasattr(os, "getuid") else ""
    folder = Path(tempfile.gettempdir()) / f"coachlib-locks-{user}"
    folder.mkdir(mode=0o700, exist_ok=True)
    return folder
