"""A workbook run for the desk: pieces of its page, one after the other, as they are made."""

import json
from collections.abc import AsyncIterator
from typing import Any

import mistune
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError, DeadKernelError
from nbformat import NotebookNode

from coachlib import errors
from coachlib.report.look.text import clean_text, escape
from coachlib.report.page.marks import DESK_TYPE, NUMBERS_TYPE

WIDGET = "application/vnd.jupyter.widget-view+json"
#: How the page's scripts find what they have to draw.
_FOR_SCRIPTS = "application/vnd.voila.cell-output+json"

_COACH_ERRORS = frozenset(name for name, kind in vars(errors).items() if isinstance(kind, type))
_MARKDOWN = mistune.create_markdown(escape=True)


class BookRun:
    """One run of a workbook; ``has_widgets`` says afterwards whether its process is still needed.

    Parameters
    ----------
    book : NotebookNode
        A workbook set to its subject.
    manager : KernelManager
        The process that runs it.
    """

    def __init__(self, book: NotebookNode, manager: Any) -> None:
        self.has_widgets = False
        self._book = book
        self._client = NotebookClient(book, km=manager, record_timing=False, store_widget_state=False)

    async def pieces(self) -> AsyncIterator[str]:
        """Run the cells and give what each shows as HTML; a cell that fails is the last."""
        client: Any = self._client
        client.reset_execution_trackers()
        client.kc = client.km.client()
        client.kc.start_channels()
        try:
            await client.kc.wait_for_ready(timeout=60)
            for number, cell in enumerate(self._book.cells):
                if cell.cell_type == "markdown":
                    yield f'<div class="words">{_MARKDOWN(cell.source)}</div>'
                elif cell.cell_type == "code":
                    went_well = await self._run(cell, number)
                    yield "".join(self._shown(output) for output in cell.outputs)
                    if not went_well:
                        break
        finally:
            client.kc.stop_channels()

    async def _run(self, cell: NotebookNode, number: int) -> bool:
        try:
            await self._client.async_execute_cell(cell, number, store_history=False)
        except CellExecutionError:
            return False
        except DeadKernelError:
            cell.outputs = [{"output_type": "error", "ename": "DeadKernelError", "evalue": ""}]
            return False
        return True

    def _shown(self, output: Any) -> str:
        """What a page shows of an output: pieces made for it, and what went wrong in words."""
        if output["output_type"] == "error":
            return f'<p class="refusal" role="alert">{escape(_in_words(output))}</p>'
        data = output.get("data", {})
        if NUMBERS_TYPE in data:
            return ""
        if WIDGET in data:
            self.has_widgets = True
            told = json.dumps({**output, "trusted": True}).replace("<", "\\u003c")
            return f'<div class="output"><script type="{_FOR_SCRIPTS}">{told}</script></div>'
        for kind in (DESK_TYPE, "text/html", "image/svg+xml"):
            if kind in data:
                return f'<div class="output">{data[kind]}</div>'
        return ""


def _in_words(error: Any) -> str:
    """What a coach reads where a workbook could not go on."""
    said = clean_text(str(error["evalue"])).strip()
    if error["ename"].rpartition(".")[2] in _COACH_ERRORS:
        return said[:1].upper() + said[1:]
    if error["ename"] == "DeadKernelError":
        return "The process behind this page ended before it was done, mostly for want of memory. Open the page again."
    return f"Something in the program is wrong ({error['ename']}: {said or 'without a word'})."
