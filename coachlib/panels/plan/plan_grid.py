"""The planned days of a week as a small grid of fields, and the words that come back from it."""

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import Any

import anywidget
import traitlets

from coachlib.panels.plan.plan_files import PlanRow
from coachlib.records.diary import TARGETS

_HERE = Path(__file__).parent


class PlanGrid(anywidget.AnyWidget):
    """Rows of fields, seven days; what is typed goes to ``changed``, a day to ``added``, a row to ``removed``.

    Alt with the arrow up or down moves the row that has the focus to the day before or after.

    Source
    ------
    This project's own choice.
    """

    _esm = (_HERE / "plan_grid.js").read_text(encoding="utf-8")
    _css = (_HERE / "plan_grid.css").read_text(encoding="utf-8")
    grid = traitlets.Dict({"rows": [], "days": [], "targets": [], "sports": [], "version": 0}).tag(sync=True)

    def __init__(
        self,
        *,
        changed: Callable[[int, str, str], None],
        added: Callable[[str], None],
        removed: Callable[[int], None],
    ) -> None:
        super().__init__()
        self._version = 0
        self._changed, self._added, self._removed = changed, added, removed
        self.on_msg(lambda _, message, __: self._answer(message))

    def __repr__(self) -> str:
        """A name that is the same in every run."""
        return "the plan grid"

    def _answer(self, message: dict[str, Any]) -> None:
        if "add" in message:
            self._added(str(message["add"]))
        elif "remove" in message:
            self._removed(int(message["remove"]))
        else:
            self._changed(int(message["row"]), str(message["column"]), str(message["text"]))

    def show(
        self,
        rows: Sequence[PlanRow],
        days: Sequence[date],
        *,
        sports: Sequence[str] = (),
        notes: Sequence[str] = (),
        refused: tuple[int, str] | None = None,
    ) -> None:
        """Show rows, each with how its day is led; ``refused`` marks the field whose text was not taken."""
        self._version += 1
        self.grid = {
            "version": self._version,
            "refused": None if refused is None else {"row": refused[0], "column": refused[1]},
            "days": [str(day) for day in days],
            "targets": list(TARGETS),
            "sports": list(sports),
            "rows": [
                {"cells": dict(row.cells), "is_told": row.is_told, "note": note}
                for row, note in zip(rows, notes or [""] * len(rows), strict=True)
            ],
        }
