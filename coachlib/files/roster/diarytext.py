"""``diary.csv`` as spreadsheets write it: with semicolons or tabs, decimal commas, a byte-order mark."""

import codecs
import csv
import io
import re
from dataclasses import dataclass
from datetime import date

from coachlib.files.roster.cells import as_typed
from coachlib.files.roster.forms import MOST_PROBLEMS, fields_of, fill, in_words, unknown_columns
from coachlib.files.roster.templates import NOT_READ
from coachlib.records.diary import DiaryRow

COLUMNS = tuple(fields_of(DiaryRow))

NUMBERS = frozenset(name for name, field in fields_of(DiaryRow).items() if field.annotation == float | None)
#: A column that is not known, and is not read.
LEFT_OUT = "?"
_DAY_BY_YEAR = re.compile(r"([0-9]{4})[-./]([0-9]{1,2})[-./]([0-9]{1,2})")
_WRITTEN_DAY = re.compile(r"([0-9]{1,2})[-./]([0-9]{1,2})[-./]([0-9]{4})")
_MIDNIGHT = re.compile(r"[ T]0?0:00(:00)?$")
_HOW_DAYS_ARE_WRITTEN = (
    "; for days such as 05.10.2026 write day_first = true (5 October) or false in roster.toml"
)
_DECIMAL_COMMA = re.compile(r"-?\d+,\d+")


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadDiary:
    """The rows that could be read, and every problem with its line."""

    rows: tuple[DiaryRow, ...]
    problems: tuple[str, ...]


def read_diary(data: bytes, where: str, *, day_first: bool | None = None) -> ReadDiary:
    r"""Read a diary from its bytes.

    Parameters
    ----------
    data : bytes
        The file as it is.
    where : str
        What the file is called in sentences.
    day_first : bool, optional
        What 05.10.2026 means: True is 5 October, False is May 10th; where it is not said such days are refused.

    Returns
    -------
    ReadDiary
        Empty lines and empty cells are unknown, never zero.  A row that begins with # is passed over.  A column
        that is not known is told and left out.

    Examples
    --------
    >>> read_diary(b"date;rpe;remarks\n2026-10-05;3,5;fine\n", "diary.csv").rows[0].rpe
    3.5
    >>> read_diary(b"date,rpe\n2026-10-05,12\n", "diary.csv").problems
    ('diary.csv, line 2: column `rpe` is "12"; allowed: a number from 0 to 10 (CR-10)',)
    """
    text, delimiter = _without_hint(text_of(data))
    if not text.strip():
        return ReadDiary(rows=(), problems=())
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter or _delimiter(text), strict=True)
    rows: list[DiaryRow] = []
    problems: list[str] = []
    columns: list[str] = []
    line = 1
    try:
        for cells in reader:
            number = line + (delimiter is not None)
            if any(cell.strip() for cell in cells) and not cells[0].lstrip().startswith(NOT_READ):
                if not columns:
                    columns = [cell.strip().lower() for cell in cells]
                    faults = _faults_of(columns)
                    if faults:
                        return ReadDiary(
                            rows=(), problems=tuple(f"{where}, line {number}: {fault}" for fault in faults)
                        )
                    unknown = unknown_columns(DiaryRow, filter(None, columns))
                    told = [u.replace("not known;", "not known and left out;") for u in unknown.values()]
                    problems += [f"{where}, line {number}: {sentence}" for sentence in told]
                    columns = [LEFT_OUT if column in unknown else column for column in columns]
                else:
                    row, found = _row(columns, cells, day_first)
                    rows += [row] if row else []
                    problems += [f"{where}, line {number}: {problem}" for problem in found]
            line = reader.line_num + 1
    except csv.Error as error:
        problems.append(
            f"{where}, line {line + (delimiter is not None)}: no table can be read from here on ({error}); "
            "is a quote open?"
        )
    if len(problems) > MOST_PROBLEMS:
        problems[MOST_PROBLEMS:] = [f"{where}: and {len(problems) - MOST_PROBLEMS} problems more"]
    return ReadDiary(rows=tuple(rows), problems=tuple(problems))


def text_of(data: bytes) -> str:
    """Text of a spreadsheet's export: Unicode where it says so or looks like it, else the old Western code page."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        text = data.decode("utf-16", errors="replace")
    elif b"\0" in data[:200]:
        text = data.decode("utf-16-be" if data[:1] == b"\0" else "utf-16-le", errors="replace")
    else:
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = data.decode("cp1252", errors="replace")
    return text.replace("\0", "")


def _without_hint(text: str) -> tuple[str, str | None]:
    """The table without the line ``sep=;`` that some spreadsheets put above it, and the sign it names."""
    hint = re.match(r'"?sep=(.)"?[,;\t]*\r?\n', text, re.IGNORECASE)
    return (text[hint.end() :], hint[1]) if hint else (text, None)


def _delimiter(text: str) -> str:
    """The sign between cells: the one the heading uses most."""
    read = (line for line in text.splitlines() if line.strip() and not line.lstrip().startswith(NOT_READ))
    heading = next(read, "")
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


def _row(columns: list[str], cells: list[str], day_first: bool | None) -> tuple[DiaryRow | None, list[str]]:
    """One row, or what is wrong with it."""
    if any(cell.strip() for cell in cells[len(columns) :]):
        return None, [
            f"{len(cells)} cells, but the heading names {len(columns)} columns; "
            "put a text that holds the separating sign in quotes"
        ]
    typed = {
        column: iso_day(cell.strip(), day_first)
        if column == "date"
        else _number(column, as_typed(cell.strip()))
        for column, cell in zip(columns, cells, strict=False)
        if column not in ("", LEFT_OUT) and cell.strip()
    }
    filled = fill(DiaryRow, typed, noun="column")
    is_day_unclear = day_first is None and _WRITTEN_DAY.fullmatch(str(typed.get("date", "")))
    return filled.record, [
        p + _HOW_DAYS_ARE_WRITTEN if is_day_unclear and "`date`" in p else p for p in filled.problems
    ]


def iso_day(cell: str, day_first: bool | None) -> str:
    """A day in the roster's own order, or by year, month and day, in ISO form; anything else as it is."""
    cell = _MIDNIGHT.sub("", cell)
    if found := _DAY_BY_YEAR.fullmatch(cell):
        year, month, day = found.groups()
    elif day_first is not None and (found := _WRITTEN_DAY.fullmatch(cell)):
        one, other, year = found.groups()
        day, month = (one, other) if day_first else (other, one)
    else:
        return cell
    try:
        return date(int(year), int(month), int(day)).isoformat()
    except ValueError:
        return cell


def _number(column: str, cell: str) -> str:
    """A decimal comma as a point, in the columns that hold numbers."""
    return cell.replace(",", ".") if column in NUMBERS and _DECIMAL_COMMA.fullmatch(cell) else cell
