"""One self-contained page of blocks, whoever made them: a workbook that was run, or the program itself."""

import json
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

import jinja2

from coachlib.errors import ReportProblem
from coachlib.report.look.palette import DEFAULT_ACCENT
from coachlib.report.look.style import page_style
from coachlib.report.look.text import clean_text
from coachlib.report.page.marks import BLOCK_TYPE, FOR_COACH_TYPE, NUMBERS_TYPE

#: Nothing may be loaded and nothing may run; only the page's own styles apply.
CONTENT_POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"


@cache
def _template() -> jinja2.Template:
    """The page around the blocks; everything but blocks and style is escaped."""
    text = files("coachlib.report.page").joinpath("page.html.j2").read_text("utf-8")
    surroundings = jinja2.Environment(autoescape=True, trim_blocks=True, keep_trailing_newline=True)
    return surroundings.from_string(text)


def render(blocks: Iterable[str], *, title: str, lang: str = "en", accent: str = DEFAULT_ACCENT) -> str:
    """Make the page of some blocks.

    Parameters
    ----------
    blocks : iterable of str
        Finished pieces such as `coachlib.report.page.blocks.Html`, in their order.
    title : str
        The page's title, as a phone shows it in its list of pages.
    lang : str
        Language of the text, such as ``"en"``.
    accent : str
        The roster's accent colour.

    Returns
    -------
    str
        HTML without scripts and without any address outside itself.

    Raises
    ------
    ReportProblem
        When there is no block.

    Source
    ------
    W3C (2016). Content Security Policy Level 2, for the policy.

    Examples
    --------
    >>> page = render(["<h1>A week</h1>"], title="A <week>")
    >>> "<title>A &lt;week&gt;</title>" in page, "<h1>A week</h1>" in page
    (True, True)
    """
    pieces = [str(block) for block in blocks]
    if not pieces:
        raise ReportProblem(
            "the page has 0 blocks; at least one is needed. Let a cell end in a block of coachlib.report, "
            "such as Html or Figure."
        )
    return _template().render(
        blocks=pieces, title=clean_text(title), lang=lang, policy=CONTENT_POLICY, style=page_style(accent)
    )


def blocks_of(book: Mapping[str, Any]) -> list[str]:
    """The blocks that an executed notebook shows, and nothing else of it.

    Parameters
    ----------
    book : NotebookNode
        An executed notebook whose cells show blocks of `coachlib.report.page.blocks`.

    Examples
    --------
    >>> block = {"output_type": "display_data", "data": {BLOCK_TYPE: "<h1>A week</h1>", "text/plain": "x"}}
    >>> blocks_of({"cells": [{"cell_type": "code", "outputs": [block]}]})
    ['<h1>A week</h1>']
    """
    return list(_shown(book, BLOCK_TYPE))


def numbers_of(book: Mapping[str, Any]) -> dict[str, Any]:
    """The numbers that an executed notebook keeps beside its letter.

    Parameters
    ----------
    book : NotebookNode
        An executed notebook with one `coachlib.report.page.blocks.Numbers` among its outputs.

    Returns
    -------
    dict
        Plain values, free of NaN.

    Raises
    ------
    ReportProblem
        When the notebook shows none, or more than one.

    Examples
    --------
    >>> kept = {"output_type": "display_data", "data": {NUMBERS_TYPE: {"sessions": 5}}}
    >>> numbers_of({"cells": [{"cell_type": "code", "outputs": [kept]}]})
    {'sessions': 5}
    """
    found = list(_shown(book, NUMBERS_TYPE))
    if len(found) != 1:
        raise ReportProblem(
            f"the notebook shows {len(found)} sets of numbers; exactly 1 is needed, to be kept beside the "
            "letter. Let one cell end in Numbers(...)."
        )
    return dict(json.loads(json.dumps(found[0], allow_nan=False)))


def for_coach_of(book: Mapping[str, Any]) -> dict[str, Any]:
    """What an executed notebook tells the coach alone, beside the numbers; empty where it tells nothing.

    Examples
    --------
    >>> for_coach_of({"cells": []})
    {}
    """
    told: dict[str, Any] = {}
    for found in _shown(book, FOR_COACH_TYPE):
        told |= found
    return told


def _shown(book: Mapping[str, Any], kind: str) -> Iterator[Any]:
    """What the code cells of a notebook show under one type, in their order."""
    for cell in book["cells"]:
        for output in cell.get("outputs", ()) if cell["cell_type"] == "code" else ():
            if output["output_type"] in ("display_data", "execute_result") and kind in output["data"]:
                yield output["data"][kind]
