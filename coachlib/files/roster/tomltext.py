"""TOML files that people edit: read strictly, and written so that their comments and habits survive.

A file is taken as a head, one entry for each ``[[table]]`` or ``[table]`` and a tail of comments.  An entry
owns the comments right above it.  What did not change is written back as it stood, byte for byte.
"""

import codecs
import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import tomlkit
from tomlkit.items import AoT

from coachlib.errors import RosterProblem
from coachlib.files.roster.forms import shortened

#: A table's heading, its name with points where it stands inside another.
_HEADER = re.compile(r"\s*\[{1,2}\s*([A-Za-z0-9_-]+(?:\s*\.\s*[A-Za-z0-9_-]+)*)\s*\]")

#: A key of more parts than any file of ours has: the time to read it grows with the square of their number.
_LONG_KEY = re.compile(r"(?<![\w\"'-])(?:(?:[\w-]+|\"[^\"\n]*\"|'[^'\n]*')[ \t]*\.[ \t]*){50}")
#: What stands before a table's name in its heading.
_OPENING = re.compile(r"^[ \t]*\[{1,2}[ \t]*", re.MULTILINE)


def decoded(data: bytes, where: str) -> str:
    """The text of a file.

    Raises
    ------
    RosterProblem
        When the bytes are not UTF-8.
    """
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) or b"\0" in data:
        raise RosterProblem(f"{where} is written in UTF-16 or is no text; save it as UTF-8 in your editor")
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
        When the text is no TOML, says the line; or when its brackets or numbers are beyond all sense.

    Examples
    --------
    >>> parsed('name = "Mira"', "athlete.toml of mira")
    {'name': 'Mira'}
    """
    if long := _LONG_KEY.search(text):
        line = text[: long.start()].count("\n") + 1
        raise RosterProblem(f"{where}, line {line} cannot be read: a key has too many parts")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        reason, _, position = str(error).partition(" (at ")
        found = re.search(r"line (\d+)", position)
        lines = text.rstrip().split("\n")
        number = min(int(found[1]), len(lines)) if found else len(lines)
        raise RosterProblem(
            f"{where}, line {number} cannot be read: {shortened(lines[number - 1].strip())} "
            f"({reason[:1].lower()}{reason[1:]}). "
            'A line looks like hr_max_bpm = 186 or name = "Mira": text in quotes, each key once'
        ) from None
    except RecursionError:
        raise RosterProblem(f"{where} cannot be read: brackets stand in brackets too deeply") from None
    except ValueError:  # Python reads no number of more than 4,300 digits
        long = re.search(r"[\d_]{4000,}", text)
        line = text[: long.start()].count("\n") + 1 if long else 1
        raise RosterProblem(f"{where}, line {line} cannot be read: a number has too many digits") from None


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One ``[[kind]]`` or ``[kind]`` table with the comments above it and the tables inside it, as text."""

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


def pieces(text: str, inside: str = "") -> Pieces:
    r"""Take a valid TOML text apart, or the text of one entry whose kind is ``inside``.

    Examples
    --------
    >>> taken = pieces("schema = 1\n# long\n[[window]]\nstart_s = 0.0\n# end\n")
    >>> taken.head, taken.entries, taken.tail
    ('schema = 1\n', (Entry(kind='window', text='# long\n[[window]]\nstart_s = 0.0\n'),), '# end\n')
    """
    chunks = [("", "")]
    for line in _lines(text):
        named = _named(line, inside)
        kind, so_far = chunks[-1]
        if named and _is_whole(so_far):
            body, comments = _without_last_comments(so_far)
            chunks[-1] = (kind, body)
            chunks.append((named, comments + line))
        else:
            chunks[-1] = (kind, so_far + line)
    kind, last = chunks[-1]
    body, tail = _without_last_comments(last)
    chunks[-1] = (kind, body)
    return Pieces(head=chunks[0][1], entries=tuple(Entry(kind=k, text=t) for k, t in chunks[1:]), tail=tail)


def with_keys(text: str, old: Mapping[str, Any], new: Mapping[str, Any], path: Sequence[str] = ()) -> str:
    r"""A head or an entry with the keys changed that differ; the others, and all comments, stay.

    ``path`` are the names of the table the keys stand in, from the outermost on.

    Examples
    --------
    >>> with_keys("a = 1 # one\nb = 2\n", {"a": 1, "b": 2}, {"a": 3, "b": 2})
    'a = 3 # one\nb = 2\n'
    """
    if old == new:
        return text
    document = tomlkit.parse(text)
    table: Any = document
    for name in path:
        table = table[name]
        table = table[0] if isinstance(table, AoT) else table
    for key in old:
        if key not in new:
            table.pop(key, None)
    for key, value in new.items():
        if key not in old or old[key] != value:
            table[key] = value
    return _ended(tomlkit.dumps(document), text)


def new_entry(
    path: Sequence[str], values: Mapping[str, Any], newline: str = "\n", *, is_single: bool = False
) -> str:
    r"""A new entry, set off by an empty line; a single one stands under ``[kind]``.

    Examples
    --------
    >>> new_entry(["window"], {"start_s": 0.0, "purpose": "steady"})
    '\n[[window]]\nstart_s = 0.0\npurpose = "steady"\n'
    """
    name = ".".join(path)
    header = f"[{name}]" if is_single else f"[[{name}]]"
    return f"\n{header}\n{tomlkit.dumps(values)}".replace("\n", newline)


def as_entry(text: str, kind: str, *, stays: Sequence[str], values: Mapping[str, Any]) -> str:
    r"""A file whose keys and entries become those of one ``[[kind]]`` entry, with their comments.

    Keys in ``stays`` remain above it; ``values`` are new keys of the entry.

    Examples
    --------
    >>> print(as_entry("a = 1\nb = 2 # two\n[[window]]\nc = 3\n", "part", stays=["a"], values={"number": 0}))
    a = 1
    <BLANKLINE>
    [[part]]
    number = 0
    b = 2 # two
    [[part.window]]
    c = 3
    <BLANKLINE>
    """
    taken = pieces(text)
    head, table = tomlkit.parse(taken.head), tomlkit.document()
    for key, value in values.items():
        table[key] = value
    for key in [key for key in head if key not in stays]:
        table.append(key, head.item(key))
        head.pop(key)
    entries = [_OPENING.sub(rf"\g<0>{kind}.", entry.text, count=1) for entry in taken.entries]
    own = new_entry([kind], {}, newline_of(text)) + _ended(tomlkit.dumps(table), text)
    return _ended(tomlkit.dumps(head), text) + own + "".join(entries) + taken.tail


def newline_of(text: str) -> str:
    """The line ending a text uses."""
    return "\r\n" if "\r\n" in text else "\n"


def _lines(text: str) -> list[str]:
    """The lines of a TOML text with their ends; other signs that part lines elsewhere do not do so here."""
    return re.findall(r"[^\n]*\n|[^\n]+", text)


def _named(line: str, inside: str) -> str | None:
    """The kind of entry that a line begins: of the file, or of the entry it stands inside."""
    header = _HEADER.match(line)
    if header is None:
        return None
    *outer, kind = re.split(r"\s*\.\s*", header[1])
    return kind if ".".join(outer) == inside else None


def _is_whole(text: str) -> bool:
    """Whether a piece can be read by itself: a header inside a text of several lines is no header."""
    try:
        tomllib.loads(text)
    except (ValueError, RecursionError):
        return False
    return True


def _without_last_comments(text: str) -> tuple[str, str]:
    """A piece, and the comments and empty lines at its end."""
    lines = _lines(text)
    end = len(lines)
    while end and (not lines[end - 1].strip() or lines[end - 1].lstrip().startswith("#")):
        end -= 1
    return "".join(lines[:end]), "".join(lines[end:])


def _ended(changed: str, original: str) -> str:
    """With the original's line endings, and one at the end."""
    plain = changed.replace("\r\n", "\n").rstrip("\n") + "\n"
    return plain.replace("\n", newline_of(original))
