"""Words and tables in any terminal: narrow or wide, none at all, without colour, in plain ASCII.

Nothing disappears: what a terminal cannot show is written out, what does not fit side by side is put one below
the other.
"""

import codecs
import os
import shutil
import sys
import textwrap
import time
import unicodedata
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import TextIO

#: Letters and signs that plain ASCII has another way to write; accents are taken off by themselves.
_PLAIN = {
    "−": "-", "–": "-", "—": "-", "→": "->", "…": "...", "·": "-", "×": "x", "±": "+-", "°": " deg ",
    "’": "'", "‘": "'", "“": '"', "”": '"', "≤": "<=", "≥": ">=", "ß": "ss", "æ": "ae", "Æ": "Ae", "ø": "o",
    "Ø": "O", "ł": "l", "Ł": "L", "đ": "d", "Đ": "D", "ı": "i", "œ": "oe", "Œ": "Oe", "þ": "th", "ð": "d",
}  # fmt: skip
#: Room for the last column of a table; with less the rows are put one below the other.  Own choice.
_LEAST_ROOM = 20
_GAP = "  "


def plain_streams() -> None:
    """Let standard output and error write in other letters what their encoding does not have."""
    codecs.register_error("coachlib.plain", _in_plain)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="coachlib.plain")


def _in_plain(problem: UnicodeError) -> tuple[str | bytes, int]:
    if not isinstance(problem, UnicodeEncodeError):
        raise problem
    return "".join(map(_as_ascii, problem.object[problem.start : problem.end])), problem.end


def _as_ascii(sign: str) -> str:
    folded = unicodedata.normalize("NFKD", sign).encode("ascii", "ignore").decode()
    return _PLAIN.get(sign) or folded or sign.encode("ascii", "backslashreplace").decode()


def visible(text: str) -> str:
    r"""A text without signs that would steer the terminal; they are written out instead.

    Examples
    --------
    >>> visible("a\x1b[2Jb"), visible("two\nlines")
    ('a\\x1b[2Jb', 'two\nlines')
    """
    return "".join(
        s if s.isprintable() or s == "\n" else " " if s.isspace() else s.encode("unicode_escape").decode()
        for s in text
    )


def in_command(word: str | os.PathLike[str]) -> str:
    """A word as it is typed into a command, in quotes where it needs some.

    Examples
    --------
    >>> in_command("my_roster")
    'my_roster'
    """
    import shlex
    import subprocess

    typed = os.fspath(word)
    return subprocess.list2cmdline([typed]) if os.name == "nt" else shlex.quote(typed)


def tell(line: str, *, to: TextIO | None = None) -> None:
    """One line or more for a person, however wide the window is."""
    print(visible(line), file=to or sys.stdout)


def width_of(stream: TextIO | None = None) -> int | None:
    """How many signs fit beside one another; None where no terminal is."""
    if not (stream or sys.stdout).isatty():
        return None
    return max(10, shutil.get_terminal_size().columns)


def table(heads: Sequence[str], rows: Sequence[Sequence[str]], *, width: int | None) -> list[str]:
    r"""The lines of a table: side by side where that fits, else each row as a paragraph.

    Parameters
    ----------
    heads : sequence of str
        What the columns are called.
    rows : sequence of sequence of str
        A text for each column; the first says what a row is about, the last may be long.
    width : int or None
        How many signs fit beside one another; None: as many as it takes.

    Examples
    --------
    >>> print("\n".join(table(["who", "what"], [["Anna", "ran, swam"]], width=None)))
    who   what
    Anna  ran, swam
    >>> print("\n".join(table(["who", "what"], [["Anna", "ran, swam and rode"]], width=16)))
    Anna
      what: ran,
        swam and
        rode
    """
    cells = [[visible(cell).replace("\n", " ") for cell in row] for row in rows]
    widths = [max(map(_signs, column)) for column in zip(heads, *cells, strict=True)]
    room = None if width is None else width - sum(widths[:-1]) - len(_GAP) * (len(widths) - 1)
    if room is not None and room < min(widths[-1], _LEAST_ROOM):
        return [line for row in cells for line in _paragraph(heads, row, width or 0)]
    lines = []
    for row in [list(heads), *cells]:
        first, *more = wrapped(row[-1], room)
        beside = [cell + " " * (w - _signs(cell)) for cell, w in zip(row[:-1], widths[:-1], strict=True)]
        lines.append(_GAP.join([*beside, first]).rstrip())
        left = " " * (sum(widths[:-1]) + len(_GAP) * (len(widths) - 1))
        lines += [left + line for line in more]
    return lines


def _paragraph(heads: Sequence[str], row: Sequence[str], width: int) -> Iterator[str]:
    """A row by itself: what it is about, and beneath it what there is to say."""
    yield row[0]
    for head, cell in zip(heads[1:], row[1:], strict=True):
        if cell:
            yield from wrapped(f"{head}: {cell}", width, first="  ", more="    ")


def wrapped(text: str, width: int | None, *, first: str = "", more: str = "") -> list[str]:
    """A text in lines; a word or a path stays whole, so that it can be copied; ``width`` None: one line."""
    if width is None:
        return [first + text]
    lines = textwrap.wrap(
        text,
        max(width, 1),
        initial_indent=first,
        subsequent_indent=more,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return lines or [""]


def _signs(text: str) -> int:
    """How many places a text takes: some letters are two wide, some marks none."""
    return sum(
        0 if unicodedata.combining(s) else 2 if unicodedata.east_asian_width(s) in "WF" else 1 for s in text
    )


def pace(n_done: int, n_total: int, elapsed_s: float) -> str:
    """How fast it goes on and how long the rest will take; "" while nothing is done.

    Examples
    --------
    >>> pace(30, 300, 60.0), pace(1, 4, 90.0), pace(0, 4, 9.0)
    ('30 a minute, 9 min left', '90 s each, 4 min left', '')
    """
    if n_done < 1 or elapsed_s <= 0:
        return ""
    each_s = elapsed_s / n_done
    left_s = (n_total - n_done) * each_s
    rate = f"{60 / each_s:.0f} a minute" if each_s <= 40 else f"{each_s:.0f} s each"
    return f"{rate}, {left_s / 60:.0f} min left" if left_s >= 90 else f"{rate}, {left_s:.0f} s left"


@contextmanager
def progress(what: str, total: int) -> Iterator[Callable[[str], None]]:
    """Show on standard error that work goes on, where somebody looks; call what is given before each step.

    Examples
    --------
    >>> with progress("Reading", 2) as step:
    ...     step("one.fit")
    ...     step("two.fit")
    """
    if not sys.stderr.isatty() or os.environ.get("TERM") == "dumb":
        yield lambda name: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, SpinnerColumn, TextColumn

    columns = (
        SpinnerColumn("line"),
        TextColumn("{task.description}", markup=False),
        BarColumn(bar_width=12),
        TextColumn("{task.completed}/{task.total} {task.fields[pace]}"),
    )
    n_begun = 0
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(what, total=total, pace="")
        begin_s = time.monotonic()

        def step(name: str) -> None:
            nonlocal n_begun
            said = pace(n_begun, total, time.monotonic() - begin_s)
            bar.update(task, completed=n_begun, description=visible(f"{what} {name}".strip()), pace=said)
            n_begun += 1

        yield step
