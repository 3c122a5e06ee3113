"""What the athletes wrote, on the call sheet: questions and health open, the rest folded behind its number."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from coachlib.analysis.remarks.open_remarks import Remark
from coachlib.report.look.text import clean_text, escape
from coachlib.report.words import wording

#: Longest remark that stands open in full [characters]; the rest of a longer one is in the fold.  Own choice: about
#: one line, so that twelve athletes fit one screen.
MOST_OPEN = 120


@dataclass(frozen=True, slots=True)
class OpenLines:
    """Remarks that stand open, as list items, and those for the fold: (who and when, words)."""

    html: str
    folded: tuple[tuple[str, str], ...]


def open_lines(remarks: Sequence[Remark], *, quoted: Collection[str] = (), who: str = "") -> OpenLines:
    """Part one athlete's remarks into those that stand open and those that are folded.

    Parameters
    ----------
    remarks : sequence of Remark
        All of the week.
    quoted : collection of str
        Remarks that a reason shows in full already.
    who : str
        A name to set before each, where remarks of several people stand together.
    """
    lines, folded = [], []
    for remark in remarks:
        if remark.text in quoted:
            continue
        when = f"{who}, {wording.day(remark.on)}" if who else wording.day(remark.on)
        words = " ".join(remark.text.split())
        if not remark.is_open or len(words) > MOST_OPEN:
            folded.append((when, words))
        if remark.is_open:
            lines.append(_line(when, clean_text(words, limit=MOST_OPEN)))
    return OpenLines("".join(lines), tuple(folded))


def rest(folded: Sequence[tuple[str, str]], *, are_all: bool = False) -> str:
    """Remarks folded behind their number; "" without any."""
    if not folded:
        return ""
    number = f"{len(folded)} {'' if are_all else 'more '}{'remark' if len(folded) == 1 else 'remarks'}"
    lines = "".join(_line(when, words) for when, words in folded)
    return f"<details><summary>{number}</summary><ul>{lines}</ul></details>"


def _line(when: str, words: str) -> str:
    return f'<li><span class="why words">{escape(when)}: “{escape(words)}”</span></li>'
