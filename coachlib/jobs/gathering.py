"""What a person has, as files that may be recordings: folders, patterns, packed files and what lies in them."""

import glob
import gzip
import os
import tempfile
import zipfile
import zlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from typing import IO

from coachlib.errors import FileProblem, refused_by_system
from coachlib.files.fit.container import LARGEST_FILE_BYTES
from coachlib.files.formats import ENDINGS

#: Endings of what may hold recordings, among files that nobody named one by one.
_ENDINGS = (*ENDINGS, *(f"{ending}.gz" for ending in ENDINGS), ".zip")
#: Archives lie in archives no deeper than this.  Own choice: an account's export has a .zip in a .zip.
_DEEPEST = 3
#: What archives and disks hold beside the files that a person put there.
_SYSTEMS_OWN = ("__MACOSX",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A file that may be a recording: what to call it, and where it or its archive lies."""

    label: str
    path: Path
    inside: tuple[str, ...] = ()


@dataclass(kw_only=True)
class Gathered:
    """All sources in order, what was passed over, and what could not be looked into, with why."""

    sources: list[Source] = field(default_factory=list)
    passed_over: list[str] = field(default_factory=list)
    refused: list[tuple[str, str]] = field(default_factory=list)


def gather(named: Sequence[str | Path]) -> Gathered:
    """Find every file that may be a recording in what was named.

    Parameters
    ----------
    named : sequence of path or str
        Files, folders, or patterns such as ``card/*.fit``, where the shell did not resolve them.

    Returns
    -------
    Gathered
        A file that was named itself is taken whatever its ending.  Hidden files and folders are left aside.
    """
    found = Gathered()
    seen: set[Path] = set()
    for each in named:
        path = Path(each).expanduser()
        if path.is_dir():
            _add_folder(path, found, seen)
        elif path.exists():
            _add_file(path, found, seen)
        elif matches := sorted(glob.glob(str(path), recursive=True)):  # noqa: PTH207 - patterns may be absolute
            for match in map(Path, matches):
                if match.is_dir():
                    _add_folder(match, found, seen)
                else:
                    _add_file(match, found, seen)
        elif glob.has_magic(str(path)):
            found.refused.append((str(each), "nothing fits this pattern"))
        else:
            found.refused.append((str(each), "is not there; name files or folders"))
    return found


def _add_folder(folder: Path, found: Gathered, seen: set[Path]) -> None:
    def refuse(problem: OSError) -> None:
        found.refused.append((str(problem.filename), refused_by_system(problem)))

    paths = []
    for here, folders, files in os.walk(folder, onerror=refuse):
        folders[:] = [name for name in folders if not _is_hidden(name)]
        paths += [Path(here) / name for name in files if not _is_hidden(name)]
    for path in sorted(paths):
        if path.name.lower().endswith(_ENDINGS):
            _add_file(path, found, seen)
        else:
            found.passed_over.append(str(path))


def _add_file(path: Path, found: Gathered, seen: set[Path]) -> None:
    real = Path(os.path.realpath(path))
    if real in seen:
        return
    seen.add(real)
    try:
        is_archive = zipfile.is_zipfile(path)
        if is_archive:
            with path.open("rb") as file:
                _add_members(file, Source(label=str(path), path=path), found)
        else:
            found.sources.append(Source(label=str(path), path=path))
    except OSError as problem:
        found.refused.append((str(path), refused_by_system(problem)))


def _add_members(file: IO[bytes], archive: Source, found: Gathered) -> None:
    """The files in an archive, and in archives within it."""
    try:
        with zipfile.ZipFile(file) as opened:
            for member in opened.infolist():
                label = f"{archive.label}/{member.filename}"
                if member.is_dir() or any(_is_hidden(part) for part in PurePosixPath(member.filename).parts):
                    continue
                source = Source(label=label, path=archive.path, inside=(*archive.inside, member.filename))
                if not member.filename.lower().endswith(_ENDINGS):
                    found.passed_over.append(label)
                elif not member.filename.lower().endswith(".zip"):
                    found.sources.append(source)
                elif len(source.inside) >= _DEEPEST:
                    found.refused.append((label, "archives lie in archives too deeply; unpack them first"))
                else:
                    with opened.open(member) as inner, tempfile.TemporaryFile() as unpacked:
                        _copy(inner, unpacked, label, most=_DEEPEST * 20 * LARGEST_FILE_BYTES)
                        _add_members(unpacked, source, found)
    except FileProblem as problem:
        found.refused.append((archive.label, str(problem)))
    except _DAMAGE as problem:
        found.refused.append((archive.label, _damaged(problem)))


#: What a damaged or locked archive raises.
_DAMAGE = (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, NotImplementedError, ValueError, OSError)


def _damaged(problem: Exception) -> str:
    if isinstance(problem, RuntimeError) and "encrypted" in str(problem):
        return "is locked with a password; unpack it first"
    return f"is damaged and cannot be unpacked ({problem or type(problem).__name__}); copy it again"


@contextmanager
def opened(source: Source) -> Iterator[Path]:
    """A source as a plain file on the disk: itself, or a copy unpacked for the time being.

    Raises
    ------
    FileProblem
        When it is packed and cannot be unpacked.
    """
    if not source.inside and not _is_gzip(source.path):
        yield source.path
        return
    name = PurePosixPath(source.inside[-1] if source.inside else source.path.name).name
    with tempfile.TemporaryDirectory(prefix="coachlib-") as folder:
        path = Path(folder) / (name[:-3] if name.lower().endswith(".gz") else name)
        try:
            with path.open("wb") as unpacked, source.path.open("rb") as file:
                _unpack(file, source.inside, unpacked, source.label)
        except _DAMAGE as problem:
            raise FileProblem(f"{source.label} {_damaged(problem)}") from None
        yield path


def _unpack(file: IO[bytes], inside: Sequence[str], to: IO[bytes], label: str) -> None:
    """Follow the way into archives within archives, and unpack what lies at its end."""
    if not inside:
        head = file.read(2)
        file.seek(0)
        if head == b"\x1f\x8b":
            with gzip.open(file) as packed:
                _copy(packed, to, label)
        else:
            _copy(file, to, label)
        return
    with (
        zipfile.ZipFile(file) as archive,
        archive.open(inside[0]) as member,
        tempfile.TemporaryFile() as plain,
    ):
        _copy(member, plain, label, most=_DEEPEST * 20 * LARGEST_FILE_BYTES)
        _unpack(plain, inside[1:], to, label)


def _copy(
    source: IO[bytes] | gzip.GzipFile, to: IO[bytes], label: str, *, most: int = LARGEST_FILE_BYTES
) -> None:
    """Copy up to a limit, so that a small file cannot fill the disk."""
    n_bytes = 0
    while piece := source.read(1 << 20):
        n_bytes += len(piece)
        if n_bytes > most:
            raise FileProblem(f"{label} unpacks to more than {most / 1e6:.0f} MB, as no recording does")
        to.write(piece)
    to.seek(0)


def _is_gzip(path: Path) -> bool:
    try:
        with path.open("rb") as file:
            return file.read(2) == b"\x1f\x8b"
    except OSError:
        return False


def _is_hidden(name: str) -> bool:
    return name.startswith(".") or name in _SYSTEMS_OWN
