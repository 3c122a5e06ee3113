"""Edits that are not saved yet, kept so that neither a closed window nor a killed process loses them.

::

    <roster>/.coachlib/drafts/<athlete>/<recording and session>.<writer>.json

Each window writes a file of its own, so that two never overwrite each other.  Only the owner may read them.
"""

import hashlib
import json
import os
import platform
import secrets
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import psutil
from pydantic import ValidationError

from coachlib.errors import FileProblem
from coachlib.records.decisions import Decisions

#: The form of a draft's file; another one is left alone.
SCHEMA = 1


@dataclass(frozen=True, kw_only=True)
class KeptDraft:
    """Decisions that were not saved, the suggestions turned down, when, and on which saved decisions they stand."""

    path: Path
    decisions: Decisions
    rejected: tuple[int, ...]
    based_on: str | None
    kept_at: datetime


class Drafts:
    """The drafts of one recording as one window writes and finds them.

    Parameters
    ----------
    folder : Path
        The athlete's drafts in the roster's derived folder; made when something is kept.
    recording : str
        The recording's name.
    fit_sha256 : str
        Its checksum: the drafts of other bytes under the same name are not found.
    part : int or None
        Its session, where it holds several.

    Examples
    --------
    >>> import tempfile
    >>> decided = Decisions(fit_sha256="9f2c" * 16, kind="easy")
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     mine = Drafts(Path(folder) / "ilva", "2026-11-29_run", "9f2c" * 16, None)
    ...     mine.keep(decided, rejected=(), based_on=None, kept_at=datetime(2026, 11, 29, 18, tzinfo=UTC))
    ...     mine.release()
    ...     Drafts(Path(folder) / "ilva", "2026-11-29_run", "9f2c" * 16, None).left_behind().decisions.kind
    'easy'
    """

    def __init__(self, folder: Path, recording: str, fit_sha256: str, part: int | None) -> None:
        self._folder = folder
        named = hashlib.sha256(f"{recording} {fit_sha256} {part}".encode()).hexdigest()
        self._stem = named[:24]
        self._own = folder / f"{self._stem}.{secrets.token_hex(6)}.json"

    def keep(
        self, decisions: Decisions, *, rejected: tuple[int, ...], based_on: str | None, kept_at: datetime
    ) -> None:
        """Keep what is not saved yet, in place of what this window kept before.

        Raises
        ------
        FileProblem
            When it cannot be written.
        """
        self._write(
            {
                "schema": SCHEMA,
                "writer": _this_process(),
                "kept_at": kept_at.isoformat(),
                "based_on": based_on,
                "rejected": list(rejected),
                "decisions": decisions.model_dump(mode="json"),
            }
        )

    def drop(self) -> None:
        """Forget what this window kept: it was saved, or is wanted no more."""
        self._own.unlink(missing_ok=True)

    def release(self) -> None:
        """Leave what this window kept to whoever opens the recording next."""
        if (held := _read(self._own)) is not None:
            self._write({**held, "writer": None})

    def left_behind(self) -> KeptDraft | None:
        """The newest draft whose window is gone; None where there is none."""
        found = [(path, held) for path, held in self._others() if not _lives(held.get("writer"))]
        drafts = [draft for path, held in found if (draft := _draft(path, held)) is not None]
        return max(drafts, key=lambda draft: draft.kept_at, default=None)

    def is_open_elsewhere(self) -> bool:
        """Whether another window that is still open has changes of this recording."""
        return any(_lives(held.get("writer")) for _, held in self._others())

    def _others(self) -> Iterator[tuple[Path, dict[str, Any]]]:
        if not self._folder.is_dir():
            return
        for path in sorted(self._folder.glob(f"{self._stem}.*.json")):
            if path != self._own and (held := _read(path)) is not None:
                yield path, held

    def _write(self, held: dict[str, Any]) -> None:
        temporary = self._own.with_suffix(".tmp")
        try:
            self._folder.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            self._folder.mkdir(mode=0o700, exist_ok=True)
            descriptor = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
            with os.fdopen(descriptor, "w", encoding="utf-8") as file:
                json.dump(held, file, allow_nan=False)
            temporary.replace(self._own)
        except OSError as problem:
            raise FileProblem(
                f"your changes cannot be kept in {self._folder} ({problem.strerror or problem}): save them before you "
                "leave, or free the disk"
            ) from problem


def is_open_in(folder: Path) -> bool:
    """Whether a window that is still open has changes in a folder of drafts that are not saved."""
    return any(
        _lives(held.get("writer")) for path in folder.glob("*.json") if (held := _read(path)) is not None
    )


def _read(path: Path) -> dict[str, Any] | None:
    """What a draft's file holds; None where it is none of ours, or gone."""
    try:
        held = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return None
    return held if isinstance(held, dict) and held.get("schema") == SCHEMA else None


def _draft(path: Path, held: dict[str, Any]) -> KeptDraft | None:
    try:
        kept_at = datetime.fromisoformat(held["kept_at"]).astimezone(UTC)
        return KeptDraft(
            path=path,
            decisions=Decisions.model_validate(held["decisions"]),
            rejected=tuple(int(number) for number in held["rejected"]),
            based_on=held["based_on"],
            kept_at=kept_at,
        )
    except (KeyError, TypeError, ValueError, ValidationError):
        return None


def _this_process() -> list[Any]:
    """What tells this process from every other: its computer, its number and the moment it started."""
    return [platform.node(), os.getpid(), psutil.Process().create_time()]


def _lives(writer: object) -> bool:
    """Whether the process that wrote a draft still runs; of another computer's it cannot be told, so it may."""
    if not isinstance(writer, list) or len(writer) != 3:
        return False
    computer, number, started_s = writer
    if computer != platform.node():
        return True
    try:
        return abs(psutil.Process(int(number)).create_time() - float(started_s)) < 1.0
    except (psutil.Error, TypeError, ValueError):
        return False
