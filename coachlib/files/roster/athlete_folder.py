"""One athlete's folder: profile, diary, recordings, decisions, notes; and what a coach decided, written."""

import hashlib
import os
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Self

from coachlib.errors import DecisionProblem, RosterProblem
from coachlib.files.atomic import locked, write_bytes
from coachlib.files.formats import is_recording
from coachlib.files.roster.decisionstext import decisions_bytes, decisions_of
from coachlib.files.roster.diarytext import ReadDiary, read_diary
from coachlib.files.roster.forms import in_words
from coachlib.files.roster.loading import LARGEST_DIARY, contents, loaded
from coachlib.files.roster.places import DECISIONS_SUFFIX, DERIVED_FOLDER, is_inside, listed
from coachlib.files.roster.rewriting import rewritten
from coachlib.files.roster.tomltext import decoded
from coachlib.files.store.store import sha256_of
from coachlib.records.athlete import Athlete, Event, Reference, Settled, Threshold, Which, ZoneScale
from coachlib.records.base import Record
from coachlib.records.decisions import Decisions, FileDecisions
from coachlib.records.machine import Machine, Treadmill
from coachlib.records.note import Note, read_note

ATHLETE_FILE = "athlete.toml"
DIARY_FILE = "diary.csv"


@dataclass(frozen=True, kw_only=True)
class AthleteFolder:
    """One athlete's part of a roster on disk.

    Which recordings there are and what the diary says is read once; ``fresh`` looks again.  Profile, notes and
    decisions are read anew each time.  Nothing outside ``path`` is read, whatever links lead there.
    """

    slug: str
    path: Path
    day_first: bool | None = None

    def fresh(self) -> Self:
        """The same folder, that has read nothing yet."""
        return replace(self)

    @property
    def recordings_dir(self) -> Path:
        """Where the FIT files and the decisions about them lie."""
        return self.path / "recordings"

    @property
    def notes_dir(self) -> Path:
        """Where the coach's notes lie, one a week."""
        return self.path / "notes"

    @property
    def reports_dir(self) -> Path:
        """Where the athlete's letters go."""
        return self.path / "reports"

    def athlete(self) -> Athlete:
        """The profile.

        Raises
        ------
        RosterProblem
            With every problem of ``athlete.toml``, a line each.
        """
        return self._athlete_of(self._profile())

    def read_diary(self) -> ReadDiary:
        """The diary's rows and its problems; empty where there is no diary."""
        return self._diary

    def recordings(self) -> tuple[Path, ...]:
        """The FIT files, by name."""
        return self._recordings

    @cached_property
    def _diary(self) -> ReadDiary:
        path = self.path / DIARY_FILE
        if not os.path.lexists(path):
            return ReadDiary(rows=(), problems=())
        data = contents(path, self._called(path), folder=self.path, largest=LARGEST_DIARY)
        return read_diary(data, self._called(path), day_first=self.day_first)

    @cached_property
    def _recordings(self) -> tuple[Path, ...]:
        found = [path for path in listed(self.recordings_dir) if is_recording(path.name)]
        is_own = is_inside(self.recordings_dir, self.path)  # then only a link can lead elsewhere
        return tuple(
            path
            for path in found
            if path.is_file() and (is_inside(path, self.path) if path.is_symlink() else is_own)
        )

    def note(self, week: str) -> Note:
        """The coach's note for a week such as "2026-W41"; one without words where there is none.

        Raises
        ------
        RosterProblem
            When it cannot be read, or its private words never end.
        """
        path = self.notes_dir / f"{week}.md"
        if not path.is_file():
            return Note()
        where = self._called(path)
        return read_note(decoded(self._read(path), where), where)

    def decisions(self, fit_path: Path, sha256: str) -> Decisions | None:
        """What was decided about a recording, of several sessions the first; None where nothing was.

        Raises
        ------
        DecisionProblem
            As ``decisions_of_parts``.
        """
        return next(iter(self.decisions_of_parts(fit_path, sha256).parts), None)

    def decisions_of_parts(self, fit_path: Path, sha256: str) -> FileDecisions:
        """What was decided about each session of a recording; without ``parts`` where nothing was.

        Raises
        ------
        DecisionProblem
            When the decisions were made for other bytes, in another form, were cut short, or cannot be read.
        """
        path = decisions_path(fit_path)
        if not path.is_file():
            return FileDecisions(fit_sha256=sha256)
        decided = decisions_of(self._read(path), self._called(path))
        if decided.fit_sha256 != sha256:
            raise DecisionProblem(
                f"{self._called(path)} was made for a recording with checksum {decided.fit_sha256[:12]}..., "
                f"but {fit_path.name} has {sha256[:12]}...; put the former file back, or rename the "
                "decisions and decide again"
            )
        return decided

    def decisions_seen(self, fit_path: Path) -> str | None:
        """Checksum of the decisions file, to be asked for before ``decisions``; None: no file."""
        path = decisions_path(fit_path)
        return _checksum(self._read(path)) if path.is_file() else None

    def save_decisions(
        self, fit_path: Path, decisions: Decisions, *, based_on: str | None, main_part: int | None = None
    ) -> str:
        """Write what was decided about a session, unless somebody else did so in the meantime.

        Decisions about the file's other sessions stay.

        Parameters
        ----------
        fit_path : Path
            The recording.
        decisions : Decisions
            All that is decided about one session; comments in the file and keys that stay are kept as they are.
        based_on : str or None
            ``decisions_seen`` at the time the decisions were read.
        main_part : int, optional
            The session of which decisions without number speak: what ``store.activity(fit_path).part`` says.

        Returns
        -------
        str
            The checksum to base the next save on.

        Raises
        ------
        DecisionProblem
            When the file changed since, or the decisions belong to other bytes than the recording's.
        """
        path = decisions_path(fit_path)
        found = sha256_of(fit_path)
        if decisions.fit_sha256 != found:
            raise DecisionProblem(
                f"these decisions belong to a recording with checksum {decisions.fit_sha256[:12]}..., "
                f"but {fit_path.name} has {found[:12]}...; open the recording again and decide again"
            )
        where = self._called(path)
        with self.held(path):
            data = self._read(path) if os.path.lexists(path) else None
            if (_checksum(data) if data is not None else None) != based_on:
                raise DecisionProblem(
                    f"somebody saved {where} since you opened it; nothing was written. "
                    "Open the recording again and repeat what you decided"
                )
            old = decisions_of(data, where) if data is not None else None
            if old is None or old.fit_sha256 != found:
                old = FileDecisions(fit_sha256=found)
            try:
                new = old.with_part(decisions, main=main_part)
            except ValueError as problem:
                raise DecisionProblem(f"{where}: {problem}") from None
            written = decisions_bytes(data, where, new)
            if written != data:
                write_bytes(path, written)
            return _checksum(written)

    def accept_threshold(self, threshold: Threshold) -> None:
        """Add an accepted threshold to ``athlete.toml``; all else in the file stays as it is.

        Raises
        ------
        RosterProblem
            When another threshold of the same kind was accepted for the same day.
        """
        with self.held(self.path / ATHLETE_FILE):
            profile = self._profile()
            athlete = self._athlete_of(profile)
            for other in athlete.thresholds:
                if other == threshold:
                    return
                same = (other.which, other.sport, other.on) == (
                    threshold.which,
                    threshold.sport,
                    threshold.on,
                )
                if same and not other.withdrawn:
                    raise RosterProblem(
                        f"{self.slug} already has a {other.which} threshold of {other.hr_bpm:g} bpm accepted "
                        f"on {other.on}; withdraw it first, or accept the new one on another day"
                    )
            self._save(profile, athlete, thresholds=(*athlete.thresholds, threshold))

    def withdraw_threshold(self, which: Which, on: date, *, sport: str | None = None) -> None:
        """Mark the threshold accepted on a day as withdrawn; it stays in the file for the record.

        ``sport`` "" means the one that holds for every sport; None the only one of the day.

        Raises
        ------
        RosterProblem
            When no such threshold stands, or on that day several for different sports and none is named.
        """
        with self.held(self.path / ATHLETE_FILE):
            profile = self._profile()
            athlete = self._athlete_of(profile)
            standing = [t for t in athlete.thresholds if t.which == which and not t.withdrawn]
            meant = [t for t in standing if t.on == on and (sport is None or t.sport == (sport or None))]
            if not meant:
                days = in_words(str(t.on) for t in standing) if standing else "none"
                raise RosterProblem(
                    f"{self.slug} has no {which} threshold accepted on {on} to withdraw; standing: {days}"
                )
            if len(meant) > 1:
                sports = in_words(t.sport or "every sport" for t in meant)
                raise RosterProblem(
                    f"{self.slug} has {len(meant)} {which} thresholds accepted on {on}, for {sports}; say which"
                )
            changed = tuple(
                t.model_copy(update={"withdrawn": True}) if t is meant[0] else t for t in athlete.thresholds
            )
            self._save(profile, athlete, thresholds=changed)

    def keep_machine(self, machine: Machine) -> None:
        """Note in ``athlete.toml`` what the athlete's machine can be set to; all else stays as it is."""
        kind = "treadmill" if isinstance(machine, Treadmill) else "ergometer"
        with self.held(self.path / ATHLETE_FILE):
            profile = self._profile()
            self._save(profile, self._athlete_of(profile), **{kind: machine})

    def choose_zones(self, scale: ZoneScale) -> None:
        """Note in ``athlete.toml`` by which scale the athlete's zones are made; all else stays as it is."""
        with self.held(self.path / ATHLETE_FILE):
            profile = self._profile()
            self._save(profile, self._athlete_of(profile), zones=scale)

    def keep_reference(self, reference: Reference) -> None:
        """Add what later weeks are compared with to ``athlete.toml``, once; all else stays as it is."""
        self._add("references", reference)

    def settle(self, settled: Settled) -> None:
        """Note in ``athlete.toml`` that the coach has settled a remark, once; all else stays as it is."""
        self._add("settled", settled)

    def keep_event(self, event: Event) -> None:
        """Note in ``athlete.toml`` a day that matters, once; all else stays as it is."""
        self._add("events", event)

    def _add(self, field: str, entry: Record) -> None:
        with self.held(self.path / ATHLETE_FILE):
            profile = self._profile()
            athlete = self._athlete_of(profile)
            kept = getattr(athlete, field)
            if entry not in kept:
                self._save(profile, athlete, **{field: (*kept, entry)})

    def held(self, path: Path) -> AbstractContextManager[None]:
        """Hold a file of this athlete against other writers, also those on other computers."""
        return locked(path, folder=self.path.parent / DERIVED_FOLDER / "locks")

    def _called(self, path: Path) -> str:
        return f"{path.name} of {self.slug}"

    def _profile(self) -> bytes:
        path = self.path / ATHLETE_FILE
        if os.access(self.path, os.X_OK) and not os.path.lexists(path):
            raise RosterProblem(
                f'{self.slug} has no {ATHLETE_FILE}; make one with at least the line name = "..."'
            )
        return self._read(path)

    def _athlete_of(self, data: bytes) -> Athlete:
        return _athlete_in(data, self.slug)

    def _read(self, path: Path) -> bytes:
        return contents(path, self._called(path), folder=self.path)

    def _save(self, profile: bytes, athlete: Athlete, **changes: object) -> None:
        path = self.path / ATHLETE_FILE
        changed = athlete.model_copy(update=changes)
        if changed != athlete:
            write_bytes(path, rewritten(decoded(profile, self._called(path)), athlete, changed).encode())


@lru_cache(maxsize=4096)
def _athlete_in(profile: bytes, slug: str) -> Athlete:
    """What the bytes of a profile say: every letter looks out for the names in everybody's."""
    return loaded(Athlete, profile, f"{ATHLETE_FILE} of {slug}", given={"slug": slug})


def decisions_path(fit_path: Path) -> Path:
    """Where the decisions about a recording lie."""
    return fit_path.with_name(fit_path.stem + DECISIONS_SUFFIX)


def _checksum(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
