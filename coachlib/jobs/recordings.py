"""One athlete's recordings, each opened once, brought to its diary row once, judged once."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from pathlib import Path

from coachlib.analysis.recording.diary import Matched, match
from coachlib.analysis.recording.judge import judge
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.roster.check import odd_date_code
from coachlib.analysis.week.week import Unreadable
from coachlib.errors import CoachError
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.diarytext import ReadDiary
from coachlib.files.roster.folder import RosterFolder
from coachlib.records.activity import Activity
from coachlib.records.athlete import Athlete
from coachlib.records.decisions import Decisions
from coachlib.records.diary import DiaryRow
from coachlib.report.words.catalogue import sentence


@dataclass(frozen=True, kw_only=True, eq=False)
class OpenRecording:
    """A recording that could be opened: its session, what was decided about it, its diary row."""

    path: Path
    activity: Activity
    decisions: Decisions | None
    row: DiaryRow | None
    on: date

    @property
    def name(self) -> str:
        """The file's name without its ending."""
        return self.path.stem


@dataclass(kw_only=True, eq=False)
class Recordings:
    """Everything an athlete recorded; nothing is read before it is asked for, and nothing twice.

    ``unreadable`` fills as recordings are opened: those that cannot be used, or not with their decisions.
    A recording whose date cannot be on the day ``today`` is named there and left out.
    """

    folder: RosterFolder
    own: AthleteFolder
    today: date = field(default_factory=date.today)
    unreadable: dict[str, Unreadable] = field(default_factory=dict)
    _opened: dict[Path, Activity | None] = field(default_factory=dict)
    _judged: dict[Path, JudgedRecording] = field(default_factory=dict)

    @cached_property
    def athlete(self) -> Athlete:
        """The profile."""
        return self.own.athlete()

    @property
    def zone(self) -> str | None:
        """The zone that gives local days."""
        return self.athlete.time_zone or self.folder.settings.time_zone

    @cached_property
    def paths(self) -> tuple[Path, ...]:
        """The recordings' files, by name."""
        return self.own.recordings()

    @cached_property
    def diary(self) -> ReadDiary:
        """The diary's rows and its problems."""
        return self.own.read_diary()

    @cached_property
    def matched(self) -> Matched:
        """Which row belongs to which recording."""
        return match(self.diary.rows, list(self.starts()))

    def starts(self) -> Iterator[tuple[str, datetime]]:
        """Every readable recording's name and local start."""
        for path in self.paths:
            activity = self._activity(path)
            if activity is not None:
                yield path.stem, activity.local_start(self.zone)

    def open(self, start: date | None = None, stop: date | None = None) -> Iterator[OpenRecording]:
        """The recordings of the days from ``start`` up to, not with, ``stop``, with their decisions."""
        for path in self.paths:
            activity = self._activity(path)
            if activity is None:
                continue
            day = activity.started_on(self.zone)
            if (start is None or day >= start) and (stop is None or day < stop):
                yield self._with_decisions(path, activity)

    def judged(self, recording: OpenRecording) -> JudgedRecording:
        """The one judgement of a recording."""
        if recording.path not in self._judged:
            self._judged[recording.path] = judge(
                recording.name,
                recording.activity,
                recording.decisions,
                self.athlete,
                recording.row,
                criterion_pct=self.folder.settings.criterion_pct,
                time_zone=self.zone,
            )
        return self._judged[recording.path]

    def _activity(self, path: Path) -> Activity | None:
        if path not in self._opened:
            try:
                activity = self.folder.store.activity(path)
                odd = odd_date_code(activity.started_on(self.zone), today=self.today)
                said = sentence(odd) if odd else ""
            except CoachError as problem:
                activity, said = None, str(problem)
            self._opened[path] = None if said else activity
            if said:
                self.unreadable[path.stem] = Unreadable(recording=path.stem, sentence=said)
        return self._opened[path]

    def _with_decisions(self, path: Path, activity: Activity) -> OpenRecording:
        decisions = None
        try:
            decisions = self.own.decisions(path, activity.sha256)
            if decisions is not None and decisions.part not in (None, activity.part):
                activity = self.folder.store.activity(path, part=decisions.part)
        except CoachError as problem:
            said = f"taken without its decisions, since {problem}"
            self.unreadable[path.stem] = Unreadable(recording=path.stem, sentence=said)
        return OpenRecording(
            path=path,
            activity=activity,
            decisions=decisions,
            row=self.matched.rows.get(path.stem),
            on=activity.started_on(self.zone),
        )
