"""The workbooks laid out for JupyterLab inside the roster's derived folder, set to the roster."""

import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import nbformat

from coachlib.files.roster.folder import RosterFolder
from coachlib.files.roster.places import DERIVED_FOLDER
from coachlib.panels.desk.books import LAB_ONLY, names_in
from coachlib.report.workbooks.books import workbooks_folder

#: JupyterLab's own settings, changed where a coach would be disturbed, or where the panels need it: their
#: answers come in the order of the questions, in the kernel's main thread.
OVERRIDES: dict[str, dict[str, Any]] = {
    "@jupyterlab/apputils-extension:notification": {"checkForUpdates": False, "fetchNews": "false"},
    "@jupyterlab/apputils-extension:kernels-settings": {"commsOverSubshells": "disabled"},
}

#: What only JupyterLab's reader needs to know; the desk's pages run by themselves.
HOW_TO_RUN = "Here in JupyterLab the page appears when you choose **Run → Run All Cells** in the menu."


def settings_folder(folder: RosterFolder) -> Path:
    """Where JupyterLab's own settings for this roster lie."""
    return folder.path / DERIVED_FOLDER / "lab"


def lay_out_workbooks(folder: RosterFolder) -> Path:
    """Copy the workbooks into the roster's derived folder, set to this roster; returns where they lie.

    A workbook that the coach has changed stays, under a name of its own, beside the fresh copy.

    Raises
    ------
    FileProblem
        When the installation holds no workbooks.
    OSError
        When the folder cannot be written.
    """
    books = folder.path / DERIVED_FOLDER / "workbooks"
    books.mkdir(parents=True, exist_ok=True)
    settings_folder(folder).mkdir(exist_ok=True)
    (settings_folder(folder) / "overrides.json").write_text(json.dumps(OVERRIDES, indent=1), encoding="utf-8")
    for source in sorted(workbooks_folder().glob("*.ipynb")):
        book = nbformat.read(source, as_version=4)
        _set_to(book, {"roster": os.path.relpath(folder.path, books)})
        told = nbformat.v4.new_markdown_cell(HOW_TO_RUN, id="how-to-run", metadata={"tags": [LAB_ONLY]})
        book.cells.insert(1, told)
        copy = books / source.name
        if copy.exists() and _code(nbformat.read(copy, as_version=4)) != _code(book):
            copy.replace(copy.with_name(f"{copy.stem} (changed).ipynb"))
        if not copy.exists():
            nbformat.write(book, copy)
    return books


def set_copy_to(folder: RosterFolder, name: str, subject: Mapping[str, str]) -> Path:
    """Set the copy of a workbook to a subject; returns the copy."""
    copy = lay_out_workbooks(folder) / f"{name}.ipynb"
    book = nbformat.read(copy, as_version=4)
    _set_to(book, subject)
    nbformat.write(book, copy)
    return copy


def _set_to(book: Any, values: Mapping[str, str]) -> None:
    """Set parameters of a workbook, as far as it has them."""
    for cell in book.cells:
        if "parameters" in cell.metadata.get("tags", []):
            names = names_in(cell.source) & set(values)
            lines = cell.source.splitlines()
            cell.source = "\n".join(_line(line, values, names) for line in lines)


def _line(line: str, values: Mapping[str, str], names: set[str]) -> str:
    """A line of parameters, set where it assigns one of the names."""
    name = line.partition(" = ")[0]
    return f"{name} = {values[name]!r}" if name in names else line


def _code(book: Any) -> list[str]:
    """What the workbook does; its parameters are the coach's to change."""
    return [cell.source for cell in book.cells if "parameters" not in cell.metadata.get("tags", [])]
