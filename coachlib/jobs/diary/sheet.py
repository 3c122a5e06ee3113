"""The week sheet as a file: one table that says whose it is and of which week, opened in any spreadsheet."""

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from coachlib.analysis.week.calendar import first_day, week_of
from coachlib.errors import BadArgument, RosterProblem
from coachlib.files.roster.cells import as_typed, neutral
from coachlib.files.roster.diary_edit import DiaryTable
from coachlib.files.roster.diarytext import read_diary, text_of
from coachlib.records.diary import TARGETS
from coachlib.records.units import Units, typed_value
from coachlib.report.words import wording
from coachlib.report.words.wording import DAYS

#: Who and which week, on every row, so that sorting or cutting a sheet does not lose it; the day's name is for people.
WHOSE, WEEK, DAY = "athlete", "week", "day"
#: What is planned, and what the athlete fills in.
PLANNED = ("start", "recording", "sport", "planned", "planned_min", "target")
FILLED = ("done_min", "rpe", "talk", "temperature_c", "sleep_h", "equipment", "health", "remarks")
COLUMNS = (WHOSE, WEEK, "date", DAY, *PLANNED, *FILLED)
#: The air's temperature, and what that column is called for whoever measures in degrees Fahrenheit.
CELSIUS, FAHRENHEIT = "temperature_c", "temperature_f"
#: What the program itself writes into cells.
OWN_WORDS = (*COLUMNS, FAHRENHEIT, *DAYS, *TARGETS)

_WRITTEN = re.compile(r"(\d{1,4})[-./](\d{1,2})[-./](\d{2}|\d{4})(?:[ T]0?0:00(?::00)?)?")


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """One filled-in row: its line, its day, its cells as typed; only those that hold something."""

    line: int
    on: date
    cells: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """What came back: the week, its rows, and what could not be taken, with why."""

    week: str
    rows: tuple[SheetRow, ...]
    problems: tuple[str, ...]


def sheet_bytes(table: DiaryTable, *, slug: str, week: str, starts: str, units: Units = "metric") -> bytes:
    """A week's sheet: the diary's rows of these days, and an empty one for every other day.

    Parameters
    ----------
    table : DiaryTable
        The diary, whose separating sign the sheet takes over.
    slug, week, starts : str
        Whose, which week, and on which day the roster's weeks start.
    units : "metric" or "imperial"
        What the athlete measures temperature in.
    """
    begins = first_day(week, starts=starts)
    rows: list[dict[str, str]] = []
    for each in (begins + timedelta(days=n) for n in range(7)):
        head = {WHOSE: slug, WEEK: week, "date": each.isoformat(), DAY: DAYS[each.weekday()]}
        found = table.rows_between(each, each)
        rows += [head | {name: table.cell(row, name) for name in (*PLANNED, *FILLED)} for row in found] or [
            head
        ]
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, COLUMNS, restval="", delimiter=table.delimiter, lineterminator="\r\n")
    in_f = units == "imperial"
    writer.writerow({name: FAHRENHEIT if in_f and name == CELSIUS else name for name in COLUMNS})
    for row in rows if in_f else ():
        row[CELSIUS] = _in_f(row.get(CELSIUS, ""))
    writer.writerows({name: neutral(as_typed(cell)) for name, cell in row.items()} for row in rows)
    return ("\ufeff" + out.getvalue()).encode()


def read_sheet(data: bytes, where: str, *, slug: str, names: Sequence[str], starts: str) -> Sheet:
    """Take a filled-in sheet apart, however a spreadsheet saved it.

    Parameters
    ----------
    data : bytes
        The file: with commas, semicolons or tabs, decimal commas, dates in the order of the country; the week that
        the sheet is of says which day is meant.
    where : str
        What the file is called in sentences.
    slug : str
        Whose diary it shall go into.
    names : sequence of str
        What else this athlete is called.
    starts : str
        On which day the roster's weeks start.

    Raises
    ------
    RosterProblem
        When it is no week sheet, somebody else's, or of several weeks.
    """
    table = DiaryTable.of(text_of(data).encode())
    if lacking := [name for name in (WHOSE, WEEK, "date") if name not in table.columns]:
        raise RosterProblem(
            f"{where} is no week sheet: it has no column {' and no column '.join(f'`{n}`' for n in lacking)}; write one "
            "with --write, and keep its first columns as they are"
        )
    known = {slug.casefold(), *(name.casefold() for name in names)}
    weeks: set[str] = set()
    begun: list[tuple[int, dict[str, str]]] = []
    for row in range(len(table.rows)):
        cells = {
            name: as_typed(table.cell(row, name)) for name in table.columns if name and table.cell(row, name)
        }
        if typed := cells.pop(FAHRENHEIT, ""):
            cells[CELSIUS] = f"{typed} F" if typed[-1].isdigit() else typed
        if not set(cells) - {WHOSE, WEEK, "date", DAY}:
            continue
        line = row + 2
        whose = cells.get(WHOSE, "")
        if whose.casefold() not in known:
            found = f'"{whose}"' if whose else "nobody"
            raise RosterProblem(
                f"{where}, line {line}: this row is of {found}, and {slug}'s diary was asked for; nothing was taken. "
                f"Give it to the athlete it belongs to, or write {slug} into the column `{WHOSE}` of rows that are theirs"
            )
        weeks.add(cells.get(WEEK, "").upper())
        begun.append((line, cells))
    if len(weeks) > 1:
        raise RosterProblem(f"{where} is of several weeks, {', '.join(sorted(weeks))}; take one sheet a week")
    week = weeks.pop() if weeks else ""
    try:
        begins = first_day(week, starts=starts) if begun else date.min
    except BadArgument as problem:
        raise RosterProblem(f"{where}: {problem}") from None
    rows, problems = [], []
    for line, cells in begun:
        on = _day(cells.get("date", ""), begins)
        if on is None:
            problems.append(
                f"{where}, line {line}: {cells.get('date') or 'no date'} is no day of week {week}; this row was not taken"
            )
            continue
        known_cells = {n: c for n, c in cells.items() if n in (*PLANNED, *FILLED)}
        faults = _faults(on, known_cells)
        problems += [f"{where}, line {line}: {fault}; this row was not taken" for fault in faults]
        if not faults:
            rows.append(SheetRow(line=line, on=on, cells=known_cells))
    unknown = [name for name in table.columns if name and name not in (*COLUMNS, FAHRENHEIT)]
    if unknown:
        problems.append(
            f"{where}: what stands under {', '.join(unknown)} was not taken; it is no column of the sheet"
        )
    return Sheet(week=week, rows=tuple(rows), problems=tuple(problems))


def _in_f(celsius: str) -> str:
    """A diary's temperature in degrees Fahrenheit; as it stands where it is no number."""
    try:
        with wording.spoken_in("imperial"):
            return wording.plain(wording.degrees(typed_value(celsius, "temperature")))
    except BadArgument:
        return celsius


def _day(typed: str, begins: date) -> date | None:
    """The day of the week that is meant, in whatever order day, month and year stand; None where it is none of it."""
    found = _WRITTEN.fullmatch(typed.strip())
    if found is None:
        return None
    one, two, three = map(int, found.groups())
    orders = ((one, two, three), (three, two, one), (three, one, two))
    days = []
    for year, month, day in orders:
        try:
            days.append(date(year + 2000 if year < 100 else year, month, day))
        except ValueError:
            continue
    return next((day for day in days if begins <= day < begins + timedelta(days=7)), None)


def _faults(on: date, cells: Mapping[str, str]) -> list[str]:
    """What a row holds that a diary may not hold."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(["date", *cells])
    writer.writerow([on.isoformat(), *cells.values()])
    found = read_diary(out.getvalue().encode(), "")
    return [problem.partition(": ")[2] for problem in found.problems]


def next_sheet_week(today: date, *, starts: str) -> str:
    """The week that a sheet is for where none is named: the one that today lies in."""
    return week_of(today, starts=starts)
