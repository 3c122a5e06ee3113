"""Putting a finished letter and its numbers in their place, both or neither."""

import contextlib
import json
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any


def save_letter(page: str, numbers: Mapping[str, Any], *, html_path: Path, json_path: Path) -> None:
    r"""Write a page and its numbers under their names, once both are wholly on disk.

    Parameters
    ----------
    page : str
        The checked page.
    numbers : mapping
        Plain values without NaN.
    html_path, json_path : Path
        Where they shall stand; folders are made.

    Source
    ------
    This project's own choice: a reader, or a second program, sees the old letter or the new one.

    Examples
    --------
    >>> folder = Path(tempfile.mkdtemp())
    >>> save_letter("<p>", {"sessions": 5}, html_path=folder / "w.html", json_path=folder / "w.json")
    >>> (folder / "w.json").read_text()
    '{\n "sessions": 5\n}\n'
    """
    text = json.dumps(dict(numbers), allow_nan=False, ensure_ascii=False, indent=1) + "\n"
    with contextlib.ExitStack() as undo:
        written = [
            _write_beside(path, content, undo) for path, content in ((json_path, text), (html_path, page))
        ]
        for temporary, path in zip(written, (json_path, html_path), strict=True):
            temporary.replace(path)


def _write_beside(path: Path, text: str, undo: contextlib.ExitStack) -> Path:
    """Write text to a new file in the folder of another; it goes away unless it is renamed."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=f".{path.stem}-", suffix=path.suffix, dir=path.parent)
    temporary = Path(name)
    undo.callback(temporary.unlink, missing_ok=True)
    with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    temporary.chmod(0o644)
    return temporary
