"""Call sheet entries kept beside the decoded recordings, so that the sheet of a large roster is put together, not read.

A kept entry carries a key of everything it was made from.  Nothing here is worth a backup: every file may be deleted.
"""

import hashlib
import json
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import fields, is_dataclass
from datetime import date
from pathlib import Path
from typing import Any, get_args, get_type_hints

from coachlib.analysis.roster.call_sheet import CallEntry
from coachlib.errors import FileProblem
from coachlib.files.atomic import write_bytes


def _kinds_within(kind: Any) -> Iterator[Any]:
    """The dataclasses that a type names, itself and in its fields, however deep."""
    if isinstance(kind, type) and is_dataclass(kind):
        yield kind
        for each in get_type_hints(kind).values():
            yield from _kinds_within(each)
    for each in get_args(kind):
        yield from _kinds_within(each)


_KINDS: dict[str, Any] = {kind.__name__: kind for kind in _kinds_within(CallEntry)}


class KeptEntries:
    """One athlete's entries in a folder, a file a week; the folder is made when it is first needed."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def get(self, week: str, key: str) -> CallEntry | None:
        """The entry made from exactly this; None where there is none, or it is damaged."""
        try:
            head, _, body = (self.folder / f"{week}.json").read_bytes().partition(b"\n")
            if head.decode() != f"{key} {hashlib.sha256(body).hexdigest()}":
                return None
            found = _unpacked(json.loads(body))
        except (OSError, ValueError, KeyError, TypeError):
            return None
        return found if isinstance(found, CallEntry) else None

    def keep(self, week: str, key: str, entry: CallEntry) -> None:
        """Keep an entry, unless it would come back as another one; where the disk refuses it is there all the same."""
        with suppress(OSError, FileProblem, ValueError, TypeError, KeyError):
            body = json.dumps(_packed(entry), allow_nan=False).encode()
            if _unpacked(json.loads(body)) == entry:
                self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
                head = f"{key} {hashlib.sha256(body).hexdigest()}\n".encode()
                write_bytes(self.folder / f"{week}.json", head + body, private=True, is_derived=True)


def _packed(value: Any) -> Any:
    """A value as JSON has it, with the names of what JSON does not know."""
    if isinstance(value, date):
        return {"is a": "date", "day": value.isoformat()}
    if isinstance(value, tuple):
        return [_packed(each) for each in value]
    if is_dataclass(value):
        named = {f.name: _packed(getattr(value, f.name)) for f in fields(value)}
        return {"is a": type(value).__name__, **named}
    return value


def _unpacked(value: Any) -> Any:
    if isinstance(value, list):
        return tuple(_unpacked(each) for each in value)
    if isinstance(value, dict):
        kind = value.pop("is a")
        if kind == "date":
            return date.fromisoformat(value["day"])
        return _KINDS[kind](**{name: _unpacked(each) for name, each in value.items()})
    return value
