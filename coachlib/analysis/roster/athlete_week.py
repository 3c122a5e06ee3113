"""One athlete's Monday: all that the call sheet looks at."""

from dataclasses import dataclass
from datetime import date, timedelta

from coachlib.analysis.remarks.open_red_flags import OpenRedFlag, open_red_flags
from coachlib.analysis.remarks.open_remarks import Remark, remarks_of
from coachlib.analysis.season.season import Season
from coachlib.analysis.week.week import WeekResult
from coachlib.records.diary import DiaryRow


@dataclass(frozen=True, slots=True, kw_only=True)
class AthleteWeek:
    """The week, the season where there is one, the day of the last recording, and the whole diary.

    Without ``diary`` what was written is taken from the sessions of the week.
    """

    week: WeekResult
    season: Season | None = None
    last_recording_on: date | None = None
    diary: tuple[DiaryRow, ...] = ()

    @property
    def last_day(self) -> date:
        """The week's last day."""
        return self.week.stop_on - timedelta(days=1)

    @property
    def written(self) -> tuple[DiaryRow, ...]:
        """All that was written up to the week's end."""
        of_sessions = (session.row for session in self.week.sessions if session.row is not None)
        rows = self.diary or (*of_sessions, *self.week.unrecorded)
        return tuple(sorted((r for r in rows if r.on <= self.last_day), key=lambda row: row.on))

    @property
    def written_this_week(self) -> tuple[DiaryRow, ...]:
        """What was written about the week, by day."""
        return tuple(row for row in self.written if row.on >= self.week.start_on)

    @property
    def written_before(self) -> tuple[DiaryRow, ...]:
        """What was written about the four weeks before, without days set apart."""
        start = self.week.start_on
        athlete = self.week.athlete
        return tuple(
            row
            for row in self.written
            if start - timedelta(weeks=4) <= row.on < start and not athlete.block_on(row.on)
        )

    @property
    def remarks(self) -> tuple[Remark, ...]:
        """What the athlete wrote about the week in words."""
        return remarks_of(self.written_this_week)

    @property
    def red_flags(self) -> tuple[OpenRedFlag, ...]:
        """What needs a physician first, of this week or any before, and has not been settled."""
        return open_red_flags(self.written, self.week.athlete.settled, self.last_day)
