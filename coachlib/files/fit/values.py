"""Values from a FIT file as they can be trusted: numbers that are numbers, text that is only text."""

import math
import unicodedata

#: Text from a file is cut to this many characters.
LONGEST_TEXT = 80

#: The file's clock starts at the end of 1989 and is a count of seconds in 32 bits.
LATEST_FIT_S = 2.0**32


def number(value: object) -> float:
    """A finite number as float; the first one of a list; NaN for everything else.

    Examples
    --------
    >>> number(7), number((None, 2.5)), number("seven")
    (7.0, 2.5, nan)
    """
    if isinstance(value, tuple):
        value = next((entry for entry in value if entry is not None), None)
    if isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value):
        return float(value)
    return math.nan


def instant(value: object) -> float:
    """A time on the file's clock [s], or NaN where it cannot be one."""
    seconds = number(value)
    return seconds if 0.0 <= seconds < LATEST_FIT_S else math.nan


def plain_text(value: object) -> str:
    r"""Text without control, formatting and unassigned characters, cut to ``LONGEST_TEXT``; "" for no text.

    Examples
    --------
    >>> plain_text("tread\u202emill\x00"), plain_text(12), plain_text(None)
    ('treadmill', '12', '')
    """
    if isinstance(value, bool) or not isinstance(value, (str, int)):
        return ""
    kept = [
        c
        for c in str(value)[: 2 * LONGEST_TEXT]  # enough for any sane text
        if unicodedata.category(c)[0] != "C" and unicodedata.category(c) not in ("Zl", "Zp")
    ]
    return "".join(kept)[:LONGEST_TEXT].strip()
