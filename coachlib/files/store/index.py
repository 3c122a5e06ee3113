"""What lies in a roster's recordings, without opening them: facts looked up by what the disk says.

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
from coachlib.files.formats import is_recording
from coachlib.files.state import TICK_NS
from coachlib.files.store.store import Store, sha256_of
from coachlib.records.activity import Activity

#: Rises when the index says something else or in another way.
INDEX_VERSION = 1
#: While many recordings are read for the first time, or added, the index is written every so often.  [s]
_KEPT_EVERY_S = 5.0


#: What is kept of each recording, by its name.
Facts = dict[str, dict[str, Any]]


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
    """The index of one roster: a file for each folder of recordings.

    Parameters
    ----------
    folder : Path
        The roster's derived folder; made when it is first needed.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = Path(folder)
        self._store = Store(self._folder)
        self._known: dict[Path, Facts] = {}
        self._seen: dict[Path, tuple[int, tuple[Entry, ...]]] = {}

    @classmethod
    def of(cls, folder: Path) -> "Index":
        """The index in a roster's derived folder."""
        return cls(folder)

    def entries(self, recordings: Path) -> tuple[Entry, ...]:
        """The recordings in a folder as they lie there now, by name; only new and changed ones are opened.

        Parameters
        ----------
        recordings : Path
            An athlete's folder of recordings; there may be none.

        Raises
        ------
        FileProblem
            When the folder cannot be read.
        """
        changed_ns = _changed_ns(recordings)
        seen = self._seen.get(recordings)
        if seen is not None and seen[0] == changed_ns < time.time_ns() - TICK_NS:
            return seen[1]
        before = self._known[recordings] if recordings in self._known else self._read(recordings)
        now: Facts = {}
        kept_at_s = time.monotonic()
        for name, stat in _listed(recordings):
            known = before.get(name)
            if known is None or known["stat"] != stat or not known["is_settled"]:
                known = self._looked_at(recordings / name, stat, known)
            now[name] = known
            if time.monotonic() - kept_at_s > _KEPT_EVERY_S:
                self._keep(recordings, before | now)
                kept_at_s = time.monotonic()
        if now != before:
            self._keep(recordings, now)
        self._known[recordings] = now
        made = {e.path.name: e for e in seen[1]} if seen is not None else {}
        entries = tuple(
            made[name] if name in made and before.get(name) is facts else _entry(recordings / name, facts)
            for name, facts in now.items()
        )
        self._seen[recordings] = (changed_ns, entries)
        return entries

    def _looked_at(self, path: Path, stat: list[int], before: dict[str, Any] | None) -> dict[str, Any]:
        """The facts of one recording, decoded only where its bytes are new."""
        looked_at_ns = time.time_ns()
        is_settled = max(stat[1:3]) < looked_at_ns - TICK_NS
        try:
            sha256 = sha256_of(path)
            if before is None or before["sha256"] != sha256:
                facts = _facts(self._store.parts(path, sha256=sha256))
            else:
                facts = before
        except CoachError as problem:
            sha256, facts = "", {"problem": str(problem)}
        # what was decoded may be newer than what was hashed: then the next look settles it
        return {**facts, "sha256": facts.get("sha256", sha256), "stat": stat, "is_settled": is_settled}

    def _path(self, recordings: Path) -> Path:
        return self._folder / "index" / f"{recordings.parent.name}.json"

    def _read(self, recordings: Path) -> Facts:
        """What was kept; nothing where it is damaged or of another version."""
        try:
            checksum, content = self._path(recordings).read_bytes().split(b"\n", 1)
            if hashlib.sha256(content).hexdigest().encode() != checksum:
                return {}
            kept = json.loads(content)
            facts: Facts = kept["recordings"] if kept["version"] == _version() else {}
            return facts
        except (OSError, ValueError, KeyError, TypeError):
            return {}

    def _keep(self, recordings: Path, facts: Facts) -> None:
        content = json.dumps({"version": _version(), "recordings": facts}, allow_nan=False).encode()
        try:
            path = self._path(recordings)
            self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            path.parent.mkdir(mode=0o700, exist_ok=True)
            checksum = hashlib.sha256(content).hexdigest().encode()
            write_bytes(path, checksum + b"\n" + content, private=True, is_derived=True)
        except (OSError, FileProblem):
            pass  # the answer is there all the same; the index only saves time


def _version() -> list[int]:
    return [INDEX_VERSION, READER_VERSION]


def _changed_ns(folder: Path) -> int:
    """When a file was last added to a folder, or taken from it; 0 where there is none."""
    try:
        return folder.stat().st_mtime_ns
    except OSError:
        return 0


def _listed(folder: Path) -> list[tuple[str, list[int]]]:
    """Names of the recordings and what the disk says of each: size, times of change, place."""
    try:
        with os.scandir(folder) as files:
            found = [(file.name, file.stat()) for file in files if is_recording(file.name) and file.is_file()]
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
