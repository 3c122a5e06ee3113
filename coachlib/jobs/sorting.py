"""A folder of new recordings for the whole roster, brought to athletes by the devices seen before."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from coachlib.files.roster.folder import RosterFolder
from coachlib.files.roster.forms import in_words
from coachlib.files.store.index import Index
from coachlib.jobs.adding import Added, add_recording, refuse_same_bytes
from coachlib.jobs.terminal import in_command
from coachlib.records.activity import Activity


@dataclass(frozen=True, kw_only=True)
class Left:
    """A file that was left, since nobody said whose it is."""

    sentence: str


class Sorter:
    """Brings recordings to athletes; what it learns from one file holds for the next.

    Parameters
    ----------
    roster : RosterFolder
        The roster; every readable recording in it tells whose its device is.
    ask : callable
        Asked whose a recording is, with what it is called, the activity and the athletes it may be; answers
        with an athlete's folder name, or None to leave it.
    index : Index
        What lies in the roster already.
    """

    def __init__(
        self,
        roster: RosterFolder,
        *,
        ask: Callable[[str, Activity, tuple[str, ...]], str | None],
        index: Index,
    ) -> None:
        self._roster = roster
        self._ask = ask
        self._index = index
        self._left: set[str] = set()
        self._owners: dict[str, set[str]] = {}
        for slug in roster.athletes():
            for entry in self._index.entries(roster.athlete(slug).recordings_dir):
                self._learn(entry.device, slug)

    def sort(self, source: Path, *, label: str, today: date, anyway: bool = False) -> Added | Left:
        """File one recording away, or leave it where nobody says whose it is.

        Parameters
        ----------
        source : Path
            The recording, unpacked.
        label : str
            What it is called where it comes from.
        today, anyway
            As for ``add_recording``.

        Raises
        ------
        FileProblem, RosterProblem
            As ``add_recording`` does.
        """
        refuse_same_bytes(self._roster, source, index=self._index)
        activity = self._roster.store.activity(source)
        owners = tuple(sorted(self._owners.get(activity.device, ())))
        slug = owners[0] if len(owners) == 1 else self._answer(label, activity, owners)
        if slug is None:
            return Left(sentence=self._whose(label, owners))
        added = add_recording(
            self._roster, self._roster.athlete(slug), source, anyway=anyway, index=self._index, today=today
        )
        self._learn(activity.device, slug)
        return added

    def _learn(self, device: str, slug: str) -> None:
        if device:
            self._owners.setdefault(device, set()).add(slug)

    def _answer(self, label: str, activity: Activity, owners: tuple[str, ...]) -> str | None:
        """Whose a recording is, as somebody says; about a device that nobody used yet only once."""
        if not owners and activity.device in self._left:
            return None
        answer = self._ask(label, activity, owners or self._roster.athletes())
        if answer is None and not owners:
            self._left.add(activity.device)
        return answer

    def _whose(self, label: str, owners: tuple[str, ...]) -> str:
        device = f"that {in_words(owners)} used" if owners else "not seen before"
        command = f"coachlib add {in_command(self._roster.path)} ATHLETE {in_command(label)}"
        return f"comes from a device {device}; say whose it is: {command}"
