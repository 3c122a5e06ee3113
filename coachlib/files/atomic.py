"""Writing files so that nobody ever sees half of one, and two writers never lose each other's work."""

import hashlib
import os
import secrets
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

import filelock

from coachlib.errors import FileProblem, refused_by_system
from coachlib.files.leftovers import marked_as_ours

#: How long a writer waits for another one before it gives up.  [s]
LONGEST_WAIT_S = 20.0


def write_bytes(path: Path | str, data: bytes, *, private: bool = False, is_derived: bool = False) -> None:
    """Replace a file's contents in one step, as `write_together` does.

    Examples
    --------
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_bytes(Path(folder) / "a.txt", b"done")
    ...     [file.name for file in Path(folder).iterdir()]
    ['a.txt']
    """
    write_together({Path(path): data}, private=private, is_derived=is_derived)


def write_together(
    contents: Mapping[Path, bytes], *, private: bool = False, is_derived: bool = False
) -> None:
    """Replace the contents of some files, each in one step, once all of them are wholly on the disk.

    On failure the old contents stay and nothing else is left.  Only between the last steps, which rename, may a
    computer that stops leave one file new and the next old: where that matters, one of them carries the checksum
    of the other.

    Parameters
    ----------
    contents : mapping of Path to bytes
        The new contents; the folders must exist.
    private : bool
        For the owner's eyes only, whatever the former file allowed; else a file keeps its permissions.
    is_derived : bool
        Can be made again, so it is not forced to the disk, which takes time.

    Raises
    ------
    FileProblem
        When a folder cannot be written to, or the disk is full.

    Notes
    -----
    A temporary file in the same folder, forced to the disk, then renamed.

    Examples
    --------
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_together({Path(folder) / "a": b"1", Path(folder) / "b": b"2"})
    ...     sorted(file.name for file in Path(folder).iterdir())
    ['a', 'b']
    """
    path = Path()
    written: list[tuple[Path, Path]] = []
    try:
        for path, data in contents.items():
            target = path.resolve()  # a link stays a link
            temporary = target.with_name(f".{target.name[:80]}.{marked_as_ours()}-{secrets.token_hex(4)}.tmp")
            written.append((temporary, target))
            handle = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600 if private else 0o666)
            with os.fdopen(handle, "wb") as file:
                file.write(data)
                file.flush()
                if not is_derived:
                    os.fsync(file.fileno())
            if target.exists() and not private:
                shutil.copymode(target, temporary)
        for temporary, path in written:
            temporary.replace(path)
    except OSError as problem:
        raise FileProblem(f"{path} cannot be written: {refused_by_system(problem)}") from problem
    finally:
        for temporary, _ in written:
            with suppress(OSError):
                temporary.unlink(missing_ok=True)


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
            f"{path} cannot be locked for writing in {folder}: {refused_by_system(problem)}"
        ) from problem
    try:
        yield
    finally:
        if lock.lock_counter == 1:
            with suppress(OSError):  # some systems remove no file that is open
                Path(lock.lock_file).unlink(missing_ok=True)
        lock.release()


def _own_temporary_folder() -> Path:
    """A folder for this user's locks; where users have no number the temporary folder is their own."""
    user = os.getuid() if hasattr(os, "getuid") else ""
    folder = Path(tempfile.gettempdir()) / f"coachlib-locks-{user}"
    folder.mkdir(mode=0o700, exist_ok=True)
    return folder
