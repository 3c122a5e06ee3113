"""Judgements kept beside the decoded recordings, so that a long history is read, not judged again.

A kept judgement carries a key of everything it was made from; with another key it is made anew.  Nothing here is
worth a backup: every file may be deleted at any time.
"""

import hashlib
import json
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

from pydantic import BaseModel, TypeAdapter, ValidationError

from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.errors import FileProblem
from coachlib.files.atomic import write_bytes


class KeptJudgements:
    """Judgements of one athlete's recordings in a folder, one small file each.

    Parameters
    ----------
    folder : Path
        Made when it is first needed; may be deleted at any time.

    Notes
    -----
    Judging takes some tenths of a second, reading what was judged a few thousandths.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = Path(folder)

    def get(self, name: str, key: str) -> JudgedRecording | None:
        """The judgement of a recording's session made from exactly this; None where there is none, or it is damaged."""
        try:
            text = (self.folder / f"{name}.json").read_bytes()
            head, _, body = text.partition(b"\n")
            if head.decode() != f"{key} {_digest(body)}":
                return None
            return _adapter().validate_json(body)
        except (OSError, ValueError, ValidationError):
            return None

    def keep(self, name: str, key: str, judged: JudgedRecording) -> None:
        """Keep a judgement that can be read back as it is; where the disk refuses, it is there all the same."""
        body = _adapter().dump_json(judged, warnings=False)
        if _adapter().validate_json(body) != judged:
            return
        try:
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            write_bytes(
                self.folder / f"{name}.json", f"{key} {_digest(body)}\n".encode() + body, private=True
            )
        except (OSError, FileProblem):
            pass


@cache
def _adapter() -> TypeAdapter[JudgedRecording]:
    return TypeAdapter(JudgedRecording)


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def key_of(parts: Iterable[Any]) -> str:
    """A key of what a judgement is made from: texts, numbers and records.

    Examples
    --------
    >>> key_of(["a", 1]) == key_of(["a", 1]), key_of(["a", 1]) == key_of(["a", 2])
    (True, False)
    """
    plain = [part.model_dump(mode="json") if isinstance(part, BaseModel) else part for part in parts]
    return _digest(json.dumps(plain, sort_keys=True, default=str).encode())
