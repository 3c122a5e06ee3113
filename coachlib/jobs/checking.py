"""A check of a whole roster on disk: every problem in one go, nothing changed."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from coachlib.analysis.recording.dating import odd_date
from coachlib.analysis.recording.diary import match
from coachlib.analysis.recording.duplicates import duplicate_of
from coachlib.analysis.roster.check import (
    Facts,
    check_decisions,
    duplicate_finding,
    longest_setting,
    may_be_one,
)
from coachlib.analysis.roster.check_athlete import check_machine, check_profile, check_tests, check_thresholds
from coachlib.analysis.roster.check_diary import check_diary
from coachlib.analysis.roster.check_finding import CheckFinding, Weight
from coachlib.analysis.roster.check_references import check_references
from coachlib.analysis.week.calendar import first_day
from coachlib.errors import BadArgument, CoachError
from coachlib.files.formats import is_recording
from coachlib.files.roster.athlete_folder import ATHLETE_FILE, DIARY_FILE, AthleteFolder, decisions_path
from coachlib.files.roster.folder import RosterFolder
from coachlib.files.roster.places import DECISIONS_SUFFIX, SETTINGS_FILE, copied_from, outside_links
from coachlib.files.store.index import Entry
from coachlib.jobs.recordings import Recordings, local_start, session_name, sessions_of
from coachlib.measures.common.codes import Code, code
from coachlib.records.activity import Activity
from coachlib.records.athlete import Athlete
from coachlib.records.decisions import Decisions
from coachlib.report.look.markdown import markdown_html

_OF_ROSTER = frozenset({SETTINGS_FILE, "README.md", "reports"})
_OF_ATHLETE = frozenset({ATHLETE_FILE, DIARY_FILE, "recordings", "notes", "reports"})


def check_roster(
    roster: RosterFolder, *, today: date | None = None, step: Callable[[str], None] | None = None
) -> tuple[CheckFinding, ...]:
    """Check every file of a roster.

    Parameters
    ----------
    roster : RosterFolder
        The roster.
    today : date, optional
        The day by which a recording's date is told odd; without it the computer's.
    step : callable, optional
        Called with the name of each recording before it is looked at.

    Returns
    -------
    tuple of CheckFinding
        By athlete; those about the roster itself come first, with an empty athlete.
    """
    today = today or date.today()
    slugs = roster.athletes()
    outside = frozenset(outside_links(roster.path))
    found = list(_strangers(roster, slugs, outside))
    if not slugs:
        found.insert(0, _finding("", SETTINGS_FILE, code("nobody on the roster")))
    seen: dict[str, tuple[str, str]] = {}
    for slug in slugs:
        check = _AthleteCheck(
            roster=roster, folder=roster.athlete(slug), today=today, outside=outside, step=step or _quietly
        )
        check.run()
        found += check.found
        for file, facts in {facts.file: facts for facts in reversed(check.facts)}.items():
            owner, recording = seen.setdefault(facts.sha256, (slug, facts.recording))
            if owner != slug:
                twice = code("file with two athletes", owner=owner, recording=recording)
                found.append(_finding(slug, file, twice))
    return tuple(found)


def _strangers(
    roster: RosterFolder, slugs: tuple[str, ...], outside: frozenset[Path]
) -> Iterator[CheckFinding]:
    """Links that lead out, folders that may be an athlete's but have no profile, and files nobody reads."""
    for link in sorted(outside):
        owner, _, file = link.relative_to(roster.path).as_posix().partition("/")
        yield _finding(owner if file else "", file or owner, code("link out of the roster"), "advice")
    names = [entry.name for entry in _visible(roster.path)]
    for entry in _visible(roster.path):
        if entry.name in _OF_ROSTER or entry.name in slugs or entry in outside:
            continue
        if entry.is_dir() and _may_be_an_athletes(entry):
            yield _finding(entry.name, ATHLETE_FILE, code("folder without a profile", folder=entry.name))
        else:
            yield _unread("", entry, names)


def _may_be_an_athletes(folder: Path) -> bool:
    """Whether a folder is empty, as it is made for a new athlete, or holds an athlete's things."""
    names = [path.name for path in _visible(folder)]
    return not names or any(name in _OF_ATHLETE or is_recording(name) for name in names)


@dataclass(kw_only=True)
class _AthleteCheck:
    """The checks of one athlete, gathering what they find."""

    roster: RosterFolder
    folder: AthleteFolder
    today: date
    outside: frozenset[Path]
    step: Callable[[str], None]
    found: list[CheckFinding] = field(default_factory=list)
    facts: list[Facts] = field(default_factory=list)

    def run(self) -> None:
        athlete = self._profile()
        recordings = self.folder.recordings()
        self._recordings(athlete, recordings)
        self._duplicates()
        self._diary()
        if athlete is not None:
            self._against_profile(athlete)
            if not recordings:
                self._tell("recordings", code("no recordings"), "advice")
        self._lonely_decisions(recordings)
        self._notes()
        names = [p.name for p in _visible(self.folder.path)]
        for path in _visible(self.folder.path):
            if path.name not in _OF_ATHLETE:
                self._unread(path, names)

    @property
    def slug(self) -> str:
        return self.folder.slug

    def _tell(self, file: str, found: Code, severity: Weight = "problem") -> None:
        self.found.append(_finding(self.slug, file, found, severity))

    def _refused(self, name: str, file: str, text: str) -> None:
        """One finding a line, without the file's name, which a finding says by itself."""
        for line in text.splitlines():
            self._tell(file, code(name, why=line.removeprefix(f"{file} of {self.slug}").lstrip(":, ")))

    def _profile(self) -> Athlete | None:
        try:
            return self.folder.athlete()
        except CoachError as problem:
            self._refused("profile refused", ATHLETE_FILE, str(problem))
            return None

    def _recordings(self, athlete: Athlete | None, paths: tuple[Path, ...]) -> None:
        """Every recording as the index has it, its sessions as they are judged: none is opened that did not change."""
        known = Recordings(folder=self.roster, own=self.folder, today=self.today)
        zone = (athlete.time_zone if athlete else None) or self.roster.settings.time_zone
        top_bpm = self._judged(known) if athlete is not None else {}
        for entry in self.roster.index.entries(self.folder.recordings_dir):
            if entry.path not in paths:
                continue
            if entry.problem:
                self._refused("recording refused", entry.path.name, entry.problem)
                continue
            odd = odd_date(local_start(entry, entry.part, zone).date(), today=self.today)
            if odd is not None:
                self._tell(entry.path.name, odd)
            self._sessions(entry, zone, top_bpm)

    def _judged(self, known: Recordings) -> dict[str, float | None]:
        """The highest heart rate held in each session, by its name; what is odd about the sessions is told."""
        top_bpm, in_utc = {}, 0
        for recording in known.open():
            self.step(recording.path.name)
            try:
                judged = known.judged(recording)
            except CoachError as problem:
                self._refused("recording refused", recording.path.name, str(problem))
                continue
            top_bpm[recording.name_of_session] = judged.hr_top_bpm
            for caveat in judged.caveats:
                if caveat.name == "totals differ":
                    self._tell(recording.path.name, caveat, "advice")
                in_utc += caveat.name == "utc taken"
        if in_utc:
            self._tell(ATHLETE_FILE, code("utc taken"), "advice")
        return top_bpm

    def _sessions(self, entry: Entry, zone: str | None, top_bpm: dict[str, float | None]) -> None:
        """One file's sessions with what was decided about them."""
        file = decisions_path(entry.path).name
        decided: dict[int, Decisions] = {}
        try:
            decided = self.folder.decisions_of_parts(entry.path, entry.sha256).by_part(entry.main)
        except CoachError as problem:
            self._refused("decisions refused", file, str(problem))
        for part in sessions_of(entry):
            decisions = decided.pop(part.number, None)
            name = session_name(entry, part)
            facts = Facts(
                recording=name,
                file=entry.path.name,
                part=part.number,
                sha256=entry.sha256,
                started_at=part.started_at,
                local_start=local_start(entry, part, zone),
                elapsed_s=part.elapsed_s,
                hr_held_bpm=top_bpm.get(name),
                setting=longest_setting(decisions),
            )
            self.facts.append(facts)
            if decisions is not None:
                self.found += check_decisions(self.slug, file, decisions, facts)
        for number in decided:
            self._tell(file, code("decisions about no session", part=number))

    def _duplicates(self) -> None:
        told = set()
        for one, other in may_be_one(self.facts):
            likeness = duplicate_of(*(self._opened(facts) for facts in (one, other)))
            if likeness is not None and (one.file, other.file) not in told:
                told.add((one.file, other.file))
                self.found.append(duplicate_finding(self.slug, one, other, likeness))

    def _opened(self, facts: Facts) -> Activity:
        path = self.folder.recordings_dir / facts.file
        return self.roster.store.activity(path, part=facts.part)

    def _diary(self) -> None:
        try:
            read = self.folder.read_diary()
        except CoachError as problem:
            self._refused("diary refused", DIARY_FILE, str(problem))
            return
        self._refused("diary row refused", DIARY_FILE, "\n".join(read.problems))
        starts = [(f.recording, f.local_start) for f in self.facts]
        has_diary = (self.folder.path / DIARY_FILE).is_file()
        self.found += check_diary(self.slug, match(read.rows, starts), has_diary=has_diary)

    def _against_profile(self, athlete: Athlete) -> None:
        facts = tuple(self.facts)
        days = [f.local_start.date() for f in facts]
        latest_on = max((on for on in days if not odd_date(on, today=self.today)), default=None)
        self.found += check_profile(athlete, facts)
        self.found += check_thresholds(
            athlete, latest_on=latest_on, stale_after_weeks=self.roster.settings.stale_after_weeks
        )
        self.found += check_references(athlete, latest_on=latest_on)
        self.found += check_tests(athlete, facts)
        self.found += check_machine(athlete, facts)

    def _lonely_decisions(self, recordings: tuple[Path, ...]) -> None:
        known = {*recordings, *map(decisions_path, recordings)}
        names = [p.name for p in known]
        for path in _visible(self.folder.recordings_dir):
            if path in known:
                continue
            if path.name.endswith(DECISIONS_SUFFIX) and not copied_from(path.name, names):
                fit = path.name.removesuffix(DECISIONS_SUFFIX) + ".fit"
                self._tell(path.name, code("decisions without a recording", recording=fit))
            else:
                self._unread(path, names)

    def _unread(self, path: Path, names: Iterable[str]) -> None:
        if path not in self.outside:
            self.found.append(_unread(self.slug, path, names))

    def _notes(self) -> None:
        names = [p.name for p in _visible(self.folder.notes_dir)]
        for path in _visible(self.folder.notes_dir):
            if copied_from(path.name, names):
                self._unread(path, names)
                continue
            try:
                first_day(path.stem if path.suffix == ".md" else path.name)
            except BadArgument as problem:
                self._refused("note misnamed", path.name, str(problem))
                continue
            try:
                words = self.folder.note(path.stem).words
            except CoachError as problem:
                self._refused("note refused", path.name, str(problem))
                continue
            try:
                markdown_html(words or "")
            except CoachError as problem:
                self._refused("note not printable", path.name, str(problem))


def _quietly(_: str) -> None:
    """Nobody looks on."""


def _visible(folder: Path) -> list[Path]:
    """What lies in a folder, leaving names that begin with a point aside."""
    return sorted(p for p in folder.iterdir() if not p.name.startswith(".")) if folder.is_dir() else []


def _finding(athlete: str, file: str, found: Code, severity: Weight = "problem") -> CheckFinding:
    return CheckFinding(athlete=athlete, file=file, severity=severity, code=found)


def _unread(athlete: str, path: Path, names: Iterable[str]) -> CheckFinding:
    """A file that nobody reads: a copy of one that is read, or a stranger."""
    original = copied_from(path.name, [name for name in names if name != path.name])
    found = code("not read") if original is None else code("conflict copy", original=original)
    return _finding(athlete, path.name, found, "advice")
