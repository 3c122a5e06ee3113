"""A coach's note for one week: words for the athlete, words for the coach alone, names that may stand in it."""

import re
from collections.abc import Callable
from dataclasses import dataclass

from coachlib.errors import RosterProblem

_OPENED, _CLOSED = "<!--", "-->"
_NAMES = re.compile(r"names allowed[ \t]*:[ \t]*(.*)", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """What the athlete may read, None where that is nothing, and whom the letter of that week may name."""

    words: str | None = None
    names_allowed: tuple[str, ...] = ()


def read_note(text: str, where: str = "the note") -> Note:
    r"""Take a note apart.

    Parameters
    ----------
    text : str
        The file's text.  What stands between ``<!--`` and ``-->`` is the coach's own.  Lines at its top that
        read ``names allowed: Berta, Cem`` let the letter of that week name them; they are not printed.
    where : str
        What the file is called in sentences.

    Raises
    ------
    RosterProblem
        When private words begin and never end.

    Examples
    --------
    >>> read_note("names allowed: Berta\n<!-- call her -->\nGood ride with Berta!")
    Note(words='Good ride with Berta!', names_allowed=('Berta',))
    """
    lines = _without_private(text, where).strip().splitlines(keepends=True)
    names: list[str] = []
    while lines and (found := _NAMES.fullmatch(lines[0].strip()) or not lines[0].strip()):
        if isinstance(found, re.Match):
            names += _names_in(found[1])
        del lines[0]
    return Note(words="".join(lines).strip() or None, names_allowed=tuple(dict.fromkeys(names)))


def without_allowed(text: str, is_meant: Callable[[str], bool]) -> str:
    r"""A note's text whose first lines allow some names no longer; a line that allows nobody goes.

    Examples
    --------
    >>> without_allowed("names allowed: Berta, Cem\nGood ride!", lambda name: name == "Berta")
    'names allowed: Cem\nGood ride!'
    """
    kept = []
    for line in text.splitlines(keepends=True):
        if (found := _NAMES.fullmatch(line.strip())) and any(map(is_meant, names := _names_in(found[1]))):
            if not (stay := [name for name in names if not is_meant(name)]):
                continue
            line = line.replace(found[1], ", ".join(stay))
        kept.append(line)
    return "".join(kept)


def _names_in(listed: str) -> list[str]:
    return [name.strip() for name in re.split(r"[,;]", listed) if name.strip()]


def _without_private(text: str, where: str) -> str:
    """The text without the coach's private words; their own line goes with them."""
    kept: list[str] = []
    at = 0
    while (opened := text.find(_OPENED, at)) >= 0:
        closed = text.find(_CLOSED, opened + len(_OPENED))
        if closed < 0:
            raise RosterProblem(
                f'{where} has private words that begin with "<!--" and never end: '
                f'"{text[opened + len(_OPENED) :].strip()[:40]}"; write "-->" behind them'
            )
        kept.append(text[at:opened])
        at = closed + len(_CLOSED)
        begins_line = not text[text.rfind("\n", 0, opened) + 1 : opened].strip()
        if begins_line and (rest := re.compile(r"[ \t]*\r?\n").match(text, at)):
            at = rest.end()
    return "".join([*kept, text[at:]])
