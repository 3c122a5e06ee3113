"""Recordings of one kind with what was decided about them and what the athlete wrote: the raw stuff of field tests."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from coachlib.analysis.recording.diary import match
from coachlib.errors import CoachError
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.files.store.store import sha256_of
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions
from coachlib.records.diary import DiaryRow


@dataclass(frozen=True, kw_only=True)
class Decided:
    """A recording with its decisions and, where it is certain which, its diary row."""

    path: Path
    activity: Activity
    decisions: Decisions
    row: DiaryRow | None
    on: date


def decided_as(folder: RosterFolder, own: AthleteFolder, kind: str, problems: list[str]) -> Iterator[Decided]:
    """Recordings of one kind with their diary rows; what cannot be read is told in ``problems``."""
    zone = own.athlete().time_zone or folder.settings.time_zone
    rows = own.read_diary().rows
    for path in own.recordings():
        try:
            decisions = own.decisions(path, sha256_of(path))
            if decisions is None or decisions.kind != kind:
                continue
            activity = folder.store.activity(path, part=decisions.part)
        except CoachError as problem:
            problems.append(f"{path.stem} is left out: {problem}")
            continue
        day = activity.started_on(zone)
        starts = [(path.stem, activity.local_start(zone))]
        starts += _others_of_day(folder, own, path, zone)
        yield Decided(
            path=path,
            activity=activity,
            decisions=decisions,
            row=match(rows, starts).rows.get(path.stem),
            on=day,
        )


def _others_of_day(folder: RosterFolder, own: AthleteFolder, path: Path, zone: str | None) -> list:
    """The other recordings of that day, which may claim the diary's rows."""
    found = []
    for other in own.recordings():
        if other != path and other.name[:10] == path.name[:10]:
            try:
                found.append((other.stem, folder.store.activity(other).local_start(zone)))
            except CoachError:
                continue
    return found
