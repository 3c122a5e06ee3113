"""The kinds of files that a recording may come in: how each is told, its ending, and what reads it."""

from collections.abc import Callable
from dataclasses import dataclass

from coachlib.files.fit.reading import read_parts
from coachlib.records.activity import Activity


@dataclass(frozen=True, slots=True, kw_only=True)
class Format:
    """One kind of file: its ending, whether bytes are of it, and the sessions that bytes hold."""

    ending: str
    is_of: Callable[[bytes], bool]
    read: Callable[[bytes], tuple[Activity, ...]]


#: Every format; the last takes what no other knows, and refuses in its own words what it cannot read.
FORMATS = (Format(ending=".fit", is_of=lambda _: True, read=read_parts),)
ENDINGS = tuple(each.ending for each in FORMATS)


def format_of(data: bytes) -> Format:
    """The format that bytes are of.

    Examples
    --------
    >>> format_of(b"").ending
    '.fit'
    """
    return next(each for each in FORMATS if each.is_of(data))


def is_recording(name: str) -> bool:
    """Whether a file's name says that it is a recording.

    Examples
    --------
    >>> is_recording("Morning.FIT"), is_recording("diary.csv")
    (True, False)
    """
    return name.lower().endswith(ENDINGS)
