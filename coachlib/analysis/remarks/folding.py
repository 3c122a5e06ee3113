"""Words as they are compared: without case, accents and the typographic forms of signs."""

import re
import unicodedata

_LETTERS = str.maketrans(
    {"œ": "oe", "æ": "ae", "ø": "o", "ł": "l", "‘": "'", "’": "'", "ʼ": "'", "`": "'", "´": "'", "′": "'"}
)
_DASHES = re.compile(r"[-‐‑‒–—―−_/]+")
_SPACE = re.compile(r"\s+")
_BETWEEN = re.compile(r"(?<=[.!?;])\s+|[\n\r]+")


def folded(text: str) -> str:
    """Text as it is compared: small letters, no accents, plain apostrophes, a blank for every dash.

    Examples
    --------
    >>> folded("Light-headed, COULDN’T  breathe; Cœur serré, Füße")
    "light headed, couldn't breathe; coeur serre, fusse"
    """
    small = unicodedata.normalize("NFKC", text).casefold().translate(_LETTERS)
    plain = "".join(c for c in unicodedata.normalize("NFKD", small) if not unicodedata.combining(c))
    return _SPACE.sub(" ", _DASHES.sub(" ", plain)).strip()


def sentences(text: str) -> tuple[str, ...]:
    """A remark's sentences as they were written.

    Examples
    --------
    >>> sentences("Fine. Felt 2.5 km long!  Can I test soon?")
    ('Fine.', 'Felt 2.5 km long!', 'Can I test soon?')
    """
    return tuple(stripped for each in _BETWEEN.split(text) if (stripped := each.strip()))
