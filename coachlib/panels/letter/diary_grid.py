"""The week's diary rows as a small grid of fields."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, get_args

import anywidget
import traitlets

from coachlib.panels.letter.week_files import COLUMNS, DayRow
from coachlib.records.diary import DiaryRow

_HERE = Path(__file__).parent
#: What a column is called on the page.
NAMES = {"planned": "meant to be", "rpe": "RPE", "talk": "talk", "sleep_h": "sleep, h", "health": "health"}


def choices_of(column: str) -> list[str]:
    """The words a column allows; none where it takes any text or a number.

    Examples
    --------
    >>> choices_of("talk"), choices_of("remarks")
    (['comfortable', 'equivocal', 'not'], [])
    """
    kinds = [get_args(kind) for kind in get_args(DiaryRow.model_fields[column].annotation)]
    return [word for words in kinds for word in words if isinstance(word, str)]


class DiaryGrid(anywidget.AnyWidget):
    """Rows and columns of fields; what is typed goes to ``changed``, a day to ``added``.

    Parameters
    ----------
    changed : callable
        Takes the row's place on the screen, the column and the text.
    added : callable
        Takes a day of the week.
    """

    _esm = (_HERE / "diary_grid.js").read_text(encoding="utf-8")
    _css = (_HERE / "diary_grid.css").read_text(encoding="utf-8")
    grid = traitlets.Dict({"rows": [], "columns": [], "days": [], "version": 0, "of": ""}).tag(sync=True)

    def __init__(self, changed: Callable[[int, str, str], None], added: Callable[[str], None]) -> None:
        super().__init__()
        self._version = 0
        self.on_msg(lambda _, message, __: self._answer(message, changed, added))

    def __repr__(self) -> str:
        """A name that is the same in every run."""
        return "the diary grid"

    @staticmethod
    def _answer(message: dict[str, Any], changed: Callable[..., None], added: Callable[[str], None]) -> None:
        if "add" in message:
            added(str(message["add"]))
        else:
            changed(int(message["row"]), str(message["column"]), str(message["text"]))

    def show(
        self,
        rows: Sequence[DayRow],
        days: Sequence[str],
        *,
        of: str,
        refused: tuple[int, str] | None = None,
    ) -> None:
        """Show the rows ``of`` a week; ``refused`` marks the field whose text was not taken, which stays as typed."""
        self._version += 1
        self.grid = {
            "version": self._version,
            "of": of,
            "refused": None if refused is None else {"row": refused[0], "column": refused[1]},
            "days": list(days),
            "columns": [
                {"key": key, "name": NAMES.get(key, key), "choices": choices_of(key)} for key in COLUMNS
            ],
            "rows": [
                {
                    "day": row.day,
                    "what": row.recording[len(row.day) :].strip("_ ") or "",
                    "cells": dict(row.cells),
                }
                for row in rows
            ],
        }
