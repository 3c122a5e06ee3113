"""The letter's style sheet, for a page and for JupyterLab."""

from functools import cache
from importlib.resources import files

from coachlib.report.look.palette import DEFAULT_ACCENT, palette_css


@cache
def _sheet() -> str:
    """The style sheet without its colours, without comments and line ends."""
    text = files("coachlib.report.look").joinpath("letter.css").read_text("utf-8")
    while "/*" in text:
        before, _, rest = text.partition("/*")
        text = before + rest.partition("*/")[2]
    return " ".join(text.split())


@cache
def page_style(accent: str = DEFAULT_ACCENT) -> str:
    """Style of a page: light, dark where the reader's device is dark, and print.

    Examples
    --------
    >>> "prefers-color-scheme:dark" in page_style()
    True
    """
    return (
        palette_css(".letter,.letter .card", accent)
        + f"@media(prefers-color-scheme:dark){{{palette_css('.letter', accent, 'dark')}}}"
        + f"@media print{{{palette_css('.letter,.letter .card', accent, 'print')}}}"
        + _sheet()
    )


@cache
def notebook_style() -> str:
    """Style of one output in JupyterLab, which is light or dark by its own switch.

    Examples
    --------
    >>> 'data-jp-theme-light="false"' in notebook_style()
    True
    """
    return (
        palette_css(".letter,.letter .card")
        + palette_css('[data-jp-theme-light="false"] .letter', theme="dark")
        + _sheet()
        + "div.letter{max-width:61rem;padding:.75rem 1rem}"
        + "div.letter>h2:first-child,div.letter>style:first-child+h2{margin-top:.5rem}"
    )
