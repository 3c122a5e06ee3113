"""From an executed notebook to one self-contained page."""

import json
from pathlib import Path
from typing import Any

import nbformat
from nbconvert.exporters import TemplateExporter
from traitlets import default

from coachlib.errors import ReportProblem
from coachlib.report.look.palette import DEFAULT_ACCENT
from coachlib.report.look.style import page_style
from coachlib.report.look.text import clean_text
from coachlib.report.page.marks import BLOCK_TYPE, NUMBERS_TYPE

#: Nothing may be loaded and nothing may run; only the page's own styles apply.
CONTENT_POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"


class LetterExporter(TemplateExporter):
    """Puts the blocks of a notebook, and nothing else of it, into the letter's page.

    It stands on the general exporter: the one for HTML reads the finished page again and lower-cases
    ``viewBox`` on the way.
    """

    export_from_notebook = ""

    @default("file_extension")
    def _file_extension(self) -> str:
        return ".html"

    @default("template_name")
    def _template_name(self) -> str:
        return "letter"

    @default("extra_template_basedirs")
    def _extra_template_basedirs(self) -> list[str]:
        return [str(Path(__file__).parent / "template")]


def render(book: nbformat.NotebookNode, *, title: str, lang: str = "en", accent: str = DEFAULT_ACCENT) -> str:
    """Make the page of an executed notebook.

    Parameters
    ----------
    book : NotebookNode
        An executed notebook whose cells show blocks of `coachlib.report.page.blocks`.
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
        When no cell shows a block.

    Source
    ------
    W3C (2016). Content Security Policy Level 2, for the policy. What is exported is this project's own
    choice.

    Examples
    --------
    >>> from nbformat.v4 import new_code_cell, new_notebook, new_output
    >>> block = new_output("display_data", data={BLOCK_TYPE: "<h1>A week</h1>"})
    >>> page = render(new_notebook(cells=[new_code_cell(outputs=[block])]), title="A week")
    >>> "<title>A week</title>" in page, "<h1>A week</h1>" in page
    (True, True)
    """
    if not any(BLOCK_TYPE in data for data in _shown(book)):
        raise ReportProblem(
            "the notebook shows 0 parts of a letter; at least one is needed. Let a cell end in a block of "
            "coachlib.report, such as Html or Figure."
        )
    letter = {
        "title": clean_text(title),
        "lang": lang,
        "policy": CONTENT_POLICY,
        "style": page_style(accent),
        "block_type": BLOCK_TYPE,
    }
    page, _ = LetterExporter().from_notebook_node(book, resources={"letter": letter})
    return str(page)


def numbers_of(book: nbformat.NotebookNode) -> dict[str, Any]:
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

    Source
    ------
    This project's own choice.

    Examples
    --------
    >>> from nbformat.v4 import new_code_cell, new_notebook, new_output
    >>> kept = new_output("display_data", data={NUMBERS_TYPE: {"sessions": 5}})
    >>> numbers_of(new_notebook(cells=[new_code_cell(outputs=[kept])]))
    {'sessions': 5}
    """
    found = [data[NUMBERS_TYPE] for data in _shown(book) if NUMBERS_TYPE in data]
    if len(found) != 1:
        raise ReportProblem(
            f"the notebook shows {len(found)} sets of numbers; exactly 1 is needed, to be kept beside the "
            "letter. Let one cell end in Numbers(...)."
        )
    return dict(json.loads(json.dumps(found[0], allow_nan=False)))


def _shown(book: nbformat.NotebookNode) -> list[dict[str, Any]]:
    """What the code cells of a notebook show, by type."""
    outputs = [output for cell in book.cells if cell.cell_type == "code" for output in cell.outputs]
    return [output.data for output in outputs if output.output_type in ("display_data", "execute_result")]
