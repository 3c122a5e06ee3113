"""One athlete's recordings: each hashed, opened, brought to its diary row and judged at most once."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta, timezone
from functools import cached_property
from pathlib import Path
from zoneinfo import ZoneInfo

from coachlib import __version__
from coachlib.analysis.recording import judge as judging
from coachlib.analysis.recording import steady_stretch
from coachlib.analysis.recording.dating import odd_date
from coachlib.analysis.recording.diary import Matched, match
from coachlib.analysis.recording.judge import judge
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.week.week import Unreadable
from coachlib.errors import CoachError
from coachlib.files.fit.reading import READER_VERSION
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.diarytext import ReadDiary
from coachlib.files.roster.folder import RosterFolder
from coachlib.files.store.index import Entry, IndexedPart
from coachlib.files.store.kept import KeptJudgements, key_of
from coachlib.files.store.store import Store
from coachlib.records.activity import Activity
from coachlib.records.athlete import Athlete
from coachlib.records.decisions import Decisions
from coachlib.records.diary import DiaryRow
from coachlib.report.words.catalogue import sentence, way_out

#: A change between two sports of one file: it is named, not judged.
TRANSITION = "transition"


@dataclass(frozen=True, kw_only=True, eq=False)
class OpenRecording:
    """One session of a recording: what was decided about it, its diary row; its samples once they are asked for."""

    path: Path
    part: int
    is_main: bool
    sha256: str
    sport: str
    decisions: Decisions | None
    row: DiaryRow | None
    on: date
    store: Store

    @property
    def name(self) -> str:
        """The file's name without its ending."""
        return self.path.stem

    @property
    def name_of_session(self) -> str:
        """The file's name, with the session's number behind where it is not the file's main one."""
        return named(self.path, self.part, is_main=self.is_main)

    @cached_property
    def activity(self) -> Activity:
        """The decoded session.

        Raises
        ------
        FileProblem
            When the file cannot be read any more.
        """
        parts = self.store.parts(self.path, sha256=self.sha256)
        return next(p for p in parts if p.part == self.part)


@dataclass(kw_only=True, eq=False)
class Recordings:
    """Everything an athlete recorded; nothing is read before it is asked for, and nothing twice.

    ``unreadable`` fills as recordings are looked at: those that cannot be used, or not with their decisions.
    ``today`` is the athlete's day: recordings dated beyond it are named and left out.
    """

    folder: RosterFolder
    own: AthleteFolder
    today: date | None = None
    unreadable: dict[str, Unreadable] = field(default_factory=dict)
    _judged: dict[tuple[Path, int], JudgedRecording] = field(default_factory=dict)
    _decisions: dict[Path, dict[int, Decisions]] = field(default_factory=dict)

    @cached_property
    def athlete(self) -> Athlete:
        """The profile."""
        return self.own.athlete()

    @property
    def zone(self) -> str | None:
        """The zone that gives local days."""
        return self.athlete.time_zone or self.folder.settings.time_zone

    @cached_property
    def day(self) -> date:
        """The athlete's day as this is asked."""
        return self.today or datetime.now(ZoneInfo(self.zone) if self.zone else UTC).date()

    @cached_property
    def entries(self) -> tuple[Entry, ...]:
        """The recordings as the index has them, those with an impossible date left out and named."""
        here = set(self.own.recordings())
        today = self.day
        kept = []
        for entry in self.folder.index.entries(self.own.recordings_dir):
            if entry.path not in here:
                continue
            problem = entry.problem
            if not problem and (odd := odd_date(self._local(entry, entry.part).date(), today=today)):
                problem = f"{sentence(odd)}: {way_out(odd)}"
            if problem:
                self.unreadable[entry.path.stem] = Unreadable(recording=entry.path.stem, sentence=problem)
            else:
                kept.append(entry)
        return tuple(kept)

    @cached_property
    def diary(self) -> ReadDiary:
        """The diary's rows and its problems."""
        return self.own.read_diary()

    @cached_property
    def matched(self) -> Matched:
        """Which row belongs to which session, by ``session_name``."""
        starts = [
            (session_name(entry, part), self._local(entry, part))
            for entry in self.entries
            for part in sessions_of(entry)
        ]
        return match(self.diary.rows, starts)

    def open(self, start: date | None = None, stop: date | None = None) -> Iterator[OpenRecording]:
        """The sessions of the days from ``start`` up to, not with, ``stop``, with their decisions."""
        for entry in self.entries:
            days = {part.number: self._local(entry, part).date() for part in sessions_of(entry)}
            wanted = {
                n
                for n, day in days.items()
                if (start is None or day >= start) and (stop is None or day < stop)
            }
            if not wanted:
                continue
            decided = self._decided(entry)
            for part in sessions_of(entry):
                if part.number in wanted:
                    yield OpenRecording(
                        path=entry.path,
                        part=part.number,
                        is_main=part.number == entry.main,
                        sha256=entry.sha256,
                        sport=part.sport,
                        decisions=decided.get(part.number),
                        row=self.matched.rows.get(session_name(entry, part)),
                        on=days[part.number],
                        store=self.folder.store,
                    )

    def judged(self, recording: OpenRecording) -> JudgedRecording:
        """The one judgement of a session, kept from before where it was made from the same."""
        at = recording.path, recording.part
        if at not in self._judged:
            key = self._key(recording)
            name = f"{recording.name}.{recording.part}"
            found = self._kept.get(name, key)
            if found is None:
                found = judge(
                    recording.name,
                    recording.activity,
                    recording.decisions,
                    self.athlete,
                    recording.row,
                    criterion_pct=self.folder.settings.criterion_pct,
                    time_zone=self.zone,
                )
                self._kept.keep(name, key, found)
            self._judged[at] = found
        return self._judged[at]

    def judged_until(self, stop: date) -> Iterator[JudgedRecording]:
        """Every session before a day, judged; a recording that cannot be opened any more is told and passed over."""
        for recording in self.open(None, stop):
            try:
                yield self.judged(recording)
            except CoachError as problem:
                self.unreadable[recording.name] = Unreadable(recording=recording.name, sentence=str(problem))

    @property
    def days(self) -> set[date]:
        """The local days on which something was recorded."""
        return {self._local(e, p).date() for e in self.entries for p in sessions_of(e)}

    @cached_property
    def _kept(self) -> KeptJudgements:
        return KeptJudgements(self.folder.store.folder / "judged" / self.own.slug)

    def _key(self, recording: OpenRecording) -> str:
        return key_of(
            (
                __version__, READER_VERSION, judging.METHOD, steady_stretch.METHOD, recording.sha256, recording.part,
                recording.decisions, recording.row, self.athlete, self.folder.settings.criterion_pct, self.zone,
            )
        )  # fmt: skip

    def _decided(self, entry: Entry) -> dict[int, Decisions]:
        """What was decided about each session; where that cannot be read it is told, and nothing is."""
        if entry.path not in self._decisions:
            self._decisions[entry.path] = self._read_decisions(entry)
        return self._decisions[entry.path]

    def _read_decisions(self, entry: Entry) -> dict[int, Decisions]:
        try:
            return self.own.decisions_of_parts(entry.path, entry.sha256).by_part(entry.main)
        except CoachError as problem:
            said = f"taken without its decisions, since {problem}"
            self.unreadable[entry.path.stem] = Unreadable(recording=entry.path.stem, sentence=said)
            return {}

    def _local(self, entry: Entry, part: IndexedPart) -> datetime:
        return local_start(entry, part, self.zone)


def local_start(entry: Entry, part: IndexedPart, zone: str | None) -> datetime:
    """A session's start in the athlete's zone; else with the file's own offset; else in UTC."""
    if zone:
        return part.started_at.astimezone(ZoneInfo(zone))
    if entry.utc_offset_s is not None:
        return part.started_at.astimezone(timezone(timedelta(seconds=entry.utc_offset_s)))
    return part.started_at


def sessions_of(entry: Entry) -> tuple[IndexedPart, ...]:
    """The sessions of a file without changes between sports; the main one is always there."""
    return tuple(p for p in entry.parts if p.sport != TRANSITION or p.number == entry.main)


def session_name(entry: Entry, part: IndexedPart) -> str:
    """A session's name: the file's, with its number behind where it is not the file's main one."""
    return named(entry.path, part.number, is_main=part.number == entry.main)


def named(path: Path, part: int, *, is_main: bool) -> str:
    """The name of a session of a file."""
    return path.stem if is_main else f"{path.stem}:{part + 1}"
