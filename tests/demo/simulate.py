"""A heart under way: on-kinetics, drift, heat, scatter, beats, and what sensors make of it.

Everything is invented on purpose, so that tests know the truth.  Where a constant has a source it stands
beside it; the others are assumptions of this project, chosen so that noise and drift look like recorded
ones.  All functions take elapsed seconds on a 1-s grid and a ``numpy.random.Generator``; the same
generator gives the same answer.

Sources: fast time constant 55.7 and 59.5 s, gain 24.2 bpm per m/s: "Identification of heart rate dynamics
during moderate-to-vigorous treadmill exercise", BioMed Eng OnLine 2015, doi 10.1186/s12938-015-0112-7.
Day-to-day scatter: Lamberts et al. 2004, J Strength Cond Res 18:641-645.  Cost of running and walking on
slopes: Minetti et al. 2002, J Appl Physiol 93:1039-1046 (coefficients from memory).
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import uniform_filter1d
from scipy.optimize import brentq
from scipy.signal import lfilter

#: Standard deviations of white noise and of wander over 25, 150 and 900 s. [1/min]
NOISE = {"quiet": (0.6, 0.8, 0.5, 0.3), "normal": (0.7, 1.1, 0.8, 0.6), "busy": (0.8, 1.5, 1.2, 1.0)}
WANDER_S = (25.0, 150.0, 900.0)
FAST_S, SLOW_S, SLOW_FRAC = 58.0, 300.0, 0.08
DEVICE_S = 3.0
#: Beat intervals follow heart rate averaged over this. [s]
BEAT_LEVEL_S = 45
COMFORTABLE_C = 21.0
HEAT_BPM_PER_C, HEAT_DRIFT_PCT_PER_C = 0.8, 0.4
DAY_INTERNAL_BPM, DAY_LABEL_BPM, DAY_DRIFT_PCT = 1.8, 1.8, 1.0
#: A rise by this share of the first half's mean in an hour is a halves drift of 1 %: halves lie 30 min apart.
PCT_PER_RISE = 50.0
#: From the change of settings to the middle of the first half, 15 min before the window and 15 into it, less
#: the minutes in which heart rate has not settled and drifts more slowly. [h]
FIRST_HALF_MIDDLE_H = 0.43
#: Above this nobody lasts an hour, so the curve is cut. [%]
HIGHEST_DRIFT_PCT = 9.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DriftCurve:
    """Halves drift over 60 min [%] against the first half's mean heart rate: flat, then rising.

    ``threshold_bpm`` is where it is 5 %, in a test with 15 min at its settings before the window.
    """

    threshold_bpm: float
    slope_pct_per_bpm: float = 0.45
    floor_pct: float = 0.75
    width_bpm: float = 4.0

    def __call__(self, hr_bpm: np.ndarray) -> np.ndarray:
        """Drift at a heart rate. [%]

        >>> round(float(DriftCurve(threshold_bpm=150)(np.array(150.0))), 6)
        5.0
        """
        bend, width = self._bend(), self.width_bpm
        rise = self.slope_pct_per_bpm * (1 + np.exp(-bend))
        rising = self.floor_pct + rise * width * np.logaddexp(0, (hr_bpm - self.threshold_bpm) / width + bend)
        return np.minimum(rising, HIGHEST_DRIFT_PCT)

    def at_settled(self, hr_bpm: np.ndarray) -> np.ndarray:
        """Drift at a settled heart rate, which lies below the first half's mean by the drift until then. [%]"""
        first_half = np.arange(30.0, 260.0, 0.5)
        drift_pct = self(first_half)
        settled = first_half / (1 + drift_pct * FIRST_HALF_MIDDLE_H / PCT_PER_RISE)
        return np.interp(hr_bpm, settled, drift_pct)

    def _bend(self) -> float:
        def miss(u: float) -> float:
            rise = self.slope_pct_per_bpm * (1 + np.exp(-u))
            return rise * self.width_bpm * np.logaddexp(0, u) - (5.0 - self.floor_pct)

        return float(brentq(miss, -8, 12))


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """What one day adds: to heart rate with and without a share in drift, to drift itself, and heat."""

    internal_bpm: float = 0.0
    label_bpm: float = 0.0
    drift_pct: float = 0.0
    heat_c: float = 0.0


def some_day(rng: np.random.Generator, *, temperature_c: float | None = None, calm: float = 1.0) -> Day:
    """Draw a day; ``calm`` below 1 makes it more like the others."""
    heat = 0.0 if temperature_c is None else max(0.0, temperature_c - COMFORTABLE_C)
    internal, label, drift = rng.normal(size=3) * (DAY_INTERNAL_BPM, DAY_LABEL_BPM, DAY_DRIFT_PCT) * calm
    return Day(internal_bpm=internal, label_bpm=label, drift_pct=drift, heat_c=heat)


def heart_rate(
    time_s: np.ndarray,
    demand_bpm: np.ndarray,
    *,
    curve: DriftCurve,
    day: Day,
    rng: np.random.Generator,
    start_bpm: float,
    top_bpm: float,
    noise: str = "normal",
) -> np.ndarray:
    """Heart rate that answers a demand, before any sensor sees it. [1/min], shape (n,)

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        Elapsed time, one sample a second. [s]
    demand_bpm : ndarray, shape (n,)
        Heart rate that the output asks for when settled, rested and cool. [1/min]
    curve : DriftCurve
        Drift against settled heart rate.
    day : Day
        What this day adds.
    start_bpm, top_bpm : float
        Heart rate at the first second, and the maximum. [1/min]
    noise : str
        A key of ``NOISE``.
    """
    felt = demand_bpm + day.internal_bpm + HEAT_BPM_PER_C * day.heat_c
    fast, slow = lagged(felt, FAST_S, start_bpm), lagged(felt, SLOW_S, start_bpm)
    settled = (1 - SLOW_FRAC) * fast + SLOW_FRAC * slow
    drift_pct = np.maximum(0.0, curve.at_settled(settled) + day.drift_pct + HEAT_DRIFT_PCT_PER_C * day.heat_c)
    working = np.clip((settled - start_bpm) / 30.0, 0.0, 1.0)
    per_second = drift_pct / PCT_PER_RISE * settled / 3600.0 * working
    heart = settled + np.cumsum(per_second) + day.label_bpm + wander(time_s, rng=rng, noise=noise)
    return _below(heart, top_bpm)


def wander(time_s: np.ndarray, *, rng: np.random.Generator, noise: str) -> np.ndarray:
    """Noise of a heart: white, and slow wander over three time constants. [1/min]"""
    white, *slow = NOISE[noise]
    total = rng.normal(0, white, time_s.size)
    for sd, tau in zip(slow, WANDER_S, strict=True):
        total += ornstein_uhlenbeck(time_s.size, tau_s=tau, rng=rng) * sd
    return total


def ornstein_uhlenbeck(size: int, *, tau_s: float, rng: np.random.Generator) -> np.ndarray:
    """Wander of standard deviation 1 and time constant ``tau_s``, a sample a second."""
    keep = np.exp(-1.0 / tau_s)
    steps = rng.normal(0, np.sqrt(1 - keep**2), size)
    steps[0] = rng.normal()
    return lfilter([1.0], [1.0, -keep], steps)


def as_recorded(heart_bpm: np.ndarray) -> np.ndarray:
    """What a sensor writes: smoothed over 3 s and rounded to whole beats."""
    return np.rint(lagged(heart_bpm, DEVICE_S, heart_bpm[0]))


def beats(
    time_s: np.ndarray, heart_bpm: np.ndarray, *, curve: DriftCurve, rng: np.random.Generator
) -> np.ndarray:
    """Beat intervals whose scatter shrinks and loses its long memory with intensity. [s]

    Below the threshold slow wander dominates, above it beats scatter independently: the exponent of
    detrended fluctuation analysis over 4 to 16 beats falls through about 0.75 near the threshold.
    """
    n = int(heart_bpm.mean() / 60 * time_s[-1] * 1.1) + 100
    level_bpm = uniform_filter1d(heart_bpm, BEAT_LEVEL_S)  # faster wander would stand for the beats' own
    hr = np.interp(np.cumsum(60.0 / _at_beats(time_s, level_bpm, n)), time_s, level_bpm)
    above = (hr - curve.threshold_bpm + 4.0) / 12.0
    memory = 1.0 / (1.0 + np.exp(1.6 * above))
    scatter_s = 0.005 + 0.008 * memory
    long = lfilter([1.0], [1.0, -0.9], rng.normal(0, np.sqrt(1 - 0.81), n))
    rr = 60.0 / hr + scatter_s * (memory * 0.75 * long + (1 - memory * 0.75) * rng.normal(0, 0.6, n))
    return np.round(rr[np.cumsum(rr) < time_s[-1]], 3)


def talk(hr_bpm: np.ndarray, *, at_s: int, length_s: int, by_bpm: float) -> np.ndarray:
    """A stretch of talking, a greeting or a phone call: up within seconds, down a little slower."""
    pressed = np.zeros(hr_bpm.size)
    pressed[at_s : at_s + length_s] = by_bpm
    rise, fall = lagged(pressed, 4.0, 0.0), lagged(pressed, 8.0, 0.0)
    return np.rint(hr_bpm + np.maximum(rise, fall))


def dropout(hr_bpm: np.ndarray, *, at_s: int, length_s: int) -> np.ndarray:
    """A stretch without heart rate."""
    return _with(hr_bpm, at_s, length_s, lambda here: np.full(here.size, np.nan))


def flat(hr_bpm: np.ndarray, *, at_s: int, length_s: int) -> np.ndarray:
    """A stretch in which the sensor repeats its last value."""
    return _with(hr_bpm, at_s, length_s, lambda here: np.full(here.size, here[0]))


def static(hr_bpm: np.ndarray, *, at_s: int, length_s: int, rng: np.random.Generator) -> np.ndarray:
    """A stretch of leaps by 20 to 60 bpm, as a dry strap or a synthetic shirt makes them."""

    def leaping(here: np.ndarray) -> np.ndarray:
        leaps = np.repeat(rng.choice([-1, 1], here.size) * rng.uniform(20, 60, here.size), 4)[: here.size]
        return np.clip(np.rint(here + leaps), 45, 220)

    return _with(hr_bpm, at_s, length_s, leaping)


def cadence_lock(
    hr_bpm: np.ndarray, steps_per_min: np.ndarray, *, at_s: int, length_s: int, rng: np.random.Generator
) -> np.ndarray:
    """A stretch in which an optical sensor counts steps instead of beats."""
    return _with(
        hr_bpm,
        at_s,
        length_s,
        lambda here: np.rint(steps_per_min[at_s : at_s + here.size] + rng.normal(0, 0.7, here.size)),
    )


def running_cost(grade: np.ndarray) -> np.ndarray:
    """Energy to run a metre on a slope. [J/kg/m]"""
    return np.polyval([155.4, -30.4, -43.3, 46.3, 19.5, 3.6], np.clip(grade, -0.45, 0.45))


def walking_cost(grade: np.ndarray) -> np.ndarray:
    """Energy to walk a metre on a slope. [J/kg/m]"""
    return np.polyval([280.5, -58.7, -76.8, 51.9, 19.6, 2.5], np.clip(grade, -0.45, 0.45))


def _below(heart_bpm: np.ndarray, top_bpm: float) -> np.ndarray:
    """Bend heart rate so that it approaches the maximum and never passes it."""
    return top_bpm - 3.0 * np.logaddexp(0, (top_bpm - heart_bpm) / 3.0)


def lagged(values: np.ndarray, tau_s: float, start: float) -> np.ndarray:
    """First-order lag, a sample a second."""
    keep = np.exp(-1.0 / tau_s)
    return lfilter([1 - keep], [1.0, -keep], values, zi=[keep * start])[0]


def _at_beats(time_s: np.ndarray, heart_bpm: np.ndarray, n: int) -> np.ndarray:
    """Heart rate at each of n beats."""
    count = np.concatenate([[0.0], np.cumsum(heart_bpm / 60.0)])[:-1]
    return np.interp(np.arange(n), count, heart_bpm)


def _with(
    hr_bpm: np.ndarray, at_s: int, length_s: int, change: Callable[[np.ndarray], np.ndarray]
) -> np.ndarray:
    """A copy in which one stretch is changed."""
    changed = hr_bpm.copy()
    changed[at_s : at_s + length_s] = change(changed[at_s : at_s + length_s])
    return changed
