"""Decoded recordings kept, so that a season opens in moments.

Nothing here is worth a backup: every file can be deleted at any time and is made again from the FIT file
it belongs to.  A stored recording is keyed by the checksum of the FIT bytes, the reader's version and the
layout's version, so that a change of any of them makes it anew.  Only the owner can read what is kept.
"""

import hashlib
import time
from pathlib import Path

from coachlib.errors import FileProblem
from coachlib.files.atomic import write_bytes
from coachlib.files.fit.parts import chosen
from coachlib.files.fit.reading import READER_VERSION, fit_bytes
from coachlib.files.formats import format_of
from coachlib.files.store.packing import packed, unpacked
from coachlib.records.activity import Activity

#: Rises when the layout of the stored files changes.
SCHEMA_VERSION = 3

#: A temporary file that is older was left by a program that was stopped.  Own choice.  [s]
LEFT_BEHIND_S = 600.0


def sha256_of(path: Path | str) -> str:
    """Checksum of a recording's bytes, as ``Activity.sha256``.

    Raises
    ------
    FileProblem
        When the file cannot be read.

    Examples
    --------
    >>> sha256_of("no_such_file.fit")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    coachlib.errors.FileProblem: the recording no_such_file.fit cannot be opened: ...
    """
    return hashlib.sha256(fit_bytes(path)).hexdigest()


class Store:
    """Decoded recordings in a folder.

    Parameters
    ----------
    folder : Path
        Made when it is first needed; may be deleted at any time, also while it is in use.

    Notes
    -----
    Decoding takes some hundredths of a second, reading it back a few thousandths.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = Path(folder)
        self._is_tidy = False

    def activity(self, fit_path: Path | str, *, part: int | None = None) -> Activity:
        """One part of a FIT file: from the store, else decoded and stored; see `parts`.

        Parameters
        ----------
        fit_path : Path or str
            The recording.
        part : int, optional
            Which session of a file that holds several, from 0; else the one with the most heart rate.

        Raises
        ------
        FileProblem
            As :func:`coachlib.files.fit.reading.read_fit`.
        """
        return chosen(self.parts(fit_path), part)

    def parts(self, fit_path: Path | str, *, sha256: str | None = None) -> tuple[Activity, ...]:
        """Every session of a FIT file that holds records, decoded at most once.

        Parameters
        ----------
        fit_path : Path or str
            The recording.
        sha256 : str, optional
            Checksum of its bytes where it is known: then the file is not read when it is stored.

        Raises
        ------
        FileProblem
            As :func:`coachlib.files.fit.reading.read_fit`; refusals are not stored.  A store that cannot be
            read or written is passed over.
        """
        if sha256 is not None and (stored := self._stored(sha256)) is not None:
            return stored
        return self.parts_in(fit_bytes(fit_path))

    def parts_in(self, data: bytes) -> tuple[Activity, ...]:
        """The same from the bytes of a FIT file."""
        sha256 = hashlib.sha256(data).hexdigest()
        stored = self._stored(sha256)
        if stored is not None:
            return stored
        decoded = format_of(data).read(data)
        try:
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            self._tidy()
            write_bytes(self._path(sha256), packed(decoded), private=True, is_derived=True)
        except (OSError, FileProblem):
            pass  # the recording is there all the same; the store only saves time
        return decoded

    def _path(self, sha256: str) -> Path:
        return self.folder / f"{sha256}{_suffix()}"

    def _stored(self, sha256: str) -> tuple[Activity, ...] | None:
        """A stored recording; None where there is none, or the file is damaged in any way."""
        try:
            return unpacked(self._path(sha256).read_bytes(), sha256)
        except Exception:  # whatever a damaged file does to a decoder: decode the recording again
            return None

    def _tidy(self) -> None:
        """Once: the folder is its owner's alone; what older versions and stopped programs left behind goes."""
        if self._is_tidy:
            return
        self._is_tidy = True
        self.folder.chmod(0o700)
        for path in self.folder.iterdir():
            is_other = path.name[64:].startswith("-r") and not path.name.endswith(_suffix())
            is_left = path.suffix == ".tmp" and path.stat().st_mtime < time.time() - LEFT_BEHIND_S
            if is_other or is_left:
                path.unlink(missing_ok=True)


def _suffix() -> str:
    return f"-r{READER_VERSION}-s{SCHEMA_VERSION}.recording"
