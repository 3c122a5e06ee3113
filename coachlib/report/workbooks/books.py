"""Where the workbooks lie: beside the package in a checkout, inside it when installed."""

from pathlib import Path

import coachlib
from coachlib.errors import FileProblem


def workbooks_folder() -> Path:
    """The folder of the workbooks.

    Returns
    -------
    Path
        An existing folder.

    Raises
    ------
    FileProblem
        When the installation holds no workbooks.

    Notes
    -----
    A checkout is edited and read in one place, a wheel carries a copy.

    Examples
    --------
    >>> workbooks_folder().name
    'workbooks'
    """
    package = Path(coachlib.__file__).resolve().parent
    for folder in (package / "workbooks", package.parent / "workbooks"):
        if folder.is_dir():
            return folder
    raise FileProblem(
        f"the workbooks were looked for in {package} and beside it; there are none. Install coachlib again."
    )


def book_path(name: str) -> Path:
    """The path of one workbook.

    Parameters
    ----------
    name : str
        Its name without ending, such as ``"weekly_report"``.

    Raises
    ------
    FileProblem
        When there is no workbook of that name.

    Examples
    --------
    >>> book_path("tarot")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    coachlib.errors.FileProblem: ...
    """
    folder = workbooks_folder()
    path = folder / f"{name}.ipynb"
    if not path.is_file():
        known = ", ".join(sorted(book.stem for book in folder.glob("*.ipynb"))) or "none"
        raise FileProblem(f"there is no workbook {name!r} in {folder}; there is {known}. Correct the name.")
    return path
