"""Which diary row belongs to which recording."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from coachlib.records.diary import DiaryRow

#: A start written down and a recording's start belong together within this.  This project's own choice:
#: athletes write the hour they remember, and two sessions of a day seldom start closer together.
LONGEST_MISS_S = 3 * 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """A recording, by file name without its ending, and its start in the athlete's local time."""

    recording: str
    local_start: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Matched:
    """A diary row with its recording; either is None where the other stands alone."""

    row: DiaryRow | None
    start: Start | None

    @property
    def on(self) -> date:
        """The calendar day."""
        if self.start is not None:
            return self.start.local_start.date()
        return self.row.on if self.row is not None else date.min


def match(rows: Sequence[DiaryRow], starts: Sequence[Start]) -> tuple[Matched, ...]:
    """Bring diary rows and recordings together.

    A row that names its recording belongs to it.  A row with a start belongs to the recording of that day
    that began nearest to it, within three hours.  A row without either belongs to the one recording of its
    day, where one row and one recording are left.

    Parameters
    ----------
    rows : sequence of DiaryRow
        The diary.
    starts : sequence of Start
        The athlete's recordings.

    Returns
    -------
    tuple of Matched
        Every row and every recording once, by day.

    Source
    ------
    This project's own choice: what is ambiguous stays apart and is said, since a remark beside the wrong
    session is worse than none.

    Examples
    --------
    >>> run = Start(recording="2026-10-05_running", local_start=datetime(2026, 10, 5, 17, 30))
    >>> match([DiaryRow(on=date(2026, 10, 5))], [run])[0].start.recording
    '2026-10-05_running'
    """
    free_rows, free_starts = list(range(len(rows))), list(range(len(starts)))
    pairs: dict[int, int] = {}

    def take(row: int, start: int) -> None:
        pairs[row] = start
        free_rows.remove(row)
        free_starts.remove(start)

    for at in tuple(free_rows):
        named = [n for n in free_starts if _names(rows[at], starts[n])]
        if named:
            take(at, named[0])
    for _, at, n in sorted(_misses(rows, starts, free_rows, free_starts)):
        if at in free_rows and n in free_starts:
            take(at, n)
    for at in tuple(free_rows):
        if rows[at].start is None and rows[at].recording is None:
            alike = [n for n in free_rows if rows[n].on == rows[at].on]
            of_day = [n for n in free_starts if starts[n].local_start.date() == rows[at].on]
            if len(alike) == len(of_day) == 1:
                take(at, of_day[0])
    matched = [
        Matched(row=row, start=starts[pairs[at]] if at in pairs else None) for at, row in enumerate(rows)
    ]
    matched += [Matched(row=None, start=starts[n]) for n in free_starts]
    return tuple(sorted(matched, key=lambda m: m.on))


def _names(row: DiaryRow, start: Start) -> bool:
    """Whether a row names the recording, with or without its ending."""
    return (
        row.recording is not None
        and row.recording.casefold().removesuffix(".fit") == start.recording.casefold()
    )


def _misses(
    rows: Sequence[DiaryRow], starts: Sequence[Start], free_rows: Sequence[int], free_starts: Sequence[int]
) -> list[tuple[float, int, int]]:
    """Seconds between written and recorded start, for every pair of a day that may belong together."""
    misses = []
    for at in free_rows:
        row = rows[at]
        if row.start is None or row.recording is not None:
            continue
        written = datetime.combine(row.on, row.start)
        for n in free_starts:
            recorded = starts[n].local_start.replace(tzinfo=None)
            miss_s = abs((recorded - written).total_seconds())
            if recorded.date() == row.on and miss_s <= LONGEST_MISS_S:
                misses.append((miss_s, at, n))
    return misses
