"""A coach's note in Markdown, turned into a few harmless elements without losing a word."""

import html
import re

import mistune
import nh3

from coachlib.errors import ReportProblem
from coachlib.report.look.text import clean_text, escape

#: What a note may be made of; anything else keeps its words and loses its form.
NOTE_TAGS = frozenset({"p", "br", "em", "strong", "ul", "ol", "li", "blockquote"})

#: Longest note taken over [characters].  This project's own choice: about two pages of print.
MAX_NOTE = 8000

#: A line that begins with a number and a point: an entry of a list, a year, or a day of the month.
_NUMBERED = re.compile(r"^([ \t]*(?:[-*+>][ \t]*)*)(\d{1,9})([.)])(?=[ \t]|$)", re.MULTILINE)
_BLOCKS = ("atx_heading", "setex_heading", "thematic_break", "block_quote", "list", "blank_line")


class _NoteRenderer(mistune.HTMLRenderer):
    """Words as they were typed, entities included, and headings as bold paragraphs."""

    def text(self, text: str) -> str:
        """Set words as they stand."""
        return html.escape(text)

    def heading(self, text: str, level: int, **_: object) -> str:
        """Set a heading within the letter's own order of headings."""
        return f"<p><strong>{text}</strong></p>\n"

    def thematic_break(self) -> str:
        """Leave out a line between paragraphs."""
        return ""


def _reader() -> mistune.Markdown:
    """Markdown without what would swallow words: link definitions, pictures, code, markup."""
    block = mistune.BlockParser()
    for rules in (block.rules, block.block_quote_rules, block.list_rules):
        rules[:] = [rule for rule in rules if rule in _BLOCKS]
    inline = mistune.InlineParser()
    inline.rules = ["escape", "emphasis", "linebreak", "softbreak"]
    return mistune.Markdown(renderer=_NoteRenderer(escape=True), block=block, inline=inline)


_MARKDOWN = _reader()


def markdown_html(text: str) -> str:
    r"""Set a note: paragraphs, emphasis, lists and quotations; no links, pictures or attributes.

    Parameters
    ----------
    text : str
        The note as the coach wrote it, in Markdown. Headings become bold paragraphs, because the
        letter has its own order of headings.

    Returns
    -------
    str
        A piece of HTML made of ``NOTE_TAGS`` only, in which every word and number of the note stands.

    Raises
    ------
    ReportProblem
        When the note is longer than ``MAX_NOTE``.

    Source
    ------
    Markdown as most editors know it; what is left out of it is this project's own choice: a note is words,
    and words need no more than this. Links and markup typed into a note are shown as they were typed.

    Examples
    --------
    >>> markdown_html("Keep the *easy* days easy.\n\n- sleep\n- drink")
    '<p>Keep the <em>easy</em> days easy.</p>\n<ul>\n<li>sleep</li>\n<li>drink</li>\n</ul>'
    >>> markdown_html("[map](example.org) <b>bold</b>")
    '<p>[map](example.org) &lt;b&gt;bold&lt;/b&gt;</p>'
    >>> markdown_html("24. Nov: rest\n26. Nov: easy")
    '<p>24. Nov: rest<br>\n26. Nov: easy</p>'
    """
    if len(text) > MAX_NOTE:
        raise ReportProblem(
            f"the note has {len(text):,} characters; {MAX_NOTE:,} are the most that a letter has room for. "
            "Shorten it."
        )
    rendered = str(_MARKDOWN(_numbers_kept(clean_text(text, limit=MAX_NOTE))))
    return nh3.clean(rendered, tags=set(NOTE_TAGS), attributes={}, url_schemes=set()).strip()


def _numbers_kept(text: str) -> str:
    """A note whose numbered lines are a list only where they count 1, 2, 3; else days or years, kept as typed."""
    numbers = [int(found[2]) for found in _NUMBERED.finditer(text)]
    if all(now == 1 or now == before + 1 for before, now in zip([0, *numbers], numbers, strict=False)):
        return text
    kept = _NUMBERED.sub(r"\1\2\\\3", text)
    return re.sub(r"(?<=\S)[ \t]*\n(?=[ \t]*\d{1,9}\\[.)])", "  \n", kept)


def words_html(text: str) -> str:
    r"""Set an athlete's remark as it was typed, keeping its line breaks and nothing else.

    Notes
    -----
    A remark is quoted, not formatted.

    Examples
    --------
    >>> words_html("Legs heavy.\nSlept badly <again>")
    'Legs heavy.<br>Slept badly &lt;again&gt;'
    """
    return "<br>".join(escape(line) for line in text.strip().splitlines())
