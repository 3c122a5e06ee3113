"""Cells that a spreadsheet would run as a formula, made harmless when they are written, and read back as they were."""

import re

#: What stands before a text that a spreadsheet would run; it shows the text then.
NEUTRAL = "'"
#: How a cell begins that spreadsheets run, also after white space and with full-width signs.
#: Source: Open Web Application Security Project, "CSV Injection" (from memory: = + - @ tab and carriage return).
_RUNS = re.compile(r"[\t\r\n]|\s*[=+\-@\uff1d\uff0b\uff0d\uff20]")


def neutral(text: str) -> str:
    """A text that no spreadsheet takes for a formula.

    Parameters
    ----------
    text : str
        What a cell shall say; numbers are no texts and are not asked about.

    Source
    ------
    See ``_RUNS``.

    Examples
    --------
    >>> neutral("=1+1"), neutral("-5 min, then easy"), neutral("easy - long")
    ("'=1+1", "'-5 min, then easy", 'easy - long')
    """
    return NEUTRAL + text if _RUNS.match(text) else text


def as_typed(cell: str) -> str:
    """A cell without the sign that made it harmless.

    Examples
    --------
    >>> as_typed("'=1+1"), as_typed("'tis windy")
    ('=1+1', "'tis windy")
    """
    return cell[1:] if cell.startswith(NEUTRAL) and _RUNS.match(cell[1:]) else cell
