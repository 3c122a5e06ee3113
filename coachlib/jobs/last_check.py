"""What a check of a roster told, told again as long as nothing that it reads has changed."""

import hashlib
import json
from collections.abc import Callable
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path

from coachlib.errors import FileProblem
from coachlib.files.atomic import write_bytes
from coachlib.files.roster.places import DERIVED_FOLDER
from coachlib.files.state import state_of_folder, state_of_program

_KEPT_AS = "check.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """The lines that a check told, and its exit status."""

    lines: tuple[str, ...]
    status: int


def told_of(roster: Path, today: date, check: Callable[[], Told]) -> Told:
    """What there is to tell of a roster: what was told before if nothing has changed, else checked.

    Parameters
    ----------
    roster : Path
        Its folder.
    today : date
        The day of the check.
    check : callable
        Checks it.

    Source
    ------
    This project's own choice: looking at every file takes some hundredths of a second, reading them all takes
    longer the longer the seasons are.  The day and the program itself are part of what may have changed.
    """
    before = _look(roster, today)
    kept_in = roster / DERIVED_FOLDER / _KEPT_AS
    if before is not None and (told := _kept(kept_in, before)) is not None:
        return told
    told = check()
    if before is not None and before == _look(roster, today):
        _keep(kept_in, before, told)
    return told


def _look(roster: Path, today: date) -> str | None:
    """A checksum of everything that a check reads; None while files have only just changed."""
    state = state_of_folder(roster, without=DERIVED_FOLDER, written="reports")
    return _digest(f"{state.checksum} {state_of_program()} {today}".encode()) if state.is_settled else None


def _kept(path: Path, made_from: str) -> Told | None:
    """What was told when everything was as it is now; None where that is not known, or is damaged."""
    try:
        key, checksum, content = path.read_bytes().split(b"\n", 2)
        if key.decode() != made_from or checksum.decode() != _digest(content):
            return None
        told = json.loads(content)
        return Told(lines=tuple(told["lines"]), status=told["status"])
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _keep(path: Path, made_from: str, told: Told) -> None:
    content = json.dumps(asdict(told)).encode()
    with suppress(OSError, FileProblem):  # it has been told all the same; what is kept only saves time
        path.parent.mkdir(mode=0o700, exist_ok=True)
        head = f"{made_from}\n{_digest(content)}\n".encode()
        write_bytes(path, head + content, private=True, is_derived=True)


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
