"""Recordings of one kind with what was decided about them and what the athlete wrote: the raw stuff of field tests."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from coachlib.analysis.recording.believed import believed
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.recordings import Recordings
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions
from coachlib.records.diary import DiaryRow


@dataclass(frozen=True, kw_only=True)
class Decided:
    """A recording without what cannot be a fact, with its decisions and, where it is certain which, its diary row."""

    path: Path
    activity: Activity
    decisions: Decisions
    row: DiaryRow | None
    on: date
    judged: JudgedRecording


def decided_as(
    folder: RosterFolder,
    own: AthleteFolder,
    kind: str,
    problems: list[str],
    *,
    recordings: Recordings | None = None,
) -> Iterator[Decided]:
    """Recordings of one kind with their judgement; what cannot be read is told in ``problems``."""
    recordings = recordings or Recordings(folder=folder, own=own)
    for recording in recordings.open():
        if recording.decisions is not None and recording.decisions.kind == kind:
            yield Decided(
                path=recording.path, activity=believed(recording.activity, recording.decisions)[0],
                decisions=recording.decisions, row=recording.row, on=recording.on,
                judged=recordings.judged(recording),
            )  # fmt: skip
    problems += [f"{u.recording} is left out: {u.sentence}" for u in recordings.unreadable.values()]
