"""What a session was in numbers: time moving, distance, climb, heart rate by the minute and by the beat."""

import numpy as np

from coachlib.analysis.recording.judged import OutputSummary
from coachlib.analysis.recording.output import OutputSeries
from coachlib.measures.common.sampling import LONGEST_STEP_S, time_weights, weighted_mean
from coachlib.measures.output import energy, treadmill
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions
from coachlib.records.sports import RUNNING_SPORTS

#: Below this an athlete outdoors stands still. [m/s]  Own choice: slower than the slowest walk uphill.
STANDING_MPS = 0.3
#: A heart rate counts as reached when it was held for so long: one odd record is no maximum. [s]  Own choice.
HELD_S = 10


def running_weights(activity: Activity) -> np.ndarray:
    """Seconds each sample stands for while the timer runs: none reaches into a pause. [s], shape (n,)."""
    time_s = activity.samples["time_s"].to_numpy()
    starts = np.sort(activity.pauses["start_s"].to_numpy())
    weights = time_weights(time_s)
    if starts.size:
        following = np.append(starts, np.inf)[np.searchsorted(starts, time_s, side="right")]
        weights = np.minimum(weights, following - time_s)
        paused = np.zeros(time_s.shape, dtype=bool)
        for start, stop in zip(starts, activity.pauses.sort_values("start_s")["stop_s"], strict=True):
            paused |= (time_s > start) & (time_s < stop)
        # a gap nobody explained starts at its last sample, which stands for no time beyond it
        weights = np.where(paused, 0.0, weights)
    return weights


def moving_weights(activity: Activity, running: np.ndarray) -> np.ndarray:
    """Timer seconds in which the athlete was not standing still (indoors: all of them)."""
    speed = activity.samples["speed_mps"].to_numpy()
    if activity.is_indoor or not np.isfinite(speed).any():
        return running
    return np.where(speed < STANDING_MPS, 0.0, running)


def distance_of(activity: Activity, decisions: Decisions | None) -> float | None:
    """Belt distance where speeds were typed in for the whole session, else what the device counted."""
    counted = activity.samples["distance_m"].to_numpy()
    counted = counted[np.isfinite(counted)]
    if counted.size and counted[-1] > 0:
        return float(counted[-1] - counted[0])
    staged = [s for s in (decisions.stages if decisions else ()) if s.speed_mps is not None]
    if staged:
        return sum((s.speed_mps or 0.0) * (s.stop_s - s.start_s) for s in staged)
    return None


def climb_of(activity: Activity, decisions: Decisions | None) -> tuple[float | None, str | None]:
    """Metres climbed and where that is known from."""
    staged = [
        s for s in (decisions.stages if decisions else ()) if s.speed_mps is not None and s.grade is not None
    ]
    if staged:
        climbed = sum(
            treadmill.climb((s.speed_mps or 0.0) * (s.stop_s - s.start_s), s.grade or 0.0) for s in staged
        )
        return climbed, "belt speed and grade"
    altitude = activity.samples["altitude_m"].to_numpy()
    if activity.is_indoor or np.isfinite(altitude).mean() < 0.5:
        return None, None
    return energy.climb_m(altitude[np.isfinite(altitude)]), "altitude"


def sustained_top(time_s: np.ndarray, hr_bpm: np.ndarray, weights_s: np.ndarray) -> float | None:
    """The highest heart rate held for ten seconds, so that one odd record is no maximum; no gap is bridged. [1/min]"""
    used = weights_s > 0
    time_s, hr_bpm = time_s[used], hr_bpm[used]
    if time_s.size < 2 or time_s[-1] - time_s[0] < HELD_S:
        return None
    seconds = np.arange(time_s[0], time_s[-1])
    last = np.searchsorted(time_s, seconds, side="right") - 1
    steps = np.diff(time_s, append=time_s[-1] + 1.0)
    stands_for_s = np.where(steps <= LONGEST_STEP_S, steps, 1.0)
    held = np.where(seconds - time_s[last] < stands_for_s[last], hr_bpm[last], 0.0)
    top = float(np.lib.stride_tricks.sliding_window_view(held, HELD_S).min(axis=1).max())
    return top or None


def seconds_at_each_bpm(hr_bpm: np.ndarray, weights_s: np.ndarray) -> tuple[float, ...]:
    """Seconds at each whole heart rate, index = beats per minute."""
    used = weights_s > 0
    beats = np.rint(hr_bpm[used]).astype(int)
    return tuple(np.bincount(beats, weights=weights_s[used], minlength=1).tolist())


def minute_means(time_s: np.ndarray, hr_bpm: np.ndarray, weights_s: np.ndarray) -> tuple[float | None, ...]:
    """Mean used heart rate of each elapsed minute; None where there is less than half a minute of it."""
    minute = (time_s // 60).astype(int)
    used = weights_s > 0
    size = int(minute[-1]) + 1 if minute.size else 0
    seconds = np.bincount(minute[used], weights=weights_s[used], minlength=size)
    beats = np.bincount(minute[used], weights=(weights_s * np.where(used, hr_bpm, 0.0))[used], minlength=size)
    return tuple(float(b / s) if s >= 30 else None for b, s in zip(beats, seconds, strict=True))


def output_summary(output: OutputSeries | None, moving_s: np.ndarray) -> OutputSummary | None:
    """The mean of the output while moving."""
    if output is None:
        return None
    mean = weighted_mean(output.values, moving_s)
    if not np.isfinite(mean):
        return None
    return OutputSummary(kind=output.kind, unit=output.unit, mean=mean, is_set=output.is_set)


def pace_beside_power(
    activity: Activity, output: OutputSeries | None, moving_s: np.ndarray
) -> OutputSummary | None:
    """The mean speed of a run whose output is power: a runner reads pace; None in other sports."""
    if output is None or output.unit != "W" or activity.sport not in RUNNING_SPORTS:
        return None
    speed = OutputSeries(
        kind="speed", unit="m/s", values=activity.samples["speed_mps"].to_numpy(), is_set=False
    )
    return output_summary(speed, moving_s)
