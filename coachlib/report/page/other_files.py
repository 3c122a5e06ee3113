"""The last look at what leaves for an athlete and is no page: mail drafts, calendars, tables and plain text.

Each is read as its reader's program reads it, so that nothing hides in folded lines, escapes or encoded parts.
"""

import csv
import io
import json
import re
from collections.abc import Callable, Collection, Iterator
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import PurePath

from coachlib.errors import ReportProblem
from coachlib.report.page.gate import TAKE_OUT, check_page, passages_of, path_in, refuse, said_by
from coachlib.report.page.names import LookOut, Passage

#: Largest file [bytes].  Own choice: a mail with a page, its numbers and a calendar, encoded.
MAX_BYTES = 2_000_000

#: What the head of a mail draft may say; a mail program adds the rest when it is sent.
_HEADERS = frozenset(
    "from to subject date mime-version x-unsent content-type content-transfer-encoding content-disposition "
    "content-language content-id".split()
)
#: What kind of file a part of a mail is.
_ENDINGS = {
    "text/plain": ".txt", "text/html": ".html", "text/calendar": ".ics", "text/csv": ".csv",
    "application/json": ".json",
}  # fmt: skip
_ICS_ESCAPE = re.compile(r"\\([\\;,nN])")


def check_file(
    name: str,
    data: bytes,
    *,
    look_out: LookOut | None = None,
    own_lines: Collection[str] = (),
    name_cure: str = TAKE_OUT,
) -> None:
    r"""Refuse a file that may not leave for an athlete as it is.

    Parameters
    ----------
    name : str
        What it is called; its ending says how it is read: ``.eml``, ``.ics``, ``.csv``, ``.json``, ``.html``,
        ``.md`` or ``.txt``.
    data : bytes
        What it holds, to the last byte.
    look_out : LookOut, optional
        Whose names may not stand in it.
    own_lines : collection of str
        Lines, table cells and calendar lines that are the program's own words; all else counts as typed by people.
    name_cure : str
        What to do about a name, as a sentence.

    Raises
    ------
    ReportProblem
        When it holds another athlete's name, a file path, what no page may hold, or what cannot be looked into.

    Source
    ------
    This project's own choice; folding and escapes of calendars as in RFC 5545 (2009), sections 3.1 and 3.3.11.

    Examples
    --------
    >>> check_file("a.ics", b"SUMMARY:With Ber\r\n ta", look_out=LookOut(others=["Berta Holm"]))  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    coachlib.errors.ReportProblem: a.ics holds the name of another athlete, 'Berta', in “With Berta”; it may not ...
    """
    problems: list[str] = []
    passages = [Passage(name, is_typed=True)]
    if len(data) > MAX_BYTES:
        problems.append(f"{len(data) / 1000:.0f} kB where {MAX_BYTES / 1000:.0f} kB are the most")
    else:
        try:
            found = _texts(PurePath(name).suffix.lower(), data, frozenset(line.strip() for line in own_lines))
            passages += found
        except (_Unclean, UnicodeDecodeError, csv.Error, ValueError, RecursionError, LookupError) as problem:
            problems.append(
                str(problem) if isinstance(problem, _Unclean) else "what cannot be read as its ending says"
            )
    problems += [
        f"what looks like a file path, in {path!r}"
        for passage in passages
        if (path := path_in(passage.text, typed=passage.is_typed))
    ]
    refuse(name, problems, passages, look_out, name_cure=name_cure, cure="Make it anew.")


class _Unclean(ReportProblem):
    """What a file holds and may not."""


def _texts(ending: str, data: bytes, own: Collection[str]) -> list[Passage]:
    """Everything that a file says."""
    if ending == ".eml":
        return list(_mail(data, own))
    if ending == ".html":
        return list(_page(data))
    if ending not in _READERS:
        raise _Unclean("what cannot be looked into")
    return list(_READERS[ending](_decoded(data), own))


def _decoded(data: bytes) -> str:
    text = data.decode("utf-8-sig")
    if "\x00" in text:
        raise _Unclean("a character that nobody sees")
    return text


def _plain(text: str, own: Collection[str]) -> Iterator[Passage]:
    for line in text.splitlines():
        yield Passage(line, is_typed=line.strip() not in own)


def _table(text: str, own: Collection[str]) -> Iterator[Passage]:
    for row in csv.reader(io.StringIO(text), strict=True):
        for cell in row:
            yield from _plain(cell, own)


def _calendar(text: str, own: Collection[str]) -> Iterator[Passage]:
    for line in re.sub(r"\r?\n[ \t]", "", text).splitlines():
        said, _, value = line.partition(":")
        yield Passage(said, is_typed=";" in said)
        value = _ICS_ESCAPE.sub(lambda found: "\n" if found[1] in "nN" else found[1], value)
        yield from _plain(value, own)


def _json(text: str, own: Collection[str]) -> Iterator[Passage]:
    del own
    yield from passages_of(json.loads(text))


def _page(data: bytes) -> Iterator[Passage]:
    text = _decoded(data)
    check_page(text)
    yield from said_by(text)


def _mail(data: bytes, own: Collection[str]) -> Iterator[Passage]:
    """The head of a mail and all its parts, decoded as a mail program does."""
    whole = message_from_bytes(data, _class=EmailMessage, policy=policy.default)
    for part in whole.walk():
        if part.defects:
            raise _Unclean("what a mail program reads in more than one way")
        for header, value in part.items():
            if header.lower() not in _HEADERS:
                raise _Unclean(f"the mail header {header!r}")
            yield from _plain(str(value), own)
        if part.is_multipart():
            yield from _plain(f"{part.preamble or ''}\n{part.epilogue or ''}", own)
            continue
        kind = part.get_content_type()
        if kind not in _ENDINGS:
            raise _Unclean(f"a part of kind {kind!r}")
        content = part.get_payload(decode=True)
        yield from _texts(_ENDINGS[kind], content if isinstance(content, bytes) else b"", own)


_READERS: dict[str, Callable[[str, Collection[str]], Iterator[Passage]]] = {
    ".txt": _plain, ".md": _plain, ".csv": _table, ".ics": _calendar, ".json": _json,
}  # fmt: skip
