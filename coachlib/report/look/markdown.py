"""A coach's note in Markdown, turned into a few harmless elements."""

import mistune
import nh3

from coachlib.report.look.text import clean_text, escape

#: What a note may be made of; anything else keeps its words and loses its form.
NOTE_TAGS = frozenset({"p", "br", "em", "strong", "ul", "ol", "li", "blockquote"})

#: Longest note taken over [characters].  This project's own choice: about two pages of print.
MAX_NOTE = 8000

_MARKDOWN = mistune.create_markdown(escape=True)


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
        A piece of HTML made of ``NOTE_TAGS`` only.

    Source
    ------
    This project's own choice: a note is words, and words need no more than this. Markup typed into a
    note is shown as it was typed, not obeyed.

    Examples
    --------
    >>> markdown_html("Keep the *easy* days easy.\n\n- sleep\n- drink")
    '<p>Keep the <em>easy</em> days easy.</p>\n<ul>\n<li>sleep</li>\n<li>drink</li>\n</ul>'
    >>> markdown_html("[map](https://example.org) <b>bold</b>")
    '<p>map &lt;b&gt;bold&lt;/b&gt;</p>'
    """
    rendered = str(_MARKDOWN(clean_text(text, limit=MAX_NOTE)))
    for level in "123456":
        rendered = rendered.replace(f"<h{level}>", "<p><strong>").replace(f"</h{level}>", "</strong></p>")
    return nh3.clean(rendered, tags=set(NOTE_TAGS), attributes={}, url_schemes=set()).strip()


def words_html(text: str) -> str:
    r"""Set an athlete's remark as it was typed, keeping its line breaks and nothing else.

    Source
    ------
    This project's own choice: a remark is quoted, not formatted.

    Examples
    --------
    >>> words_html("Legs heavy.\nSlept badly <again>")
    'Legs heavy.<br>Slept badly &lt;again&gt;'
    """
    return "<br>".join(escape(line) for line in text.strip().splitlines())
