"""Signals that no body and no ground makes: told, and left out of everything until somebody says otherwise."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from coachlib.measures.common.codes import Code, code
from coachlib.measures.common.sampling import time_weights
from coachlib.measures.common.spans import Span

#: A heart rate that stays exactly the same for so long is no measurement.  Own choice: steady runs keep the same
#: whole number for a minute or two.  [s]
STUCK_HR_S = 600.0
#: So is a speed that its distance gives the lie, or that nothing confirms for so long.  Own choice.  [s]
STUCK_SPEED_S, UNCONFIRMED_SPEED_S = 600.0, 3600.0
#: How far a stuck speed may lie from what the distance says.  Own choice.
SPEED_AGREES_FRAC, SPEED_AGREES_MPS = 0.2, 0.3
#: Faster than any recovery and return, so often, is no heart.  Own choice: rest to maximum spans about as much,
#: but takes minutes each way and happens once.  [bpm]
SWEEP_BPM, LEAST_SWEEPS = 140.0, 4
#: The best climb 1,000 m in about 29 min, 0.58 m/s (common practice, no source); more over ten minutes is a lift
#: or a damaged track.  [m/s], [s]
FASTEST_CLIMB_MPS, CLIMB_WINDOW_S = 0.65, 600.0
#: Steep and fast together over a whole recording: own choice, above what long mountain races show.
STEEP_GRADE, STEEP_CLIMB_MPS, LEAST_CLIMB_M = 0.35, 0.4, 200.0
#: Smaller ups and downs of an altitude are its noise.  Own choice.  [m]
ALTITUDE_NOISE_M = 3.0
#: What counts as motion.  Own choice.
MOVING_SPEED_MPS, MOVING_CADENCE_RPM, MOVING_POWER_W = 0.5, 20.0, 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class OddSignal:
    """A stretch of one quantity that cannot be a fact, and why."""

    quantity: str
    code: Code
    span: Span


def odd_signals(
    time_s: np.ndarray,
    *,
    hr_bpm: np.ndarray,
    speed_mps: np.ndarray,
    cadence_rpm: np.ndarray,
    power_w: np.ndarray,
    altitude_m: np.ndarray,
    distance_m: np.ndarray,
    is_indoor: bool,
) -> tuple[OddSignal, ...]:
    """Stretches of a recording that cannot be facts; nothing is removed.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        Elapsed time, increasing. [s]
    hr_bpm, speed_mps, cadence_rpm, power_w, altitude_m, distance_m : ndarray, shape (n,)
        The columns of a recording; NaN where there is no value.
    is_indoor : bool
        Whether it was recorded on a machine, which can hold a speed exactly.

    Returns
    -------
    tuple of OddSignal
        By quantity and time: heart rate that stands still in motion or sweeps up and down, speed that stands still
        while the distance says otherwise, an altitude that climbs impossibly.

    Source
    ------
    This project's own choice of limits, beside each number.

    Examples
    --------
    >>> t = np.arange(1200.0)
    >>> none = np.full(t.size, np.nan)
    >>> odd = odd_signals(t, hr_bpm=np.full(t.size, 128.0), speed_mps=none, cadence_rpm=none + 0, power_w=none,
    ...     altitude_m=none, distance_m=3 * t, is_indoor=False)
    >>> [(o.quantity, o.code.name, o.span.length_s) for o in odd]
    [('hr_bpm', 'heart rate stuck', 1200.0)]
    """
    if time_s.size < 2:
        return ()
    weights = time_weights(time_s)
    by_distance = np.full(time_s.shape, np.nan)
    by_distance[:-1] = np.diff(distance_m) / np.diff(time_s)
    signs = (
        np.fmax(speed_mps, by_distance) > MOVING_SPEED_MPS,
        cadence_rpm > MOVING_CADENCE_RPM,
        power_w > MOVING_POWER_W,
    )
    is_known = any(np.isfinite(column).any() for column in (speed_mps, distance_m, cadence_rpm, power_w))
    is_moving = np.logical_or.reduce(signs) if is_known else np.ones(time_s.shape, dtype=bool)
    return (
        *_stuck_hr(time_s, weights, hr_bpm, is_moving),
        *_sweeps(time_s, hr_bpm),
        *_stuck_speed(time_s, weights, speed_mps, distance_m, signs[1] | signs[2], is_indoor=is_indoor),
        *_impossible_climb(time_s, altitude_m, distance_m),
    )


def _runs(values: np.ndarray) -> list[tuple[int, int]]:
    """First and last place of every stretch of one and the same value."""
    edges = np.flatnonzero(np.diff(values, prepend=np.nan, append=np.nan) != 0)
    return [(int(a), int(b) - 1) for a, b in pairwise(edges) if np.isfinite(values[a])]


def _span(time_s: np.ndarray, first: int, last: int) -> Span:
    """From one sample to the end of another."""
    step = float(np.median(np.diff(time_s)))
    return Span(start_s=float(time_s[first]), stop_s=float(time_s[last]) + step)


def _stuck_hr(
    time_s: np.ndarray, weights: np.ndarray, hr_bpm: np.ndarray, is_moving: np.ndarray
) -> list[OddSignal]:
    found = []
    for first, last in _runs(hr_bpm):
        lasts = weights[first : last + 1]
        if lasts.sum() >= STUCK_HR_S and (lasts * is_moving[first : last + 1]).sum() >= STUCK_HR_S / 2:
            said = code("heart rate stuck", hr_bpm=float(hr_bpm[first]), minutes=float(lasts.sum() / 60))
            found.append(OddSignal(quantity="hr_bpm", code=said, span=_span(time_s, first, last)))
    return found


def _turns(values: np.ndarray, least: float) -> list[int]:
    """Places where a series turns by ``least`` or more, and its ends; none where it never moves by so much."""
    known = np.flatnonzero(np.isfinite(values))
    if not known.size:
        return []
    turns: list[int] = []
    low = high = extreme = int(known[0])
    direction = 0
    for place, value in zip(known.tolist(), values[known].tolist(), strict=True):
        if direction == 0:
            low = place if value < values[low] else low
            high = place if value > values[high] else high
            if values[high] - values[low] >= least:
                direction = 1 if high == place else -1
                turns, extreme = [low if direction > 0 else high], place
        elif (value - values[extreme]) * direction > 0:
            extreme = place
        elif (values[extreme] - value) * direction >= least:
            turns.append(extreme)
            direction, extreme = -direction, place
    return [*turns, extreme] if direction else []


def _sweeps(time_s: np.ndarray, hr_bpm: np.ndarray) -> list[OddSignal]:
    if not np.isfinite(hr_bpm).any() or np.nanmax(hr_bpm) - np.nanmin(hr_bpm) < SWEEP_BPM:
        return []
    turns = _turns(hr_bpm, SWEEP_BPM)
    if len(turns) - 1 < LEAST_SWEEPS:
        return []
    said = code(
        "heart rate sweeps",
        low_bpm=float(hr_bpm[turns].min()),
        high_bpm=float(hr_bpm[turns].max()),
        n_sweeps=len(turns) - 1,
    )
    return [OddSignal(quantity="hr_bpm", code=said, span=_span(time_s, turns[0], turns[-1]))]


def _stuck_speed(
    time_s: np.ndarray,
    weights: np.ndarray,
    speed_mps: np.ndarray,
    distance_m: np.ndarray,
    is_turning: np.ndarray,
    *,
    is_indoor: bool,
) -> list[OddSignal]:
    found = []
    for first, last in _runs(speed_mps):
        lasts_s = float(weights[first : last + 1].sum())
        if lasts_s < STUCK_SPEED_S:
            continue
        speed = float(speed_mps[first])
        known = first + np.flatnonzero(np.isfinite(distance_m[first : last + 1]))
        moved_mps = None
        if known.size > 1:
            moved_mps = (distance_m[known[-1]] - distance_m[known[0]]) / (
                time_s[known[-1]] - time_s[known[0]]
            )
        is_contradicted = moved_mps is not None and abs(moved_mps - speed) > max(
            SPEED_AGREES_MPS, SPEED_AGREES_FRAC * speed
        )
        turns_s = float(weights[first : last + 1][is_turning[first : last + 1]].sum())
        is_idle = speed == 0.0 and turns_s >= UNCONFIRMED_SPEED_S
        is_too_even = speed > 0.0 and not is_indoor
        if is_contradicted or is_idle or is_too_even:
            said = code("speed stuck", speed_mps=speed, minutes=lasts_s / 60)
            found.append(OddSignal(quantity="speed_mps", code=said, span=_span(time_s, first, last)))
    return found


def _impossible_climb(time_s: np.ndarray, altitude_m: np.ndarray, distance_m: np.ndarray) -> list[OddSignal]:
    """Climbs add up between turns of more than the noise."""
    turns = _turns(altitude_m, ALTITUDE_NOISE_M)
    climbed = np.zeros(time_s.shape)
    total_m = 0.0
    for start, stop in pairwise(turns):
        rise = np.fmax.accumulate(altitude_m[start : stop + 1]) - altitude_m[start]
        climbed[start : stop + 1] = total_m + (rise if rise[-1] > 0 else 0.0)
        total_m = float(climbed[stop])
    climbed[turns[-1] if turns else 0 :] = total_m
    if total_m < LEAST_CLIMB_M:
        return []
    window = np.interp(time_s + CLIMB_WINDOW_S, time_s, climbed) - climbed
    covered = distance_m[np.isfinite(distance_m)]
    covered_m = float(covered.max() - covered.min()) if covered.size else None
    is_steep = (
        covered_m is not None and total_m > STEEP_GRADE * covered_m and total_m / time_s[-1] > STEEP_CLIMB_MPS
    )
    if not is_steep and float(window.max()) <= FASTEST_CLIMB_MPS * CLIMB_WINDOW_S:
        return []
    said = code("altitude impossible", climbed_m=total_m, distance_m=covered_m)
    return [OddSignal(quantity="altitude_m", code=said, span=_span(time_s, 0, time_s.size - 1))]
