"""Single cells of ``diary.csv`` changed as a person would: everything else in the file stays as it is."""

import csv
import io
import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Self

from coachlib.errors import RosterProblem
from coachlib.files.roster.diarytext import iso_day, read_diary
from coachlib.records.diary import DiaryRow

#: What spreadsheets write before the table: a byte-order mark, the sign between cells.
_BEFORE = re.compile('\ufeff?(?:"?sep=."?[,;\t]*\r?\n)?', re.IGNORECASE)


@dataclass(frozen=True, kw_only=True)
class DiaryTable:
    r"""A diary as a table of texts, with the form of its file.

    Examples
    --------
    >>> table = DiaryTable.of(b"date;rpe\n2026-10-05;3,5\n")
    >>> table.with_cells(0, {"rpe": "4", "remarks": "fine"}).to_bytes()
    b'date;rpe;remarks\n2026-10-05;4;fine\n'
    """

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    delimiter: str = ","
    newline: str = "\n"
    before: str = ""
    day_first: bool | None = None

    @classmethod
    def of(cls, data: bytes, *, day_first: bool | None = None) -> Self:
        """Take a diary's bytes apart; empty ones are a table with the one column that every row needs.

        Raises
        ------
        RosterProblem
            When it is no table in UTF-8.
        """
        try:
            text = data.decode("utf-8")
        except UnicodeDecodeError:
            raise RosterProblem(
                "diary.csv is not written in UTF-8, so its cells are not changed here; save it as UTF-8 first"
            ) from None
        before = _BEFORE.match(text)
        assert before is not None  # it matches nothing at least
        text = text[before.end() :]
        if not text.strip():
            return cls(columns=("date",), rows=(), before=before[0], day_first=day_first)
        heading = text.lstrip().split("\n", 1)[0]
        delimiter = max(",;\t", key=heading.count)
        newline = "\r\n" if "\r\n" in text else "\n"
        try:
            found = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True))
        except csv.Error as problem:
            raise RosterProblem(
                f"diary.csv is no table that can be changed here ({problem}); mend it first"
            ) from None
        table = [row for row in found if row]
        columns = tuple(cell.strip().lower() for cell in table[0])
        return cls(
            columns=columns,
            rows=tuple(map(tuple, table[1:])),
            delimiter=delimiter,
            newline=newline,
            before=before[0],
            day_first=day_first,
        )

    def cell(self, row: int, column: str) -> str:
        """What stands in a cell; nothing where the row or the heading is shorter."""
        at = self.columns.index(column) if column in self.columns else len(self.rows[row])
        return self.rows[row][at].strip() if at < len(self.rows[row]) else ""

    def day(self, row: int) -> str:
        """The day of a row as 2026-10-05; what stands there where it is none."""
        return iso_day(self.cell(row, "date"), self.day_first)

    def rows_between(self, first: date, last: date) -> tuple[int, ...]:
        """Numbers of the rows of some days, in the order of the days."""
        found = [
            (day, row) for row in range(len(self.rows)) if (day := self._day(row)) and first <= day <= last
        ]
        return tuple(row for _, row in sorted(found))

    def with_cells(self, row: int | None, cells: Mapping[str, str]) -> Self:
        """The table with some cells of a row changed, or (None) with a row more."""
        columns = (*self.columns, *(name for name in cells if name not in self.columns))
        old = dict(zip(self.columns, self.rows[row], strict=False)) if row is not None else {}
        surplus = self.rows[row][len(self.columns) :] if row is not None else ()
        new = (*(cells.get(name, old.get(name, "")) for name in columns), *surplus)
        rows = list(self.rows)
        if row is None:
            rows.append(new)
        else:
            rows[row] = new
        return replace(self, columns=columns, rows=tuple(rows))

    def row(self, row: int) -> dict[str, str]:
        """All cells of a row, by column."""
        return {column: self.cell(row, column) for column in self.columns if column}

    def record(self, row: int) -> DiaryRow | None:
        """What a row says; None where it cannot be read, or is passed over."""
        alone = replace(self, rows=(self.rows[row],)).to_bytes()
        return next(iter(read_diary(alone, "", day_first=self.day_first).rows), None)

    def without(self, rows: Collection[int]) -> Self:
        """The table without some rows."""
        return replace(self, rows=tuple(cells for at, cells in enumerate(self.rows) if at not in rows))

    def to_bytes(self) -> bytes:
        """The file's bytes."""
        out = io.StringIO(newline="")
        writer = csv.writer(out, delimiter=self.delimiter, lineterminator=self.newline)
        writer.writerow(self.columns)
        writer.writerows(self.rows)
        return (self.before + out.getvalue()).encode("utf-8")

    def _day(self, row: int) -> date | None:
        try:
            return date.fromisoformat(self.day(row))
        except ValueError:
            return None


def changed_diary(
    data: bytes, row: int | None, cells: Mapping[str, str], *, day_first: bool | None = None
) -> bytes:
    r"""Change cells of a diary's row, or add a row, and refuse what the diary could not be read with.

    Parameters
    ----------
    data : bytes
        The file as it is.
    row : int or None
        Which row, counted from 0 without empty lines; None adds one.
    cells : mapping
        Column -> text as a person types it; an empty text makes the cell unknown.
    day_first : bool, optional
        The roster's order of dates such as 05.10.2026.

    Returns
    -------
    bytes
        The file as it shall be.

    Raises
    ------
    RosterProblem
        When a cell holds what its column does not allow.

    Notes
    -----
    A diary belongs to whoever keeps it in a spreadsheet.

    Examples
    --------
    >>> changed_diary(b"date,rpe\n2026-10-05,3\n", 0, {"rpe": "12"})
    Traceback (most recent call last):
    coachlib.errors.RosterProblem: line 2: column `rpe` is "12"; allowed: a number from 0 to 10 (CR-10)
    """
    new = DiaryTable.of(data, day_first=day_first).with_cells(row, cells).to_bytes()
    before = set(read_diary(data, "", day_first=day_first).problems)
    wrong = [
        problem.removeprefix(", ")
        for problem in read_diary(new, "", day_first=day_first).problems
        if problem not in before
    ]
    if wrong:
        raise RosterProblem("; ".join(wrong))
    return new
