"""Running parameterised notebooks, one after the other, in one warm process."""

import json
import re
from collections.abc import Mapping
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import nbformat
import papermill
from nbclient.exceptions import CellTimeoutError, DeadKernelError
from nbformat import NotebookNode
from papermill.exceptions import PapermillExecutionError

from coachlib import errors
from coachlib.errors import FileProblem, ReportProblem
from coachlib.report.workbooks.kernel import KERNEL_NAME, WarmKernel
from coachlib.report.look.text import clean_text

#: Longest time one cell may take, which only one without an end reaches. [s]  Own choice: an athlete's week takes a
#: second or two, and where it was never judged, or eight programs share a processor, some minutes.
CELL_LIMIT_S = 900

_COACH_ERRORS = frozenset(name for name, kind in vars(errors).items() if isinstance(kind, type))
_TERMINAL_COLOUR = "\x1b\\[[0-9;]*m"


class BookRunner:
    """Runs notebooks with parameters; each finds the process empty of the one before.

    Parameters
    ----------
    cell_limit_s : float
        Longest time one cell may take. [s]

    Notes
    -----
    A warm process makes a notebook five to seven times quicker than a new one.

    Examples
    --------
    >>> with BookRunner() as runner:
    ...     runner.run(Path("no_such_book.ipynb"), {})  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    coachlib.errors.FileProblem: ...
    """

    def __init__(self, *, cell_limit_s: float = CELL_LIMIT_S) -> None:
        self._cell_limit_s = cell_limit_s
        self._kernel: WarmKernel | None = None

    def __enter__(self) -> Self:
        """Give the runner; its process starts with the first notebook."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """End the process, also when the work was broken off."""
        self.close()

    def close(self) -> None:
        """End the process."""
        self._drop_kernel()

    def run(self, book: Path, parameters: Mapping[str, Any]) -> NotebookNode:
        """Run a notebook with parameters in its tagged cell.

        Parameters
        ----------
        book : Path
            The notebook; it is not changed.
        parameters : mapping
            Plain values for names that the notebook's cell tagged ``parameters`` assigns.

        Returns
        -------
        NotebookNode
            The executed notebook.

        Raises
        ------
        FileProblem
            When the notebook cannot be read.
        ReportProblem
            When a parameter is not plain or not known to the notebook, or when a cell failed, took too
            long or ended the process.
        """
        notebook = _read(book)
        values = _plain(parameters)
        _refuse_unknown(notebook, values, book.name)
        notebook.cells.insert(0, nbformat.v4.new_code_cell("%reset -f"))
        self._kernel = self._kernel or WarmKernel()
        try:
            return papermill.execute_notebook(
                notebook,
                None,
                values,
                progress_bar=False,
                execution_timeout=self._cell_limit_s,
                km=self._kernel.manager,
            )
        except PapermillExecutionError as failure:
            raise ReportProblem(_cell_failure(failure, notebook)) from None
        except CellTimeoutError:
            self._drop_kernel()
            raise ReportProblem(
                f"a cell of {book.name} took longer than {self._cell_limit_s:g} s and was stopped. Run the "
                "workbook in JupyterLab to see which one."
            ) from None
        except DeadKernelError:
            self._drop_kernel()
            raise ReportProblem(
                f"the Python process that ran {book.name} ended before its time, mostly for want of memory. "
                "Close other programs and make the report again."
            ) from None
        except BaseException:
            self._drop_kernel()
            raise
        finally:
            if self._kernel is not None:
                self._kernel.release()

    def _drop_kernel(self) -> None:
        """End the process; the next notebook gets a new one."""
        if self._kernel is not None:
            self._kernel.stop()
            self._kernel = None


def _read(book: Path) -> NotebookNode:
    """Read a notebook in the newest form, for this project's own kernel."""
    try:
        notebook = nbformat.read(book, as_version=4)
    except (OSError, ValueError, AttributeError, nbformat.ValidationError) as problem:
        raise FileProblem(
            f"the workbook {book} cannot be read as a notebook: {problem}. Take it from the project again."
        ) from problem
    notebook.metadata["kernelspec"] = {"name": KERNEL_NAME, "language": "python", "display_name": "Python"}
    return notebook


def _plain(parameters: Mapping[str, Any]) -> dict[str, Any]:
    """The same parameters as plain values; only those pass safely into a notebook's code."""
    try:
        return dict(json.loads(json.dumps(dict(parameters), allow_nan=False)))
    except (TypeError, ValueError) as problem:
        raise ReportProblem(
            f"a report's parameters must be texts, numbers, lists or nothing: {problem}. Pass dates and "
            "paths as text."
        ) from problem


def _refuse_unknown(notebook: NotebookNode, parameters: Mapping[str, Any], name: str) -> None:
    """Refuse a parameter that the notebook does not assign, since it would change nothing."""
    tagged = [cell for cell in notebook.cells if "parameters" in cell.metadata.get("tags", [])]
    if len(tagged) != 1:
        raise ReportProblem(
            f"{name} has {len(tagged)} cells tagged `parameters`; exactly 1 is needed. Tag the cell that "
            "assigns them."
        )
    known = papermill.inspect_notebook(notebook)
    unknown = sorted(set(parameters) - set(known))
    if unknown:
        raise ReportProblem(
            f"{name} has no parameter {', '.join(map(repr, unknown))}; it has "
            f"{', '.join(sorted(known)) or 'none'}. Correct the name."
        )


def _cell_failure(failure: PapermillExecutionError, notebook: NotebookNode) -> str:
    """What went wrong in a cell: a coach's error as it stands, anything else with its place."""
    said = clean_text(re.sub(_TERMINAL_COLOUR, "", failure.evalue)).strip()
    if failure.ename.rpartition(".")[2] in _COACH_ERRORS:
        return said
    place = _heading_above(notebook, failure.source)
    return f"{failure.ename}: {said or 'without a word'}{place}"


def _heading_above(notebook: NotebookNode, source: str) -> str:
    """Under which heading of the notebook a cell stands."""
    heading = ""
    for cell in notebook.cells:
        if cell.cell_type == "code" and cell.source == source:
            break
        if cell.cell_type == "markdown" and (found := re.findall(r"^#+ +(.+)$", cell.source, re.MULTILINE)):
            heading = found[-1].strip()
    return f" (below {heading!r})" if heading else ""
