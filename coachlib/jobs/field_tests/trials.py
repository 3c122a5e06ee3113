"""Time trials and all-out trials, from the windows the coach marked."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from coachlib.analysis.recording.output import output_of
from coachlib.errors import CoachError
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.field_tests.decided import decided_as, heart_rate_of
from coachlib.measures.common.sampling import time_weights, weighted_mean
from coachlib.measures.common.spans import Stretch, inside
from coachlib.measures.second_threshold.time_trial import TimeTrial, time_trial
from coachlib.records.activity import Activity


@dataclass(frozen=True, kw_only=True)
class ReadTrial:
    """A 30-minute trial with its day; ``unit`` is "m/s" or "W" of its output, "" where none is known."""

    on: date
    source: str
    sha256: str
    unit: str
    grade_told: bool
    result: TimeTrial


@dataclass(frozen=True, kw_only=True)
class Trial:
    """One all-out trial: its length [s] and the distance [m] or work [J] done in it (``unit`` "m" or "J")."""

    on: date | None
    source: str
    sha256: str
    time_s: float
    work: float
    unit: str


def read_time_trials(
    folder: RosterFolder, own: AthleteFolder
) -> tuple[tuple[ReadTrial, ...], tuple[str, ...]]:
    """Every 30-minute trial the coach marked, and in sentences what could not be read."""
    problems: list[str] = []
    found = []
    for decided in decided_as(folder, own, "time trial", problems):
        windows = [w for w in decided.decisions.windows if w.purpose == "trial"]
        if not windows:
            problems.append(
                f"{decided.path.stem} has no window marked as a trial. Mark it in recording.ipynb."
            )
            continue
        output = output_of(decided.activity, decided.decisions)
        time_s, hr_bpm, used = heart_rate_of(decided)
        try:
            result = time_trial(
                time_s,
                hr_bpm,
                np.full(time_s.shape, np.nan) if output is None else output.values,
                used,
                start_s=windows[0].start_s,
                stop_s=windows[0].stop_s,
                is_power=output is not None and output.unit == "W",
            )
        except CoachError as problem:
            problems.append(f"{decided.path.stem} is left out: {problem}")
            continue
        found.append(
            ReadTrial(
                on=decided.on,
                source=decided.path.stem,
                sha256=decided.activity.sha256,
                unit="" if output is None else output.unit,
                grade_told=output is not None and output.kind == "flat-equivalent speed",
                result=result,
            )
        )
    return tuple(found), tuple(problems)


def read_critical_trials(
    folder: RosterFolder, own: AthleteFolder
) -> tuple[tuple[Trial, ...], tuple[str, ...]]:
    """Every window marked as a trial in recordings of critical trials."""
    problems: list[str] = []
    found = []
    for decided in decided_as(folder, own, "critical trial", problems):
        output = output_of(decided.activity, decided.decisions)
        if output is None:
            problems.append(f"{decided.path.stem} has neither power nor speed.")
            continue
        weights = time_weights(decided.activity.samples["time_s"].to_numpy())
        for window in (w for w in decided.decisions.windows if w.purpose == "trial"):
            mean = _mean_in(decided.activity, output.values, weights, window)
            if np.isfinite(mean):
                length_s = window.stop_s - window.start_s
                found.append(
                    Trial(
                        on=decided.on,
                        source=decided.path.stem,
                        sha256=decided.activity.sha256,
                        time_s=length_s,
                        work=mean * length_s,
                        unit="J" if output.unit == "W" else "m",
                    )
                )
    return tuple(found), tuple(problems)


def _mean_in(activity: Activity, values: np.ndarray, weights: np.ndarray, window: Stretch) -> float:
    time_s = activity.samples["time_s"].to_numpy()
    counts = inside(time_s, [window]) & np.isfinite(values)
    return weighted_mean(values, np.where(counts, weights, 0.0))
