"""A folder of new recordings for the whole roster, brought to athletes by the devices seen before."""

import shlex
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from coachlib.errors import CoachError, RosterProblem
from coachlib.files.roster.folder import RosterFolder
from coachlib.files.roster.forms import in_words
from coachlib.files.store.index import Index
from coachlib.jobs.adding import Added, add_recording, refuse_same_bytes
from coachlib.records.activity import Activity


@dataclass(frozen=True, kw_only=True)
class Sorted:
    """What became of one file: filed away with an athlete, or left, and why."""

    source: Path
    athlete: str | None
    added: Added | None
    sentence: str


def fit_files(folder: Path) -> tuple[Path, ...]:
    """The FIT files in a folder and the folders within it, by name.

    Raises
    ------
    RosterProblem
        When there is no such folder, or no FIT file in it.
    """
    if not folder.is_dir():
        raise RosterProblem(f"there is no folder {folder} to take recordings from")
    found = tuple(sorted(p for p in folder.rglob("*") if p.suffix.lower() == ".fit" and p.is_file()))
    if not found:
        raise RosterProblem(f"{folder} holds no FIT files; name the folder they were copied to")
    return found


class Sorter:
    """Brings recordings to athletes; what it learns from one file holds for the next.

    Parameters
    ----------
    roster : RosterFolder
        The roster; every readable recording in it tells whose its device is.
    ask : callable
        Asked whose a recording is, with the activity, its file and the athletes it may be; answers with
        an athlete's folder name, or None to leave the file.
    """

    def __init__(
        self,
        roster: RosterFolder,
        *,
        ask: Callable[[Path, Activity, tuple[str, ...]], str | None],
    ) -> None:
        self._roster = roster
        self._ask = ask
        self._index = Index.of(roster.store.folder)
        self._owners: dict[str, set[str]] = {}
        for slug in roster.athletes():
            for entry in self._index.entries(roster.athlete(slug).recordings_dir):
                self._learn(entry.device, slug)

    def sort(self, source: Path, *, anyway: bool = False) -> Sorted:
        """File one recording away, or say why not."""
        try:
            refuse_same_bytes(self._roster, source, index=self._index)
            activity = self._roster.store.activity(source)
            slug, why = self._owner(source, activity)
            if slug is None:
                return Sorted(source=source, athlete=None, added=None, sentence=why)
            added = add_recording(
                self._roster, self._roster.athlete(slug), source, anyway=anyway, index=self._index
            )
        except CoachError as problem:
            return Sorted(source=source, athlete=None, added=None, sentence=str(problem))
        self._learn(activity.device, slug)
        return Sorted(source=source, athlete=slug, added=added, sentence=why)

    def _learn(self, device: str, slug: str) -> None:
        if device:
            self._owners.setdefault(device, set()).add(slug)

    def _owner(self, source: Path, activity: Activity) -> tuple[str | None, str]:
        """Whose a recording is, and how that is known."""
        owners = tuple(sorted(self._owners.get(activity.device, ())))
        if len(owners) == 1:
            return owners[0], "by its device"
        answer = self._ask(source, activity, owners or self._roster.athletes())
        if answer is not None:
            return answer, "as you said"
        device = f"that {in_words(owners)} used" if owners else "not seen before"
        command = f"coachlib add {shlex.quote(str(self._roster.path))} ATHLETE {shlex.quote(str(source))}"
        return None, f"{source.name} comes from a device {device}; say whose it is: {command}"
