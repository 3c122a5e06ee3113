"""Recordings of one kind with what was decided about them and what the athlete wrote: the raw stuff of field tests."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np

from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.recordings import Recordings
from coachlib.measures.common.sampling import time_weights, weighted_mean
from coachlib.measures.common.spans import Stretch, inside
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions
from coachlib.records.diary import DiaryRow

#: Heart rate of a stage is read from its last part. [s]  Own choice: it has settled by then.
SETTLED_S = 60.0


@dataclass(frozen=True, kw_only=True)
class Decided:
    """A recording with its decisions and, where it is certain which, its diary row."""

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
                path=recording.path, activity=recording.activity, decisions=recording.decisions,
                row=recording.row, on=recording.on, judged=recordings.judged(recording),
            )  # fmt: skip
    problems += [f"{u.recording} is left out: {u.sentence}" for u in recordings.unreadable.values()]


def heart_rate_of(decided: Decided) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Time, heart rate, and which of it counts."""
    samples = decided.activity.samples
    time_s = samples["time_s"].to_numpy()
    excluded = [e for e in decided.decisions.exclusions if e.quantity == "hr_bpm"]
    return time_s, samples["hr_bpm"].to_numpy(), ~inside(time_s, excluded)


def settled_heart_rate(decided: Decided, stage: Stretch) -> float:
    """Mean heart rate of the last minute of a stage; NaN where there is none."""
    time_s, hr_bpm, used = heart_rate_of(decided)
    late = used & (time_s >= max(stage.start_s, stage.stop_s - SETTLED_S)) & (time_s < stage.stop_s)
    return weighted_mean(hr_bpm, np.where(late & np.isfinite(hr_bpm), time_weights(time_s), 0.0))
