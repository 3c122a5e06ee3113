"""``diary.csv`` as spreadsheets write it: with semicolons or tabs, decimal commas, a byte-order mark."""

import csv
import io
import re
from dataclasses import dataclass

from coachlib.files.roster.forms import fields_of, fill, in_words, unknown_columns
from coachlib.records.diary import DiaryRow

COLUMNS = tuple(fields_of(DiaryRow))

_NUMBERS = frozenset(name for name, field in fields_of(DiaryRow).items() if field.annotation == float | None)
_DECIMAL_COMMA = re.compile(r"-?\d+,\d+")


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadDiary:
    """The rows that could be read, and every problem with its line."""

    rows: tuple[DiaryRow, ...]
    problems: tuple[str, ...]


def read_diary(data: bytes, where: str) -> ReadDiary:
    r"""Read a diary from its bytes.

    Parameters
    ----------
    data : bytes
        The file as it is.
    where : str
        What the file is called in sentences.

    Returns
    -------
    ReadDiary
        Empty lines and empty cells are unknown, never zero.

    Examples
    --------
    >>> read_diary(b"date;rpe;remarks\n2026-10-05;3,5;fine\n", "diary.csv").rows[0].rpe
    3.5
    >>> read_diary(b"date,rpe\n2026-10-05,12\n", "diary.csv").problems
    ('diary.csv, line 2: column `rpe` is "12"; allowed: a number from 0 to 10 (CR-10)',)
    """
    text = _decoded(data)
    if not text.strip():
        return ReadDiary(rows=(), problems=())
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text), strict=True)
    rows: list[DiaryRow] = []
    problems: list[str] = []
    columns: list[str] = []
    line = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                if not columns:
                    columns = [cell.strip().lower() for cell in cells]
                    faults = _faults_of(columns)
                    if faults:
                        return ReadDiary(
                            rows=(), problems=tuple(f"{where}, line {line}: {fault}" for fault in faults)
                        )
                else:
                    row, found = _row(columns, cells)
                    rows += [row] if row else []
                    problems += [f"{where}, line {line}: {problem}" for problem in found]
            line = reader.line_num + 1
    except csv.Error as error:
        problems.append(
            f"{where}, line {line}: no table can be read from here on ({error}); is a quote open?"
        )
    return ReadDiary(rows=tuple(rows), problems=tuple(problems))


def _decoded(data: bytes) -> str:
    """Text of a spreadsheet's export: Unicode where it says so, else the old Western code page."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def _delimiter(text: str) -> str:
    """The sign between cells: the one the heading uses most."""
    heading = text.lstrip().split("\n", 1)[0]
    return max(",;\t", key=heading.count)


def _faults_of(columns: list[str]) -> list[str]:
    """What is wrong with the heading."""
    faults = [
        f"column `{name}` stands there {columns.count(name)} times; keep one"
        for name in dict.fromkeys(columns)
        if name and columns.count(name) > 1
    ]
    if "date" not in columns:
        known = in_words(f"`{column}`" for column in COLUMNS)
        faults.append(f"there is no column `date`; the first line names the columns, known are {known}")
        return faults
    named = [column for column in columns if column]
    return faults + list(unknown_columns(DiaryRow, named).values())


def _row(columns: list[str], cells: list[str]) -> tuple[DiaryRow | None, list[str]]:
    """One row, or what is wrong with it."""
    if any(cell.strip() for cell in cells[len(columns) :]):
        return None, [
            f"{len(cells)} cells, but the heading names {len(columns)} columns; "
            "put a text that holds the separating sign in quotes"
        ]
    typed = {
        column: _number(column, cell.strip())
        for column, cell in zip(columns, cells, strict=False)
        if column and cell.strip()
    }
    filled = fill(DiaryRow, typed, noun="column")
    return filled.record, list(filled.problems)


def _number(column: str, cell: str) -> str:
    """A decimal comma as a point, in the columns that hold numbers."""
    return cell.replace(",", ".") if column in _NUMBERS and _DECIMAL_COMMA.fullmatch(cell) else cell
