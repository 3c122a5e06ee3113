"""JupyterLab on the workbooks of one roster: local, quiet, and without a network."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import nbformat

import coachlib
from coachlib.errors import RosterProblem
from coachlib.files.roster.folder import ROSTER_VARIABLE, RosterFolder, open_roster
from coachlib.files.roster.places import DERIVED_FOLDER

#: JupyterLab's own settings, changed where a coach would be disturbed, or where the panels need it: their
#: answers come in the order of the questions, in the kernel's main thread.
OVERRIDES: dict[str, dict[str, Any]] = {
    "@jupyterlab/apputils-extension:notification": {"checkForUpdates": False, "fetchNews": "false"},
    "@jupyterlab/apputils-extension:kernels-settings": {"commsOverSubshells": "disabled"},
}

FIRST_WORKBOOK = "recording.ipynb"

_ROSTER_LINE = re.compile(r"^roster = .*$", re.MULTILINE)


def open_lab(roster: str | os.PathLike[str] | None, *, browser: bool = True) -> int:
    """Start JupyterLab on copies of the workbooks inside the roster; returns when it is shut down.

    Parameters
    ----------
    roster : path or None
        The roster's folder; None takes the one that ``COACHLIB_ROSTER`` names.
    browser : bool
        Whether to open it in the web browser.

    Returns
    -------
    int
        JupyterLab's exit code.

    Raises
    ------
    RosterProblem
        When the folder is no roster, or the workbooks are not installed.

    Source
    ------
    This project's own choice.

    Examples
    --------
    ``coachlib open athletes_demo`` does this from the command line.
    """
    folder = open_roster(roster)
    books = lay_out_workbooks(folder)
    environment = {**os.environ, ROSTER_VARIABLE: str(folder.path)}
    try:
        return subprocess.run(lab_command(books, browser=browser), env=environment, check=False).returncode
    except KeyboardInterrupt:
        return 0


def lay_out_workbooks(folder: RosterFolder) -> Path:
    """Copy the workbooks into the roster's derived folder, set to this roster; returns where they lie.

    A workbook that the coach has changed stays, under a name of its own, beside the fresh copy.
    """
    books = folder.path / DERIVED_FOLDER / "workbooks"
    books.mkdir(parents=True, exist_ok=True)
    settings = folder.path / DERIVED_FOLDER / "lab"
    settings.mkdir(exist_ok=True)
    (settings / "overrides.json").write_text(json.dumps(OVERRIDES, indent=1), encoding="utf-8")
    for source in sorted(workbooks_folder().glob("*.ipynb")):
        book = _set_to(nbformat.read(source, as_version=4), os.path.relpath(folder.path, books))
        copy = books / source.name
        if copy.exists() and _code(nbformat.read(copy, as_version=4)) != _code(book):
            copy.replace(copy.with_name(f"{copy.stem} (changed).ipynb"))
        if not copy.exists():
            nbformat.write(book, copy)
    return books


def lab_command(books: Path, *, browser: bool, options: tuple[str, ...] = ()) -> list[str]:
    """The command that starts JupyterLab: on this machine only, with this package's settings."""
    return [
        sys.executable,
        "-m",
        "jupyterlab",
        f"--ServerApp.root_dir={books}",
        "--ServerApp.ip=127.0.0.1",
        f"--LabApp.default_url=/lab/tree/{FIRST_WORKBOOK}",
        f"--LabServerApp.app_settings_dir={books.parent / 'lab'}",
        "--LabApp.check_for_updates_class=jupyterlab.handlers.announcements.NeverCheckForUpdate",
        "--LabApp.extension_manager=readonly",
        *(() if browser else ("--no-browser",)),
        *options,
    ]


def workbooks_folder() -> Path:
    """Where the installed workbooks are: inside the package, or beside it in a checkout."""
    package = Path(coachlib.__file__).parent
    for folder in (package / "workbooks", package.parent / "workbooks"):
        if any(folder.glob("*.ipynb")):
            return folder
    raise RosterProblem(f"the workbooks were not found beside {package}. Install coachlib again.")


def _set_to(book: Any, roster: str) -> Any:
    """The workbook with its roster set; which athlete and recording is chosen on the page."""
    for cell in book.cells:
        if "parameters" in cell.metadata.get("tags", []):
            cell.source = _ROSTER_LINE.sub(f"roster = {json.dumps(roster)}", cell.source)
    return book


def _code(book: Any) -> list[str]:
    """What the workbook does; its parameters are the coach's to change."""
    return [cell.source for cell in book.cells if "parameters" not in cell.metadata.get("tags", [])]
