"""TOML files that people edit: read strictly, and written so that their comments and habits survive.

A file is taken as a head, one entry for each ``[[table]]`` or ``[table]`` and a tail of comments.  An entry
owns the comments right above it.  What did not change is written back as it stood, byte for byte.
"""

import re
import tomllib
from dataclasses import dataclass
from typing import Any

import tomlkit
from tomlkit.items import AoT

from coachlib.errors import RosterProblem

_HEADER = re.compile(r"\s*(?:\[\[\s*([A-Za-z0-9_-]+)\s*\]\]|\[\s*([A-Za-z0-9_-]+)\s*\])")


def decoded(data: bytes, where: str) -> str:
    """The text of a file.

    Raises
    ------
    RosterProblem
        When the bytes are not UTF-8.
    """
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise RosterProblem(
            f"{where}, line {line}: a letter is not written in UTF-8; save the file as UTF-8 in your editor"
        ) from None


def parsed(text: str, where: str) -> dict[str, Any]:
    """The keys and values of a TOML text.

    Raises
    ------
    RosterProblem
        When the text is no TOML; says the line.

    Examples
    --------
    >>> parsed('name = "Mira"', "athlete.toml of mira")
    {'name': 'Mira'}
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        reason, _, position = str(error).partition(" (at ")
        found = re.search(r"line (\d+)", position)
        lines = text.rstrip().split("\n")
        number = min(int(found[1]), len(lines)) if found else len(lines)
        raise RosterProblem(
            f"{where}, line {number} cannot be read: {lines[number - 1].strip()} "
            f"({reason[:1].lower()}{reason[1:]}). "
            'A line looks like hr_max_bpm = 186 or name = "Mira": text in quotes, each key once'
        ) from None


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One ``[[kind]]`` or ``[kind]`` table with the comments above it, as text."""

    kind: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """A file in pieces; written one after the other they are the file."""

    head: str
    entries: tuple[Entry, ...]
    tail: str

    @property
    def text(self) -> str:
        """The whole file."""
        return self.head + "".join(entry.text for entry in self.entries) + self.tail

    def of(self, kind: str) -> list[str]:
        """The entries of one kind, as text, in the order of the file."""
        return [entry.text for entry in self.entries if entry.kind == kind]


def pieces(text: str) -> Pieces:
    r"""Take a valid TOML text apart.

    Examples
    --------
    >>> taken = pieces("schema = 1\n# long\n[[window]]\nstart_s = 0.0\n# end\n")
    >>> taken.head, taken.entries, taken.tail
    ('schema = 1\n', (Entry(kind='window', text='# long\n[[window]]\nstart_s = 0.0\n'),), '# end\n')
    """
    chunks = [("", "")]
    for line in text.splitlines(keepends=True):
        header = _HEADER.match(line)
        kind, so_far = chunks[-1]
        if header and _is_whole(so_far):
            body, comments = _without_last_comments(so_far)
            chunks[-1] = (kind, body)
            chunks.append((header[1] or header[2], comments + line))
        else:
            chunks[-1] = (kind, so_far + line)
    kind, last = chunks[-1]
    body, tail = _without_last_comments(last)
    chunks[-1] = (kind, body)
    return Pieces(head=chunks[0][1], entries=tuple(Entry(kind=k, text=t) for k, t in chunks[1:]), tail=tail)


def with_keys(text: str, old: dict[str, Any], new: dict[str, Any]) -> str:
    r"""A head with the keys changed that differ; the others, and all comments, stay.

    Examples
    --------
    >>> with_keys("a = 1 # one\nb = 2\n", {"a": 1, "b": 2}, {"a": 3, "b": 2})
    'a = 3 # one\nb = 2\n'
    """
    document = tomlkit.parse(text)
    _change(document, old, new)
    return _ended(tomlkit.dumps(document), text)


def entry_with_keys(text: str, kind: str, old: dict[str, Any], new: dict[str, Any]) -> str:
    """An entry with the keys changed that differ; the others, and all comments, stay."""
    document = tomlkit.parse(text)
    table = document[kind]
    _change(table[0] if isinstance(table, AoT) else table, old, new)
    return _ended(tomlkit.dumps(document), text)


def new_entry(kind: str, values: dict[str, Any], newline: str = "\n", *, is_single: bool = False) -> str:
    r"""A new entry, set off by an empty line; a single one stands under ``[kind]``.

    Examples
    --------
    >>> new_entry("window", {"start_s": 0.0, "purpose": "steady"})
    '\n[[window]]\nstart_s = 0.0\npurpose = "steady"\n'
    """
    header = f"[{kind}]" if is_single else f"[[{kind}]]"
    return f"\n{header}\n{tomlkit.dumps(values)}".replace("\n", newline)


def newline_of(text: str) -> str:
    """The line ending a text uses."""
    return "\r\n" if "\r\n" in text else "\n"


def _change(table: Any, old: dict[str, Any], new: dict[str, Any]) -> None:
    for key in old:
        if key not in new:
            table.pop(key, None)
    for key, value in new.items():
        if key not in old or old[key] != value:
            table[key] = value


def _is_whole(text: str) -> bool:
    """Whether a piece can be read by itself: a header inside a text of several lines is no header."""
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return False
    return True


def _without_last_comments(text: str) -> tuple[str, str]:
    """A piece, and the comments and empty lines at its end."""
    lines = text.splitlines(keepends=True)
    end = len(lines)
    while end and (not lines[end - 1].strip() or lines[end - 1].lstrip().startswith("#")):
        end -= 1
    return "".join(lines[:end]), "".join(lines[end:])


def _ended(changed: str, original: str) -> str:
    """With the original's line endings, and one at the end."""
    plain = changed.replace("\r\n", "\n").rstrip("\n") + "\n"
    return plain.replace("\n", newline_of(original))
