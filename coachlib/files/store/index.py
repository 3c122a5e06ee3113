"""What lies in a roster's recordings, without opening them: one file of facts, looked up by what the disk says.

A recording is hashed and opened only when it is new or may have changed: size, times or place on the disk
differ, or it changed so shortly before it was looked at that a clock may not tell.  A wrong clock or a touched
file costs a reading, never a wrong answer; a damaged index is made anew.
"""

import hashlib
import json
import os
import time
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from coachlib.errors import CoachError, FileProblem
from coachlib.files.atomic import write_bytes
from coachlib.files.fit.parts import chosen
from coachlib.files.fit.reading import READER_VERSION
from coachlib.files.store.store import Store, sha256_of
from coachlib.records.activity import Activity

#: Rises when the index says something else or in another way.
INDEX_VERSION = 1
#: A file that changed so shortly before it was hashed may have changed again within one tick of its clock.
#: Own choice; the coarsest clocks of file systems tick every two seconds.  [ns]
TICK_NS = 2_000_000_000
#: While many recordings are read for the first time, the index is kept after so many.
_KEPT_EVERY = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class IndexedPart:
    """One session of a recording: when it starts and how long it lasts."""

    number: int
    sport: str
    sub_sport: str
    started_at: datetime
    elapsed_s: float

    @property
    def stopped_at(self) -> datetime:
        """The instant of its last record."""
        return self.started_at + timedelta(seconds=self.elapsed_s)


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One recording: ``parts`` are its sessions, ``main`` the number of the one with the most heart rate.

    ``problem`` is the sentence of a file that cannot be read; it has no parts then.
    """

    path: Path
    size_bytes: int
    mtime_ns: int
    sha256: str
    utc_offset_s: float | None
    device: str
    main: int
    parts: tuple[IndexedPart, ...]
    problem: str = ""

    @property
    def part(self) -> IndexedPart:
        """The session with the most heart rate."""
        return next(p for p in self.parts if p.number == self.main)


class Index:
    """The index of one roster.

    Parameters
    ----------
    folder : Path
        The roster's derived folder; made when it is first needed.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = Path(folder)
        self._store = Store(self._folder)
        self._known = self._read()

    @classmethod
    def of(cls, folder: Path) -> "Index":
        """The index in a roster's derived folder."""
        return cls(folder)

    def entries(self, recordings: Path) -> tuple[Entry, ...]:
        """The recordings in a folder as they lie there now, by name; only new and changed ones are opened.

        Raises
        ------
        FileProblem
            When the folder cannot be read.
        """
        folder = os.path.relpath(recordings, self._folder.parent)  # so that a roster may be moved
        before = self._known.get(folder, {})
        now: dict[str, dict[str, Any]] = {}
        n_read = 0
        for name, stat in _listed(recordings):
            known = before.get(name)
            if known is None or known["stat"] != stat or not known["is_settled"]:
                known = self._looked_at(recordings / name, stat, known)
                n_read += 1
            now[name] = known
            if n_read and n_read % _KEPT_EVERY == 0:
                self._keep(folder, before | now)
        if now != before:
            self._keep(folder, now)
        return tuple(_entry(recordings / name, facts) for name, facts in now.items())

    def _looked_at(self, path: Path, stat: list[int], before: dict[str, Any] | None) -> dict[str, Any]:
        """The facts of one recording, decoded only where its bytes are new."""
        looked_at_ns = time.time_ns()
        is_settled = max(stat[1:3]) < looked_at_ns - TICK_NS
        try:
            sha256 = sha256_of(path)
            if before is None or before["sha256"] != sha256:
                facts = _facts(self._store.parts(path))
            else:
                facts = before
        except CoachError as problem:
            sha256, facts = "", {"problem": str(problem)}
        # what was decoded may be newer than what was hashed: then the next look settles it
        return {**facts, "sha256": facts.get("sha256", sha256), "stat": stat, "is_settled": is_settled}

    @property
    def _path(self) -> Path:
        return self._folder / "index.json"

    def _read(self) -> dict[str, dict[str, dict[str, Any]]]:
        """What was kept; nothing where it is damaged or of another version."""
        try:
            checksum, content = self._path.read_bytes().split(b"\n", 1)
            if hashlib.sha256(content).hexdigest().encode() != checksum:
                return {}
            kept = json.loads(content)
            return kept["folders"] if kept["version"] == _version() else {}
        except (OSError, ValueError, KeyError, TypeError):
            return {}

    def _keep(self, folder: str, facts: dict[str, dict[str, Any]]) -> None:
        """Keep what is known of a folder, beside what another program kept meanwhile."""
        self._known = {**self._read(), folder: facts}
        content = json.dumps({"version": _version(), "folders": self._known}, allow_nan=False).encode()
        try:
            self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            checksum = hashlib.sha256(content).hexdigest().encode()
            write_bytes(self._path, checksum + b"\n" + content, owner_only=True)
        except (OSError, FileProblem):
            pass  # the answer is there all the same; the index only saves time


def _version() -> list[int]:
    return [INDEX_VERSION, READER_VERSION]


def _listed(folder: Path) -> list[tuple[str, list[int]]]:
    """Names of the recordings and what the disk says of each: size, times of change, place."""
    try:
        with os.scandir(folder) as files:
            found = [
                (file.name, file.stat())
                for file in files
                if file.name.lower().endswith(".fit") and file.is_file()
            ]
    except FileNotFoundError:
        return []
    except OSError as problem:
        raise FileProblem(
            f"the folder {folder} cannot be read: {problem.strerror or problem}. Check that you may read it."
        ) from problem
    return sorted((name, [s.st_size, s.st_mtime_ns, s.st_ctime_ns, s.st_ino]) for name, s in found)


def _facts(parts: tuple[Activity, ...]) -> dict[str, Any]:
    """What the index keeps of a decoded recording."""
    first = parts[0]
    return {
        "sha256": first.sha256,
        "utc_offset_s": first.utc_offset_s,
        "device": first.device,
        "main": chosen(parts, None).part,
        "parts": [
            {
                "number": p.part,
                "sport": p.sport,
                "sub_sport": p.sub_sport,
                "started_at": p.started_at.isoformat(),
                "elapsed_s": p.elapsed_s,
            }
            for p in parts
        ],
    }


def _entry(path: Path, facts: dict[str, Any]) -> Entry:
    parts = [
        IndexedPart(**{**part, "started_at": datetime.fromisoformat(part["started_at"])})
        for part in facts.get("parts", ())
    ]
    return Entry(
        path=path,
        size_bytes=facts["stat"][0],
        mtime_ns=facts["stat"][1],
        sha256=facts["sha256"],
        utc_offset_s=facts.get("utc_offset_s"),
        device=facts.get("device", ""),
        main=facts.get("main", 0),
        parts=tuple(parts),
        problem=facts.get("problem", ""),
    )
