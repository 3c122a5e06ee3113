"""A workbook made ready for the desk: set to its subject, without what is meant for JupyterLab alone."""

import ast
from collections.abc import Mapping
from typing import Any

import nbformat

from coachlib.report.workbooks.books import book_path

#: The tag of a cell that a page of the desk leaves out.
LAB_ONLY = "in-lab"


def book_for(name: str, *, roster: str, subject: Mapping[str, str]) -> nbformat.NotebookNode:
    r"""Read a workbook and set it to a roster and a subject, as papermill would.

    Parameters
    ----------
    name : str
        The workbook, such as ``"recording"``.
    roster : str
        The roster's folder; no address can name another.
    subject : mapping
        Of these the workbook takes what its parameters name.

    Examples
    --------
    >>> book = book_for("zones", roster="/r", subject={"athlete": "ilva", "week": "2026-W47"})
    >>> [cell.source for cell in book.cells if "injected-parameters" in cell.metadata.get("tags", [])]
    ["roster = '/r'\nathlete = 'ilva'"]
    """
    book = nbformat.read(book_path(name), as_version=4)
    cells = []
    for cell in book.cells:
        tags = cell.metadata.get("tags", [])
        if LAB_ONLY in tags:
            continue
        cells.append(cell)
        if "parameters" in tags:
            cells.append(_injected({"roster": roster, **subject}, names_in(cell.source)))
    book.cells = cells
    return book


def names_in(source: str) -> set[str]:
    """The names that a cell of parameters assigns."""
    assigned = [node for node in ast.parse(source).body if isinstance(node, ast.Assign)]
    return {target.id for node in assigned for target in node.targets if isinstance(target, ast.Name)}


def _injected(values: Mapping[str, str], names: set[str]) -> Any:
    lines = [f"{name} = {value!r}" for name, value in values.items() if name in names]
    cell = nbformat.v4.new_code_cell("\n".join(lines))
    cell.metadata["tags"] = ["injected-parameters"]
    return cell
