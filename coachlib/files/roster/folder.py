"""The roster folder: the one place that knows where everything lies and writes what a coach decided.

::

    <roster>/roster.toml
    <roster>/<athlete>/athlete.toml, diary.csv, notes/2026-W41.md, reports/
    <roster>/<athlete>/recordings/2026-10-03_treadmill.fit, 2026-10-03_treadmill.decisions.toml
    <roster>/.coachlib/                derived, may be deleted
"""

import os
import unicodedata
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from coachlib.analysis.roster.reasons.registry import misnamed
from coachlib.errors import CoachError, RosterProblem
from coachlib.files.roster.athlete_folder import ATHLETE_FILE, AthleteFolder
from coachlib.files.roster.forms import in_words
from coachlib.files.roster.loading import contents, loaded
from coachlib.files.roster.places import (
    DERIVED_FOLDER,
    SETTINGS_FILE,
    is_inside,
    listed,
    named_roster,
)
from coachlib.files.store.index import Index
from coachlib.files.store.store import Store
from coachlib.records.roster import RosterSettings


def open_roster(path: str | os.PathLike[str] | None = None) -> "RosterFolder":
    """Open a roster's folder.

    Parameters
    ----------
    path : path, optional
        The folder that holds ``roster.toml``; else the environment variable ``COACHLIB_ROSTER`` names it.

    Raises
    ------
    RosterProblem
        When no folder is named, or it is no roster, or its settings cannot be read.

    Examples
    --------
    >>> open_roster("no_such_folder")
    Traceback (most recent call last):
    ...
    coachlib.errors.RosterProblem: there is no folder no_such_folder; a roster is a folder with roster.toml in it
    """
    folder = named_roster(path)
    settings = loaded(
        RosterSettings, contents(folder / SETTINGS_FILE, SETTINGS_FILE, folder=folder), SETTINGS_FILE
    )
    if wrong := misnamed(settings.call_sheet):
        raise RosterProblem("\n".join(f"{SETTINGS_FILE}: {problem}" for problem in wrong))
    return RosterFolder(path=folder, settings=settings)


@dataclass(frozen=True, kw_only=True)
class RosterFolder:
    """A roster on disk.

    Who is on it is read once, as are each athlete's recordings and diary; ``fresh`` looks again.
    """

    path: Path
    settings: RosterSettings

    @cached_property
    def store(self) -> Store:
        """The derived store of decoded recordings."""
        return Store(self.path / DERIVED_FOLDER)

    @cached_property
    def index(self) -> Index:
        """What lies in the athletes' recordings, without opening them."""
        return Index.of(self.path / DERIVED_FOLDER)

    @property
    def reports_dir(self) -> Path:
        """Where pages about the whole roster go."""
        return self.path / "reports"

    def fresh(self) -> "RosterFolder":
        """The same roster with the same settings and store, that has read nothing yet."""
        again = replace(self)
        vars(again)["store"] = self.store
        return again

    def athletes(self) -> tuple[str, ...]:
        """The athletes' folder names, in order."""
        return tuple(self._athletes)

    def folders(self) -> tuple[Path, ...]:
        """Every folder that could be an athlete's; names that begin with a point and links are left aside."""
        entries = (entry for entry in listed(self.path) if not entry.name.startswith("."))
        return tuple(entry for entry in entries if entry.is_dir() and is_inside(entry, entry))

    @cached_property
    def _athletes(self) -> dict[str, AthleteFolder]:
        return {
            folder.name: AthleteFolder(slug=folder.name, path=folder, day_first=self.settings.day_first)
            for folder in self.folders()
            if os.path.lexists(folder / ATHLETE_FILE) or not os.access(folder, os.X_OK)
        }

    def athlete(self, named: str) -> AthleteFolder:
        """One athlete's folder, by its name or by the person's.

        Raises
        ------
        RosterProblem
            When nobody, or more than one, is called so.
        """
        slugs = self.athletes()
        meant = _plain(named)
        found = [slug for slug in slugs if slug == named]
        found = found or [slug for slug in slugs if meant in (_plain(slug), self._name_of(slug))]
        if not found:
            known = in_words(slugs) if slugs else "nobody yet"
            raise RosterProblem(f'no athlete is called "{named}"; the roster has {known}')
        if len(found) > 1:
            raise RosterProblem(f'"{named}" may be {in_words(found, "or")}; give the folder\'s name')
        return self._athletes[found[0]]

    def _name_of(self, slug: str) -> str | None:
        try:
            return _plain(self._athletes[slug].athlete().name)
        except CoachError:
            return None


def _plain(name: str) -> str:
    """A name whose letters are composed alike, since keyboards and disks of some systems take accents apart."""
    return unicodedata.normalize("NFC", name).casefold()
