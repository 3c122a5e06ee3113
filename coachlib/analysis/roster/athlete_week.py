"""One athlete's Monday: all that the call sheet looks at."""

from dataclasses import dataclass
from datetime import date, timedelta

from coachlib.analysis.first_threshold.first_test import FirstTest, first_test
from coachlib.analysis.first_threshold.fit_to_test import fit_to_test
from coachlib.analysis.plan.planned import PlannedDay, planned_days
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.remarks.open_red_flags import OpenRedFlag, open_red_flags
from coachlib.analysis.remarks.open_remarks import Remark, remarks_of
from coachlib.analysis.season.season import Season
from coachlib.analysis.week.week import WeekResult
from coachlib.measures.common.codes import Code, code
from coachlib.measures.first_threshold.next_test import NextTest
from coachlib.records.diary import DiaryRow
from coachlib.records.health import SESSIONS_BACK
from coachlib.records.thresholds import Threshold


@dataclass(frozen=True, slots=True, kw_only=True)
class AthleteWeek:
    """The week, the season where there is one, the day of the last recording, the whole diary, and all sessions.

    Without ``diary`` what was written is taken from the sessions of the week, without ``history`` the sessions are
    those of the week.  ``next_test`` is what the series of tests asks for, of the first threshold's sport
    where one is accepted, ``next_not_before`` from which day on; None without one.  ``coming`` are the diary's rows of the
    seven days after the week.
    """

    week: WeekResult
    season: Season | None = None
    last_recording_on: date | None = None
    diary: tuple[DiaryRow, ...] = ()
    history: tuple[JudgedRecording, ...] = ()
    next_test: NextTest | None = None
    next_not_before: date | None = None
    coming: tuple[DiaryRow, ...] = ()

    @property
    def last_day(self) -> date:
        """The week's last day."""
        return self.week.stop_on - timedelta(days=1)

    @property
    def sessions(self) -> tuple[JudgedRecording, ...]:
        """All sessions up to the week's end that were read."""
        return self.history or self.week.sessions

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
    def health(self) -> str | None:
        """How the athlete was when it was last written down this week."""
        told = [row.health for row in self.written_this_week if row.health]
        return told[-1] if told else None

    @property
    def newly_back(self) -> tuple[date, int] | None:
        """Since when the athlete is back from illness or injury, and how many sessions were done since; None else.

        The profile's blocks tell, or the diary where an illness of this week is over by it.
        """
        if self.health == "ill" or self.week.athlete.block_on(self.last_day) is not None:
            return None
        since = self.week.athlete.back_since(self.last_day)
        if since is None:
            ill = [row.on for row in self.written_this_week if row.health == "ill"]
            since = max(ill) + timedelta(days=1) if ill else None
        if since is None:
            return None
        n = sum(since <= s.on <= self.last_day for s in self.sessions)
        return (since, n) if n < SESSIONS_BACK else None

    @property
    def kept_below(self) -> Threshold | None:
        """The threshold below whose lower end the next easy days shall stay, where those of the week were not easy."""
        easy = self.week.easy
        return easy.threshold if easy is not None and easy.share.verdict == "not easy" else None

    @property
    def planned(self) -> tuple[PlannedDay, ...]:
        """The days planned for the week after."""
        return planned_days(self.coming, self.week.athlete, done=self.sessions, kept_below=self.kept_below)

    @property
    def may_be_tested(self) -> bool:
        """Whether nothing keeps from asking for a test at all; a shorter one may still fit better."""
        return all(why.name == "no session as long" for why in self.against_test())

    def against_test(self, on: date | None = None) -> tuple[Code, ...]:
        """What speaks against asking for a steady test: the one answer for letter, call sheet and protocol sheet.

        ``on`` is the day it is planned from; without it the week's last one.
        """
        day = on or self.last_day
        flagged = ("no test before a physician",) if self.red_flags else ()
        back = self.newly_back
        found = fit_to_test(
            self.week.athlete, on=day, sessions=self.sessions, health=self.health,
            passed_sessions=None if back is None else back[1], back_since=None if back is None else back[0],
        )  # fmt: skip
        return (*(code(name) for name in flagged), *found)

    @property
    def first_test(self) -> FirstTest | None:
        """Which test fits first; None where a first threshold is known, a test was done, or none is asked at all."""
        week = self.week
        if week.accepted("first") is not None or self.next_test is not None or not self.may_be_tested:
            return None
        return first_test(
            week.athlete, self.sessions, on=self.last_day, criterion_pct=week.settings.criterion_pct
        )

    @property
    def remarks(self) -> tuple[Remark, ...]:
        """What the athlete wrote about the week in words."""
        return remarks_of(self.written_this_week)

    @property
    def red_flags(self) -> tuple[OpenRedFlag, ...]:
        """What needs a physician first, of this week or any before, and has not been settled."""
        return open_red_flags(self.written, self.week.athlete.settled, self.last_day)
