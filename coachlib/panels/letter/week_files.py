"""What a coach types for an athlete's week, read from and written to the athlete's folder."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from coachlib.analysis.week.calendar import first_day, week_of
from coachlib.errors import RosterProblem
from coachlib.files.atomic import write_bytes
from coachlib.files.roster.athlete_folder import DIARY_FILE, AthleteFolder
from coachlib.files.roster.diary_edit import DiaryTable, changed_diary
from coachlib.records.diary import recording_name
from coachlib.records.roster import RosterSettings

#: What can be filled in on the page, in this order.
COLUMNS = ("planned", "rpe", "talk", "sleep_h", "health", "equipment", "remarks")


@dataclass(frozen=True, kw_only=True)
class DayRow:
    """A row of the grid: its number in the diary (None: not written yet), day, recording and cells."""

    number: int | None
    day: str
    recording: str
    cells: Mapping[str, str]


class WeekFiles:
    """The note and the diary rows of one athlete's week; nobody else's changes are written over.

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
        self._note_path = own.notes_dir / f"{week}.md"
        self._diary_path = own.path / DIARY_FILE
        self._first = first_day(week, starts=settings.week_starts)
        self._last = self._first + timedelta(days=6)
        self._note = self._read(self._note_path)
        self._diary = self._read(self._diary_path)

    @staticmethod
    def _read(path: Path) -> bytes:
        return path.read_bytes() if path.is_file() else b""

    @property
    def note(self) -> str:
        """The note's file as text, private words included."""
        return self._note.decode("utf-8-sig", errors="replace")

    def save_note(self, text: str) -> None:
        """Write the note's file.

        Raises
        ------
        RosterProblem
            When the file changed since it was read.
        """
        with self._own.held(self._note_path):
            if self._read(self._note_path) != self._note:
                raise RosterProblem(
                    f"{self._note_path.name} was changed elsewhere since this page read it; nothing was written. Copy "
                    "what you typed, and choose the week again to read the file"
                )
            new = text.encode("utf-8")
            if new != self._note:
                self._note_path.parent.mkdir(exist_ok=True)
                write_bytes(self._note_path, new)
                self._note = new

    def rows(self) -> tuple[DayRow, ...]:
        """The week's rows, those of recordings that no row names yet included.

        Raises
        ------
        RosterProblem
            When the diary is no table that can be changed here.
        """
        table = DiaryTable.of(self._diary, day_first=self._own.day_first)
        found = [
            DayRow(
                number=number,
                day=table.day(number),
                recording=table.cell(number, "recording"),
                cells={column: table.cell(number, column) for column in COLUMNS},
            )
            for number in table.rows_between(self._first, self._last)
        ]
        days = {row.day for row in found}
        named = {recording_name(row.recording) for row in found}
        for path in self._own.recordings():
            day = path.name[:10]
            if self._is_inside(day) and recording_name(path.name) not in named and day not in days:
                cells = dict.fromkeys(COLUMNS, "")
                found.append(DayRow(number=None, day=day, recording=path.stem, cells=cells))
        return tuple(sorted(found, key=lambda row: row.day))

    def _is_inside(self, day: str) -> bool:
        try:
            return self._first <= date.fromisoformat(day) <= self._last
        except ValueError:
            return False

    def change(self, row: DayRow, column: str, text: str) -> None:
        """Write one cell of a row; a row that was not written yet is added.

        Raises
        ------
        RosterProblem
            When the column does not allow the text, or the diary changed since it was read.
        """
        if column not in COLUMNS:
            raise RosterProblem(f"“{column}” cannot be changed here; {', '.join(COLUMNS)} can.")
        cells = {column: text.strip()}
        if row.number is None:
            cells = {"date": row.day, **({"recording": row.recording} if row.recording else {}), **cells}
        with self._own.held(self._diary_path):
            if self._read(self._diary_path) != self._diary:
                raise RosterProblem(
                    "diary.csv was changed elsewhere since this page read it; nothing was written. Choose the week "
                    "again to read the file, then type it once more"
                )
            new = changed_diary(self._diary, row.number, cells, day_first=self._own.day_first)
            write_bytes(self._diary_path, new)
            self._diary = new


def weeks_of(own: AthleteFolder, settings: RosterSettings, today: date) -> tuple[str, ...]:
    """Weeks a letter may be about, the newest first: of recordings, notes and letters, and the last complete one."""
    days = [path.name[:10] for path in own.recordings()]
    found = {week_of(today - timedelta(days=7), starts=settings.week_starts)}
    for day in days:
        try:
            found.add(week_of(date.fromisoformat(day), starts=settings.week_starts))
        except ValueError:
            continue
    for folder, ending in ((own.notes_dir, ".md"), (own.reports_dir, ".html")):
        if folder.is_dir():
            found |= {path.stem for path in folder.iterdir() if path.suffix == ending and _is_week(path.stem)}
    return tuple(sorted(found, reverse=True))


def _is_week(name: str) -> bool:
    try:
        first_day(name)
    except ValueError:
        return False
    return True
