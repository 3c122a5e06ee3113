"""The planned rows of one athlete's week, read from and written to the diary; nobody else's changes are written over."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

from coachlib.analysis.week.calendar import first_day
from coachlib.errors import RosterProblem
from coachlib.files.atomic import write_bytes
from coachlib.files.roster.athlete_folder import DIARY_FILE, AthleteFolder
from coachlib.files.roster.diary_edit import DiaryTable, changed_diary
from coachlib.files.roster.diarytext import read_diary
from coachlib.records.diary import DiaryRow
from coachlib.records.roster import RosterSettings

#: What can be planned, in this order.
COLUMNS = ("date", "target", "planned", "planned_min", "kind", "sport")
#: Columns that belong to the plan alone; in all others the athlete tells of what was done.
_PLAN_ONLY = frozenset({"date", "start", *COLUMNS})


@dataclass(frozen=True, kw_only=True)
class PlanRow:
    """A row of the grid: its number in the diary and its cells; ``is_told`` where the athlete wrote into it too."""

    number: int
    cells: Mapping[str, str]
    is_told: bool


class PlanFiles:
    """The week's planned rows; each change is written at once, and can be taken back.

    Parameters
    ----------
    own : AthleteFolder
        Whose.
    week : str
        ISO name.
    settings : RosterSettings
        On which day a week starts.
    """

    def __init__(self, own: AthleteFolder, week: str, settings: RosterSettings) -> None:
        self._own = own
        self._path = own.path / DIARY_FILE
        self.first = first_day(week, starts=settings.week_starts)
        self.days = tuple(self.first + timedelta(days=n) for n in range(7))
        self._diary = self._read()
        self._before: list[bytes] = []

    def _read(self) -> bytes:
        return self._path.read_bytes() if self._path.is_file() else b""

    @property
    def _table(self) -> DiaryTable:
        return DiaryTable.of(self._diary, day_first=self._own.day_first)

    def rows(self) -> tuple[PlanRow, ...]:
        """The week's rows in the order of their days.

        Raises
        ------
        RosterProblem
            When the diary is no table that can be changed here.
        """
        table = self._table
        return tuple(
            PlanRow(
                number=number,
                cells={**{c: table.cell(number, c) for c in COLUMNS}, "date": table.day(number)},
                is_told=any(table.cell(number, c) for c in table.columns if c not in _PLAN_ONLY),
            )
            for number in table.rows_between(self.days[0], self.days[-1])
        )

    def read_rows(self) -> tuple[DiaryRow, ...]:
        """The same rows as they are read."""
        found = read_diary(self._diary, DIARY_FILE, day_first=self._own.day_first)
        return tuple(row for row in found.rows if self.days[0] <= row.on <= self.days[-1])

    def change(self, row: PlanRow, column: str, text: str) -> None:
        """Write one cell of a row.

        Raises
        ------
        RosterProblem
            When the column does not allow the text, a day that was trained would move, or the diary changed meanwhile.
        """
        if column not in COLUMNS:
            raise RosterProblem(f"“{column}” cannot be planned here; {', '.join(COLUMNS)} can.")
        if column == "date":
            self._refuse_move(row, text)
        self._write(
            changed_diary(self._diary, row.number, {column: text.strip()}, day_first=self._own.day_first)
        )

    def _refuse_move(self, row: PlanRow, text: str) -> None:
        if row.is_told:
            raise RosterProblem(
                f"the row of {row.cells['date']} tells of what was done, so it stays on its day; plan the other day anew"
            )
        if text not in map(str, self.days):
            raise RosterProblem(f"“{text}” lies outside the week; move it to one of its days")

    def add(self, rows: Sequence[Mapping[str, str]]) -> None:
        """Write further rows, all or none."""
        new = self._diary
        for cells in rows:
            new = changed_diary(new, None, cells, day_first=self._own.day_first)
        self._write(new)

    def remove(self, row: PlanRow) -> None:
        """Take a planned row out; where the athlete wrote into it, only its plan goes."""
        table = self._table
        if row.is_told:
            table = table.with_cells(
                row.number, {c: "" for c in COLUMNS if c not in ("date", "sport", "kind")}
            )
        else:
            table = table.without({row.number})
        self._write(table.to_bytes())

    @property
    def can_undo(self) -> bool:
        """Whether something was changed on this page."""
        return bool(self._before)

    def undo(self) -> None:
        """Take the last change back."""
        if self._before:
            before = self._before.pop()
            self._write(before, remember=False)

    def _write(self, new: bytes, *, remember: bool = True) -> None:
        with self._own.held(self._path):
            if self._read() != self._diary:
                raise RosterProblem(
                    "diary.csv was changed elsewhere since this page read it; nothing was written. Choose the week again to "
                    "read the file, then plan it once more"
                )
            write_bytes(self._path, new)
            if remember:
                self._before.append(self._diary)
            self._diary = new
