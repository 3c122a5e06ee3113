"""A check of a whole roster on disk: every problem in one go, nothing changed."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import combinations
from pathlib import Path

from coachlib.analysis.recording.diary import match
from coachlib.analysis.recording.duplicates import duplicate_of
from coachlib.analysis.roster.check import (
    Facts,
    check_decisions,
    duplicate_finding,
    facts_of,
    may_be_one,
)
from coachlib.analysis.roster.check_athlete import check_machine, check_profile, check_tests, check_thresholds
from coachlib.analysis.roster.check_diary import check_diary
from coachlib.analysis.roster.check_references import check_references
from coachlib.analysis.roster.findings import Finding, Severity
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
from coachlib.records.athlete import Athlete

_OF_ROSTER = frozenset({SETTINGS_FILE, "README.md", "reports"})
_OF_ATHLETE = frozenset({ATHLETE_FILE, DIARY_FILE, "recordings", "notes", "reports"})


def check_roster(roster: RosterFolder) -> tuple[Finding, ...]:
    """Check every file of a roster.

    Returns
    -------
    tuple of Finding
        By athlete; those about the roster itself come first, with an empty athlete.
    """
    found = list(_strangers(roster))
    seen: dict[str, tuple[str, str]] = {}
    for slug in roster.athletes():
        check = _AthleteCheck(roster=roster, folder=roster.athlete(slug))
        check.run()
        found += check.found
        for facts in check.facts.values():
            first = seen.setdefault(facts.sha256, (slug, facts.recording))
            if first[0] != slug:
                found.append(
                    _finding(
                        slug,
                        f"{facts.recording}.fit",
                        f"the same file lies with {first[0]} as {first[1]}",
                        "leave it with the athlete it belongs to and remove it from the other",
                    )
                )
    return tuple(found)


def _strangers(roster: RosterFolder) -> Iterator[Finding]:
    """Folders that hold an athlete's things without a profile, and files nobody reads."""
    for entry in sorted(roster.path.iterdir()):
        if entry.name.startswith(".") or entry.name in _OF_ROSTER or (entry / ATHLETE_FILE).is_file():
            continue
        if entry.is_dir() and any((entry / name).exists() for name in _OF_ATHLETE):
            yield _finding(
                entry.name,
                ATHLETE_FILE,
                f"the folder {entry.name} has no {ATHLETE_FILE}, so nobody gets a letter from it",
                'make one with at least name = "..."',
            )
        else:
            yield _unread("", entry)


@dataclass(kw_only=True)
class _AthleteCheck:
    """The checks of one athlete, gathering what they find."""

    roster: RosterFolder
    folder: AthleteFolder
    found: list[Finding] = field(default_factory=list)
    facts: dict[Path, Facts] = field(default_factory=dict)

    def run(self) -> None:
        athlete = self._profile()
        zone = (athlete.time_zone if athlete else None) or self.roster.settings.time_zone
        for path in self.folder.recordings():
            self._recording(path, zone)
        self._duplicates()
        self._diary()
        if athlete is not None:
            self._against_profile(athlete)
        self._lonely_decisions()
        self._notes()
        self.found += [_unread(self.slug, p) for p in _visible(self.folder.path) if p.name not in _OF_ATHLETE]

    @property
    def slug(self) -> str:
        return self.folder.slug

    def _problems(self, file: str, text: str, way_out: str) -> None:
        """One finding a line, without the file's name, which a finding says by itself."""
        for line in text.splitlines():
            sentence = line.removeprefix(f"{file} of {self.slug}").lstrip(":, ")
            self.found.append(_finding(self.slug, file, sentence, way_out))

    def _profile(self) -> Athlete | None:
        try:
            return self.folder.athlete()
        except CoachError as problem:
            self._problems(ATHLETE_FILE, str(problem), "correct it in a text editor and check again")
            return None

    def _recording(self, path: Path, zone: str | None) -> None:
        try:
            activity = self.roster.store.activity(path)
        except CoachError as problem:
            self._problems(path.name, str(problem), "export it again, or move it out of recordings")
            return
        decisions = None
        file = decisions_path(path).name
        try:
            decisions = self.folder.decisions(path, activity.sha256)
            if decisions is not None and decisions.part is not None:
                activity = self.roster.store.activity(path, part=decisions.part)
        except CoachError as problem:
            self._problems(file, str(problem), "correct it in a text editor, or decide again")
        facts = facts_of(path.stem, activity, decisions, time_zone=zone)
        self.facts[path] = facts
        if decisions is not None:
            self.found += check_decisions(self.slug, file, decisions, facts)

    def _duplicates(self) -> None:
        for (one, facts), (other, others) in combinations(self.facts.items(), 2):
            if may_be_one(facts, others):
                likeness = duplicate_of(self.roster.store.activity(one), self.roster.store.activity(other))
                if likeness is not None:
                    self.found.append(duplicate_finding(self.slug, facts, others, likeness))

    def _diary(self) -> None:
        try:
            read = self.folder.read_diary()
        except CoachError as problem:
            self._problems(DIARY_FILE, str(problem), "then check again")
            return
        self._problems(DIARY_FILE, "\n".join(read.problems), "correct it in a spreadsheet and check again")
        starts = [(f.recording, f.local_start) for f in self.facts.values()]
        has_diary = (self.folder.path / DIARY_FILE).is_file()
        self.found += check_diary(self.slug, match(read.rows, starts), has_diary=has_diary)

    def _against_profile(self, athlete: Athlete) -> None:
        facts = tuple(self.facts.values())
        latest_on = max((f.local_start.date() for f in facts), default=None)
        self.found += check_profile(athlete, facts)
        self.found += check_thresholds(
            athlete, latest_on=latest_on, stale_after_weeks=self.roster.settings.stale_after_weeks
        )
        self.found += check_references(athlete, latest_on=latest_on)
        self.found += check_tests(athlete, facts)
        self.found += check_machine(athlete, facts)

    def _lonely_decisions(self) -> None:
        recordings = self.folder.recordings()
        expected = {decisions_path(path) for path in recordings}
        for path in _visible(self.folder.recordings_dir):
            if path in recordings or path in expected:
                continue
            if path.name.endswith(DECISIONS_SUFFIX):
                fit = path.name.removesuffix(DECISIONS_SUFFIX) + ".fit"
                self.found.append(
                    _finding(
                        self.slug,
                        path.name,
                        f"the recording {fit} is not there",
                        "put it back, or remove this file",
                    )
                )
            else:
                self.found.append(_unread(self.slug, path))

    def _notes(self) -> None:
        for path in _visible(self.folder.notes_dir):
            try:
                first_day(path.stem if path.suffix == ".md" else path.name)
            except BadArgument as problem:
                self._problems(path.name, str(problem), 'rename it, such as "2026-W41.md"')
                continue
            try:
                self.folder.note(path.stem)
            except CoachError as problem:
                self._problems(path.name, str(problem), "save it as UTF-8 and check again")


def _visible(folder: Path) -> list[Path]:
    """What lies in a folder, leaving names that begin with a point aside."""
    return sorted(p for p in folder.iterdir() if not p.name.startswith(".")) if folder.is_dir() else []


def _finding(athlete: str, file: str, sentence: str, way_out: str, severity: Severity = "problem") -> Finding:
    return Finding(athlete=athlete, file=file, severity=severity, sentence=sentence, way_out=way_out)


def _unread(athlete: str, path: Path) -> Finding:
    return _finding(athlete, path.name, "nothing here reads it", "leave it, or move it elsewhere", "advice")
