"""What a series of tests says about the threshold of today, where it may have moved between tests.

A filter in the order of time: between tests what is known of the threshold spreads, slowly as fitness does and now
and then by a jump; each test then says how likely each heart rate is.  It starts flat, so that any prior can be
multiplied in at the end.

Source
------
This project's own choice, held against simulated series whose threshold stands, walks and jumps
(``tests/benchmarks/threshold_series.py``).  Rate: heart rate at 2 to 4 mmol/l of lactate moved by 3.5 to 6.4 bpm in
four weeks of hard training (20 cyclists, D. Hammarström, open data exscidata), most of which is the day's scatter.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from coachlib.measures.first_threshold import drift_curve
from coachlib.measures.first_threshold.drift_curve import ANCHOR_PCT, Curves, edges
from coachlib.measures.first_threshold.drift_series import SeriesData

#: How far the threshold walks. [1/min per root week]
RATE_BPM = 1.0
#: Between two tests it may have jumped: how often, and how far. [1, 1/min]
JUMP_SHARE, JUMP_SD_BPM = 0.08, 6.0
#: Step of the grid of thresholds. [1/min]
STEP_BPM = 1.0
#: Day-to-day scatter of drift [%] about a median of 1, and the spread of its logarithm: wide enough that 90 %
#: intervals stay near 90 % where days scatter twice as much as usual.
DAY_SDS_PCT, DAY_LOG_SD = np.geomspace(0.5, 3.8, 4), 0.8
#: Two tests of one day lie at least this far apart. [weeks]
LEAST_WEEKS = 1.0 / 14.0
#: The table of curves: heart rate this far from the anchor [1/min], and places to a step of the grid.
TABLE_REACH_BPM, TABLE_PER_STEP = 250.0, 4
#: Multiplications up to which linear algebra stays in one thread.
SMALL_PRODUCT = 250_000


@dataclass(frozen=True, slots=True, eq=False)
class Known:
    """What tests leave possible on their last day, before any prior of the threshold.

    ``weight`` has shape (n_day_sds, n_curves, n_anchors); ``anchor_bpm`` are the heart rates at 5 % drift.
    """

    anchor_bpm: np.ndarray
    curves: Curves
    weight: np.ndarray
    weeks: float


def before_any_test(*, low_bpm: float, high_bpm: float) -> Known:
    """Nothing but what is usual about curves and days; flat in the threshold."""
    anchor = np.arange(np.floor(low_bpm), np.ceil(high_bpm) + STEP_BPM, STEP_BPM)
    family = drift_curve.curves(ANCHOR_PCT)
    usual = (
        np.exp(-0.5 * (np.log(DAY_SDS_PCT) / DAY_LOG_SD) ** 2)[:, None, None] * np.exp(family.log_prior)[None]
    )
    weight = np.broadcast_to(usual.astype(np.float32), (*usual.shape[:2], anchor.size))
    return Known(anchor, family, weight, -np.inf)


def after(known: Known, tests: SeriesData, which: Iterable[int]) -> Known:
    """What is known after some further tests, in their order."""
    weight, week = known.weight, known.weeks
    for i in which:
        if np.isfinite(week):
            weight = _walked(weight, weeks=float(tests.weeks[i] - week))
        week = float(tests.weeks[i])
        drift, slope = _at(known.anchor_bpm, float(tests.hr_bpm[i]))
        weight = weight * drift_curve.likelihood(
            drift, slope, day_sds_pct=DAY_SDS_PCT.astype(np.float32), seen_pct=float(tests.drift_pct[i]),
            sd_pct=float(tests.sd_pct[i]), hr_sd_bpm=float(tests.hr_sd_bpm[i]),
        )  # fmt: skip
        # what is less likely than this never counts again, and smaller numbers are slow
        weight = np.maximum(weight / weight.max(), np.float32(1e-30))
    return Known(known.anchor_bpm, known.curves, weight, week)


def _at(anchor_bpm: np.ndarray, hr_bpm: float) -> tuple[np.ndarray, np.ndarray]:
    """Drift [%] and slope of every curve at a heart rate for each anchor, from the table, shape (n_curves, n)."""
    place, share = divmod((hr_bpm - float(anchor_bpm[0]) + TABLE_REACH_BPM) * TABLE_PER_STEP / STEP_BPM, 1.0)
    ends = []
    for at, weight in ((int(place), 1.0 - share), (int(place) + 1, share)):
        step, part = divmod(at, TABLE_PER_STEP)
        ends.append((part, slice(step, step - anchor_bpm.size, -1), np.float32(weight)))
    drift, slope = (sum(t[part][:, there] * weight for part, there, weight in ends) for t in _table())
    return np.asarray(drift), np.asarray(slope)


@lru_cache(maxsize=1)
def _table() -> tuple[np.ndarray, np.ndarray]:
    """Drift and slope of every curve by heart rate above the anchor, shape (part of a step, n_curves, steps)."""
    above = np.arange(-TABLE_REACH_BPM, TABLE_REACH_BPM, STEP_BPM / TABLE_PER_STEP)
    drift, slope = (
        np.ascontiguousarray(t.reshape(len(t), -1, TABLE_PER_STEP).transpose(2, 0, 1), dtype=np.float32)
        for t in drift_curve.curves(ANCHOR_PCT).drift_and_slope(above, np.zeros(1))
    )
    return drift, slope


def _walked(weight: np.ndarray, *, weeks: float) -> np.ndarray:
    """What is left of what was known after some weeks.

    The product is taken in pieces too small for a linear algebra library to share among threads: on a busy machine
    waiting for them takes many times as long as the product.
    """
    n = weight.shape[-1]
    n_rows = max(r for r in (1, 2, 3, 4, 6, 8, 9, 12) if r == 1 or r * n * n <= SMALL_PRODUCT)
    moved = weight.reshape(-1, n_rows, n) @ _walk(n, round(max(weeks, LEAST_WEEKS), 2))
    return np.asarray(moved.reshape(weight.shape))


def without_each(known: Known, tests: SeriesData) -> list[Known]:
    """What would be known had one test not been made, for each test."""
    n = tests.hr_bpm.size
    found, so_far = [], known
    for i in range(n):
        found.append(after(so_far, tests, range(i + 1, n)))
        so_far = after(so_far, tests, (i,))
    return found


@lru_cache(maxsize=256)
def _walk(n: int, weeks: float) -> np.ndarray:
    """Probability of each threshold (columns) after some weeks from each (rows)."""
    steps = STEP_BPM * (np.arange(n)[:, None] - np.arange(n)[None, :])
    spread = np.zeros((n, n))
    for share, sd in ((1.0 - JUMP_SHARE, RATE_BPM * np.sqrt(weeks)), (JUMP_SHARE, JUMP_SD_BPM)):
        part = np.exp(-0.5 * (steps / sd) ** 2)
        spread += share * part / part.sum(axis=1, keepdims=True)
    return spread.astype(np.float32)


def by_curve(known: Known, prior: np.ndarray) -> np.ndarray:
    """Probability of each curve and anchor, shape (n_curves, n_anchors), under a prior on the anchors."""
    joint = known.weight.sum(axis=0, dtype=float) * prior
    return np.asarray(joint / joint.sum())


def thresholds(known: Known, criterion_pct: float) -> np.ndarray:
    """The heart rates [1/min] that ``at_criterion`` gives probabilities of."""
    distance = _distance(known.curves, criterion_pct)
    first, last = np.floor(distance.min()), np.ceil(distance.max())
    return np.arange(known.anchor_bpm[0] + first, known.anchor_bpm[-1] + last + STEP_BPM, STEP_BPM)


def at_criterion(known: Known, joint: np.ndarray, criterion_pct: float) -> np.ndarray:
    """Probability of each threshold at a criterion: every curve moves by its own distance."""
    distances = _distance(known.curves, criterion_pct)
    if not distances.any():
        return np.asarray(joint.sum(axis=0))
    there, anchors = edges(thresholds(known, criterion_pct)), edges(known.anchor_bpm)
    below = np.zeros(there.size)
    for distance, probability in zip(distances, joint, strict=True):
        below += np.interp(there - distance, anchors, np.append(0.0, np.cumsum(probability)))
    return np.diff(below)


def _distance(family: Curves, criterion_pct: float) -> np.ndarray:
    """From the anchor to the threshold of each curve; nothing where they are the same."""
    return np.round(family.distance_to(criterion_pct), 6)


def drift_at(known: Known, joint: np.ndarray, hr_bpm: np.ndarray, *, n_draws: int = 400) -> np.ndarray:
    """Drift [%] at some heart rates of curves spread evenly over the probability, shape (n_draws, n)."""
    cumulated = np.cumsum(joint.ravel())
    cells = np.searchsorted(cumulated, (np.arange(n_draws) + 0.5) / n_draws * cumulated[-1])
    curve, anchor = np.unravel_index(np.minimum(cells, joint.size - 1), joint.shape)
    rows = known.curves
    chosen = Curves(
        rows.floor_pct[curve], rows.width_bpm[curve], rows.shift[curve], rows.steepness[curve],
        rows.log_prior[curve],
    )  # fmt: skip
    at = np.asarray(hr_bpm, dtype=float)[None, :]
    return chosen.drift_and_slope(at, known.anchor_bpm[anchor][:, None])[0]
