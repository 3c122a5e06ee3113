"""A filled-in sheet brought into the diary: empty cells are filled, nothing that stands is lost, the rest is told."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from coachlib.files.roster.cells import as_typed, neutral
from coachlib.files.roster.diary_edit import DiaryTable
from coachlib.files.roster.diarytext import NUMBERS
from coachlib.files.roster.forms import fill
from coachlib.jobs.diary.sheet import SheetRow
from coachlib.records.diary import DiaryRow
from coachlib.records.units import typed_value

#: What tells two rows of a day apart, the surest first.
_TELLS_APART = (("recording",), ("start",), ("planned", "target", "planned_min"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A cell that the sheet fills or would change; ``was`` is "" where nothing stood."""

    on: date
    column: str
    was: str
    now: str
    is_new_row: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Merged:
    """The diary as it shall be, what was filled in, what the diary says otherwise, and rows that fit several."""

    table: DiaryTable
    changes: tuple[Change, ...]
    conflicts: tuple[Change, ...]
    unclear: tuple[SheetRow, ...]


def merged(table: DiaryTable, rows: Sequence[SheetRow], *, take: bool = False) -> Merged:
    """Bring rows of a sheet into a diary.

    Parameters
    ----------
    table : DiaryTable
        The diary as it is.
    rows : sequence of SheetRow
        What was filled in; a cell left empty changes nothing.
    take : bool
        Where both say something else the sheet goes before the diary; else the diary stays and the conflict is told.

    Source
    ------
    This project's own choice: the same sheet taken twice changes nothing the second time.
    """
    given = _partners(table, rows)
    changes: list[Change] = []
    conflicts: list[Change] = []
    unclear = []
    for row in rows:
        at = given[row.line]
        if at == _UNCLEAR:
            unclear.append(row)
            continue
        cells = {}
        for column, typed in row.cells.items():
            was = "" if at is None else as_typed(table.cell(at, column))
            if was and _meaning(column, was) == _meaning(column, typed):
                continue
            change = Change(on=row.on, column=column, was=was, now=typed, is_new_row=at is None)
            if was and not take:
                conflicts.append(change)
                continue
            changes.append(change)
            cells[column] = _written(column, typed)
        if cells:
            table = table.with_cells(at, cells if at is not None else {"date": row.on.isoformat(), **cells})
    return Merged(table=table, changes=tuple(changes), conflicts=tuple(conflicts), unclear=tuple(unclear))


_UNCLEAR = -1


def _partners(table: DiaryTable, rows: Sequence[SheetRow]) -> dict[int, int | None]:
    """By a sheet row's line the diary row that it fills; None: a row more; ``_UNCLEAR``: several might be meant."""
    given: dict[int, int | None] = {}
    for on in dict.fromkeys(row.on for row in rows):
        free = list(table.rows_between(on, on))
        left = [row for row in rows if row.on == on]
        for columns in _TELLS_APART:
            for row in list(left):
                same = [at for at in free if _agree(table, at, row, columns)]
                if len(same) == 1:
                    given[row.line] = same[0]
                    free.remove(same[0])
                    left.remove(row)
        fits = {row.line: [at for at in free if not _contradict(table, at, row)] for row in left}
        for row in left:
            if not fits[row.line]:
                given[row.line] = None
            elif len(fits[row.line]) == 1 and sum(fits[row.line] == f for f in fits.values()) == 1:
                given[row.line] = fits[row.line][0]
            else:
                given[row.line] = _UNCLEAR
    return given


def _agree(table: DiaryTable, at: int, row: SheetRow, columns: Sequence[str]) -> bool:
    """Whether both say the same in these columns, and something in one of them."""
    said = [(_meaning(c, as_typed(table.cell(at, c))), _meaning(c, row.cells.get(c, ""))) for c in columns]
    return any(one is not None for one, _ in said) and all(one == other for one, other in said)


def _contradict(table: DiaryTable, at: int, row: SheetRow) -> bool:
    """Whether they name different recordings or starts."""
    for column in ("recording", "start"):
        one, other = (
            _meaning(column, cell) for cell in (as_typed(table.cell(at, column)), row.cells.get(column, ""))
        )
        if one is not None and other is not None and one != other:
            return True
    return False


def _meaning(column: str, cell: str) -> Any:
    """What a cell says, however it is written; None where it says nothing."""
    if not cell.strip():
        return None
    typed = cell.replace(",", ".") if column in NUMBERS else cell
    filled = fill(DiaryRow, {"date": "2026-01-01", column: typed.strip()}, noun="column").record
    found = getattr(filled, column) if filled is not None else cell
    if column == "recording":
        return str(found).removesuffix(".fit")
    return (
        " ".join(found.split())
        if isinstance(found, str)
        else round(found, 6)
        if isinstance(found, float)
        else found
    )


def _written(column: str, typed: str) -> str:
    """A cell as the diary keeps it: numbers with a point and in its own unit, texts that no spreadsheet runs."""
    if column not in NUMBERS:
        return neutral(typed)
    if column == "temperature_c":
        return f"{round(typed_value(typed, 'temperature'), 1):g}"
    return typed.strip().replace(",", ".")
