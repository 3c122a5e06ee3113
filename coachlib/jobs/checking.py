"""A check of a whole roster on disk: every problem in one go, nothing changed."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from coachlib.analysis.recording.diary import match
from coachlib.analysis.recording.duplicates import duplicate_of
from coachlib.analysis.roster.check import (
    Facts,
    check_date,
    check_decisions,
    duplicate_finding,
    facts_of,
    may_be_one,
    odd_date,
)
from coachlib.analysis.roster.check_athlete import check_machine, check_profile, check_tests, check_thresholds
from coachlib.analysis.roster.check_diary import check_diary
from coachlib.analysis.roster.check_finding import CheckFinding, Weight
from coachlib.analysis.roster.check_references import check_references
from coachlib.analysis.week.calendar import first_day
from coachlib.errors import BadArgument, CoachError
from coachlib.files.roster.athlete_folder import (
    ATHLETE_FILE,
    DECISIONS_SUFFIX,
    DIARY_FILE,
    AthleteFolder,
    decisions_path,
)
from coachlib.files.roster.folder import SETTINGS_FILE, RosterFolder
from coachlib.measures.common.codes import Code, code
from coachlib.records.athlete import Athlete

_OF_ROSTER = frozenset({SETTINGS_FILE, "README.md", "reports"})
_OF_ATHLETE = frozenset({ATHLETE_FILE, DIARY_FILE, "recordings", "notes", "reports"})


def check_roster(roster: RosterFolder, *, today: date | None = None) -> tuple[CheckFinding, ...]:
    """Check every file of a roster.

    Parameters
    ----------
    roster : RosterFolder
        The roster.
    today : date, optional
        The day by which a recording's date is told odd; without it the computer's.

    Returns
    -------
    tuple of CheckFinding
        By athlete; those about the roster itself come first, with an empty athlete.
    """
    today = today or date.today()
    slugs = roster.athletes()
    found = list(_strangers(roster, slugs))
    if not slugs:
        found.insert(0, _finding("", SETTINGS_FILE, code("nobody on the roster")))
    seen: dict[str, tuple[str, str]] = {}
    for slug in slugs:
        check = _AthleteCheck(roster=roster, folder=roster.athlete(slug), today=today)
        check.run()
        found += check.found
        for facts in check.facts.values():
            owner, recording = seen.setdefault(facts.sha256, (slug, facts.recording))
            if owner != slug:
                twice = code("file with two athletes", owner=owner, recording=recording)
                found.append(_finding(slug, f"{facts.recording}.fit", twice))
    return tuple(found)


def _strangers(roster: RosterFolder, slugs: tuple[str, ...]) -> Iterator[CheckFinding]:
    """Folders that may be an athlete's but have no profile, and files nobody reads."""
    for entry in _visible(roster.path):
        if entry.name in _OF_ROSTER or entry.name in slugs:
            continue
        if entry.is_dir() and _may_be_an_athletes(entry):
            yield _finding(entry.name, ATHLETE_FILE, code("folder without a profile", folder=entry.name))
        else:
            yield _unread("", entry)


def _may_be_an_athletes(folder: Path) -> bool:
    """Whether a folder is empty, as it is made for a new athlete, or holds an athlete's things."""
    names = [path.name for path in _visible(folder)]
    return not names or any(name in _OF_ATHLETE or name.lower().endswith(".fit") for name in names)


@dataclass(kw_only=True)
class _AthleteCheck:
    """The checks of one athlete, gathering what they find."""

    roster: RosterFolder
    folder: AthleteFolder
    today: date
    found: list[CheckFinding] = field(default_factory=list)
    facts: dict[Path, Facts] = field(default_factory=dict)

    def run(self) -> None:
        athlete = self._profile()
        zone = (athlete.time_zone if athlete else None) or self.roster.settings.time_zone
        recordings = self.folder.recordings()
        for path in recordings:
            self._recording(path, zone)
        self._duplicates()
        self._diary()
        if athlete is not None:
            self._against_profile(athlete)
            if not recordings:
                self._tell("recordings", code("no recordings"), "advice")
        self._lonely_decisions(recordings)
        self._notes()
        self.found += [_unread(self.slug, p) for p in _visible(self.folder.path) if p.name not in _OF_ATHLETE]

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

    def _recording(self, path: Path, zone: str | None) -> None:
        try:
            activity = self.roster.store.activity(path)
        except CoachError as problem:
            self._refused("recording refused", path.name, str(problem))
            return
        decisions = None
        file = decisions_path(path).name
        try:
            decisions = self.folder.decisions(path, activity.sha256)
            if decisions is not None and decisions.part is not None:
                activity = self.roster.store.activity(path, part=decisions.part)
        except CoachError as problem:
            self._refused("decisions refused", file, str(problem))
        facts = facts_of(path.stem, activity, decisions, time_zone=zone)
        self.facts[path] = facts
        self.found += check_date(self.slug, facts, today=self.today)
        if decisions is not None:
            self.found += check_decisions(self.slug, file, decisions, facts)

    def _duplicates(self) -> None:
        paths = {facts.recording: path for path, facts in self.facts.items()}
        for one, other in may_be_one(tuple(self.facts.values())):
            activities = (self.roster.store.activity(paths[facts.recording]) for facts in (one, other))
            likeness = duplicate_of(*activities)
            if likeness is not None:
                self.found.append(duplicate_finding(self.slug, one, other, likeness))

    def _diary(self) -> None:
        try:
            read = self.folder.read_diary()
        except CoachError as problem:
            self._refused("diary refused", DIARY_FILE, str(problem))
            return
        self._refused("diary row refused", DIARY_FILE, "\n".join(read.problems))
        starts = [(f.recording, f.local_start) for f in self.facts.values()]
        has_diary = (self.folder.path / DIARY_FILE).is_file()
        self.found += check_diary(self.slug, match(read.rows, starts), has_diary=has_diary)

    def _against_profile(self, athlete: Athlete) -> None:
        facts = tuple(self.facts.values())
        days = [f.local_start.date() for f in facts]
        latest_on = max((on for on in days if odd_date(on, today=self.today) is None), default=None)
        self.found += check_profile(athlete, facts)
        self.found += check_thresholds(
            athlete, latest_on=latest_on, stale_after_weeks=self.roster.settings.stale_after_weeks
        )
        self.found += check_references(athlete, latest_on=latest_on)
        self.found += check_tests(athlete, facts)
        self.found += check_machine(athlete, facts)

    def _lonely_decisions(self, recordings: tuple[Path, ...]) -> None:
        known = {*recordings, *map(decisions_path, recordings)}
        for path in _visible(self.folder.recordings_dir):
            if path in known:
                continue
            if path.name.endswith(DECISIONS_SUFFIX):
                fit = path.name.removesuffix(DECISIONS_SUFFIX) + ".fit"
                self._tell(path.name, code("decisions without a recording", recording=fit))
            else:
                self.found.append(_unread(self.slug, path))

    def _notes(self) -> None:
        for path in _visible(self.folder.notes_dir):
            try:
                first_day(path.stem if path.suffix == ".md" else path.name)
            except BadArgument as problem:
                self._refused("note misnamed", path.name, str(problem))
                continue
            try:
                self.folder.note(path.stem)
            except CoachError as problem:
                self._refused("note refused", path.name, str(problem))


def _visible(folder: Path) -> list[Path]:
    """What lies in a folder, leaving names that begin with a point aside."""
    return sorted(p for p in folder.iterdir() if not p.name.startswith(".")) if folder.is_dir() else []


def _finding(athlete: str, file: str, found: Code, severity: Weight = "problem") -> CheckFinding:
    return CheckFinding(athlete=athlete, file=file, severity=severity, code=found)


def _unread(athlete: str, path: Path) -> CheckFinding:
    return _finding(athlete, path.name, code("not read"), "advice")
