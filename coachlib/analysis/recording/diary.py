"""Which diary row belongs to which recording."""

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from coachlib.records.diary import DiaryRow, recording_name

#: A start written down and a recording's start belong together within this.  This project's own choice:
#: athletes write the hour they remember, and two sessions of a day seldom start closer together.
LONGEST_MISS_S = 3 * 3600.0


@dataclass(frozen=True, kw_only=True)
class Matched:
    """Which row belongs to which recording, and what stands alone.

    ``rows`` goes from a recording's name to its row; ``unmatched`` are the rows without a recording,
    ``rowless`` the recordings without a row.
    """

    rows: Mapping[str, DiaryRow]
    unmatched: tuple[DiaryRow, ...]
    rowless: tuple[str, ...]


def match(rows: Sequence[DiaryRow], starts: Sequence[tuple[str, datetime]]) -> Matched:
    """Bring diary rows and recordings together.

    A row that names its recording belongs to it.  A row with a start belongs to the recording of that day
    that began nearest to it, within three hours.  A row without either belongs to the one recording of its
    day, where one row and one recording are left.

    Parameters
    ----------
    rows : sequence of DiaryRow
        The diary.
    starts : sequence of (str, datetime)
        The athlete's recordings: file name without its ending, and start in the athlete's local time.

    Returns
    -------
    Matched
        Every row and every recording once.

    Notes
    -----
    What is ambiguous stays apart and is said, since a remark beside the wrong
    session is worse than none.

    Examples
    --------
    >>> row = DiaryRow(on="2026-10-05", remarks="fine")
    >>> match([row], [("run", datetime(2026, 10, 5, 17, 30))]).rows["run"].remarks
    'fine'
    """
    free_rows, free_starts = dict.fromkeys(range(len(rows))), dict.fromkeys(range(len(starts)))
    rows_of = _by_day(row.on for row in rows)
    starts_of = _by_day(start.date() for _, start in starts)
    pairs: dict[int, int] = {}

    def take(row: int, start: int) -> None:
        pairs[row] = start
        del free_rows[row], free_starts[start]

    called: dict[str, list[int]] = {}
    for n, (name, _) in enumerate(starts):
        called.setdefault(name.casefold(), []).append(n)
    for at, row in enumerate(rows):
        named = [n for n in called.get(recording_name(row.recording), ()) if n in free_starts]
        if named:
            take(at, named[0])
    for _, at, n in sorted(_misses(rows, starts, free_rows, free_starts, starts_of)):
        if at in free_rows and n in free_starts:
            take(at, n)
    for at in tuple(free_rows):
        if rows[at].start is None and rows[at].recording is None:
            alike = [n for n in rows_of[rows[at].on] if n in free_rows]
            of_day = [n for n in starts_of.get(rows[at].on, ()) if n in free_starts]
            if len(alike) == len(of_day) == 1:
                take(at, of_day[0])
    return Matched(
        rows={starts[n][0]: rows[at] for at, n in pairs.items()},
        unmatched=tuple(rows[at] for at in free_rows),
        rowless=tuple(starts[n][0] for n in free_starts),
    )


def _by_day(days: Iterable[date]) -> dict[date, list[int]]:
    """Places by day, so that no row looks beyond its own."""
    found: dict[date, list[int]] = {}
    for at, day in enumerate(days):
        found.setdefault(day, []).append(at)
    return found


def _misses(
    rows: Sequence[DiaryRow],
    starts: Sequence[tuple[str, datetime]],
    free_rows: Iterable[int],
    free_starts: Container[int],
    starts_of: Mapping[date, Sequence[int]],
) -> list[tuple[float, int, int]]:
    """Seconds between written and recorded start, for every pair of a day that may belong together."""
    misses = []
    for at in free_rows:
        row = rows[at]
        if row.start is None or row.recording is not None:
            continue
        written = datetime.combine(row.on, row.start)
        for n in starts_of.get(row.on, ()):
            miss_s = abs((starts[n][1].replace(tzinfo=None) - written).total_seconds())
            if n in free_starts and miss_s <= LONGEST_MISS_S:
                misses.append((miss_s, at, n))
    return misses
