"""Text from people and files, made safe to set in a page or a chart.

Two steps that must not be mixed: `clean_text` takes out what no page or drawing can carry, when the
text is read; `escape` makes markup harmless, when the text is set.
"""

import html
import re

#: Longest text taken over from a diary, a name or a file [characters].  This project's own choice: a
#: letter of two pages has room for no more.
MAX_TEXT = 4000

#: Everything XML 1.0 forbids, plus the marks that turn the direction of the text after them.
_FORBIDDEN = re.compile(
    "[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]|[\u202a-\u202e\u2066-\u2069\u007f-\u0084\u0086-\u009f]"
)


def clean_text(text: str, *, limit: int = MAX_TEXT) -> str:
    r"""Take out characters that no page or drawing can carry, and cut what is far too long.

    Parameters
    ----------
    text : str
        Text as a person typed it or a file holds it.
    limit : int
        Longest text to keep; a longer one ends in an ellipsis. [characters]

    Returns
    -------
    str
        The text without control characters, lone surrogates and marks that turn the reading direction.

    Source
    ------
    W3C (2008). Extensible Markup Language (XML) 1.0, fifth edition, production 2 (Char). Direction
    marks: Unicode Standard Annex 9, explicit directional embeddings, overrides and isolates.

    Examples
    --------
    >>> clean_text("Long run\x00\x00 with \u202eAnna")
    'Long run with Anna'
    >>> clean_text("a b c d", limit=4)
    'a b…'
    """
    kept = _FORBIDDEN.sub("", text)
    return kept if len(kept) <= limit else kept[: limit - 1].rstrip() + "…"


#: A number and its unit stay on one line.
_UNIT = re.compile(r"(?<=\d) (?=(?:%|bpm|W|km/h|mph|km|mi|ft|min|h|m|s|°C|°F)(?![\w]))")


def escape(text: object) -> str:
    """Clean a value and make it harmless inside an element or a quoted attribute; units stay with numbers.

    Notes
    -----
    One place where text becomes markup.

    Examples
    --------
    >>> escape('5 < 6 & "easy"')
    '5 &lt; 6 &amp; &quot;easy&quot;'
    """
    return html.escape(_UNIT.sub("\u00a0", clean_text(str(text))), quote=True)
