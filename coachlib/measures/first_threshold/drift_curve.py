"""The curve of drift against heart rate, and how likely a test is under it.

Expected drift is flat well below the threshold and rises along a straight line above it, with a soft
bend between: ``D(h) = floor + B w ln(1 + exp((h - T) / w + u))``, written so that ``T`` is the heart rate
at which drift is 5 % and ``slope`` the steepness there.  A fixed grid of slope, floor and width of the bend
stands for all curves; nothing is sampled at random.  Where another criterion is asked for, every curve says where
it crosses that one: a higher criterion can never give a lower heart rate.

Source
------
This project's own choice.  No published curve of halves drift against heart rate was found.  Prior of the
slope: series from common practice give about 0.6 % per bpm near 5 %, and 45-min runs at 95, 100 and 105 %
of the speed at the maximal lactate steady state gave +7, +14 and +18 bpm (conference abstract, 10
recreational runners).  The constants were held against several hundred simulated series with other curve families;
see ``tests/benchmarks/threshold_series.py``.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

#: The drift whose heart rate the priors speak of. [%]
ANCHOR_PCT = 5.0
#: That heart rate as a share of the maximal one, before any test, and its spread. [1, 1/min]  Own choice.
PRIOR_SHARE_OF_MAX, PRIOR_SD_BPM = 0.83, 12.0
#: The same where the maximal heart rate is unknown. [1/min]  Own choice: 0.83 of maxima that differ by 12
#: between adults (10 bpm), and somewhat more than the spread above.
PRIOR_BPM_WITHOUT_MAX, PRIOR_SD_BPM_WITHOUT_MAX = 155.0, 18.0
#: The prior reaches this many standard deviations to either side.
PRIOR_REACH = 3.2
#: Degrees of freedom of the likelihood (its code is for 6): a bad day must not drag the estimate.
FREEDOM = 6.0
#: A criterion counts as at least this far above a curve's floor. [%]
LEAST_RISE_PCT = 0.1
#: Rise of drift with heart rate at 5 %, its median and spread of the logarithm. [% per bpm]
MEDIAN_SLOPE, SLOPE_LOG_SD = 0.45, 0.6
_FLOORS, _FLOOR_WEIGHTS = np.array([0.0, 0.75, 1.5]), np.array([0.35, 0.35, 0.30])


@dataclass(frozen=True, slots=True, eq=False)
class Curves:
    """Every curve of the grid; arrays of shape (n_curves, 1), to be set against a row of thresholds."""

    floor_pct: np.ndarray
    width_bpm: np.ndarray
    shift: np.ndarray
    steepness: np.ndarray
    log_prior: np.ndarray

    def drift_and_slope(
        self, hr_bpm: float | np.ndarray, threshold_bpm: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray]:
        """Drift [%] and its slope [% per bpm] at a heart rate, shape (n_curves, n_thresholds)."""
        exponential = np.exp(np.minimum((hr_bpm - threshold_bpm) / self.width_bpm + self.shift, 300.0))
        drift = self.floor_pct + self.steepness * self.width_bpm * np.log1p(exponential)
        return drift, self.steepness * (exponential / (1.0 + exponential))

    def distance_to(self, criterion_pct: float) -> np.ndarray:
        """How far [1/min] above its T each curve crosses a criterion, shape (n_curves,).

        A curve whose floor lies above the criterion crosses it nowhere; it is read just above its floor.
        """
        rise = np.maximum(criterion_pct - self.floor_pct, LEAST_RISE_PCT) / (self.steepness * self.width_bpm)
        return (self.width_bpm * (rise + np.log(-np.expm1(-rise)) - self.shift)).ravel()


@lru_cache(maxsize=16)
def curves(
    criterion_pct: float,
    *,
    slopes: tuple[float, ...] = tuple(np.geomspace(0.12, 1.6, 8)),
    widths: tuple[float, ...] = (1.5, 4.0, 8.0),
) -> Curves:
    """The grid's curves for a criterion, each through (T, criterion) with its own slope there."""
    slope, floor, width = (a.ravel()[:, None] for a in np.meshgrid(slopes, _FLOORS, widths, indexing="ij"))
    log_prior = -0.5 * (np.log(slope / MEDIAN_SLOPE) / SLOPE_LOG_SD) ** 2
    log_prior = log_prior + np.log(_FLOOR_WEIGHTS)[np.searchsorted(_FLOORS, floor)]
    floor = np.minimum(floor, 0.6 * criterion_pct)
    rise = criterion_pct - floor
    # a bend wider than this cannot reach the slope between floor and criterion
    width = np.minimum(width, 0.9 * rise / slope)
    low, high = np.full(slope.shape, -40.0), np.full(slope.shape, 300.0)
    for _ in range(60):
        middle = 0.5 * (low + high)
        too_low = slope * (1.0 + np.exp(-middle)) * width * np.log1p(np.exp(middle)) < rise
        low, high = np.where(too_low, middle, low), np.where(too_low, high, middle)
    shift = 0.5 * (low + high)
    return Curves(floor, width, shift, slope * (1.0 + np.exp(-shift)), log_prior)


def likelihood(
    drift_pct: np.ndarray,
    slope: np.ndarray,
    *,
    day_sds_pct: np.ndarray,
    seen_pct: float,
    sd_pct: float,
    hr_sd_bpm: float,
) -> np.ndarray:
    """Likelihood of one test, Student t about curves with this drift and slope there; day scatter comes first."""
    far = (seen_pct - drift_pct) ** 2 / FREEDOM
    variance = sd_pct**2 + (slope * hr_sd_bpm) ** 2
    scaled = (variance + day_sds_pct[:, None, None] ** 2) * ((FREEDOM - 2.0) / FREEDOM)
    far = 1.0 + far / scaled
    # density of Student's t with 6 degrees of freedom, without a slow power
    scaled *= far
    np.sqrt(scaled, out=scaled)
    scaled *= far * far * far
    return np.asarray(1.0 / scaled)


def log_likelihood(
    family: Curves,
    threshold_bpm: np.ndarray,
    day_sds_pct: np.ndarray,
    hr_bpm: float,
    drift_pct: float,
    sd_pct: float,
    hr_sd_bpm: float,
) -> Iterator[np.ndarray]:
    """Logarithm of ``likelihood``, one day scatter after the other."""
    drift, slope = family.drift_and_slope(hr_bpm, threshold_bpm)
    yield from np.log(
        likelihood(
            drift, slope, day_sds_pct=day_sds_pct, seen_pct=drift_pct, sd_pct=sd_pct, hr_sd_bpm=hr_sd_bpm
        )
    )


def quantiles(threshold_bpm: np.ndarray, probability: np.ndarray, levels: tuple[float, ...]) -> np.ndarray:
    """Heart rates below which the threshold lies with the given probabilities, between grid points too."""
    cumulated = np.append(0.0, np.cumsum(probability))
    return np.interp(np.array(levels) * cumulated[-1], cumulated, edges(threshold_bpm))


def share_below(threshold_bpm: np.ndarray, probability: np.ndarray, hr_bpm: float) -> float:
    """Probability that the threshold lies below a heart rate."""
    return float(np.interp(hr_bpm, edges(threshold_bpm), np.append(0.0, np.cumsum(probability))))


def edges(grid_bpm: np.ndarray) -> np.ndarray:
    """Edges of the cells about evenly spaced heart rates."""
    half = (grid_bpm[1] - grid_bpm[0]) / 2
    return np.append(grid_bpm - half, grid_bpm[-1] + half)


def prior_of_threshold(hr_max_bpm: float | None) -> tuple[float, float, float]:
    """Centre, spread and upper edge [1/min] of the threshold before any test."""
    if hr_max_bpm is None:
        centre, sd = PRIOR_BPM_WITHOUT_MAX, PRIOR_SD_BPM_WITHOUT_MAX
        return centre, sd, centre + PRIOR_REACH * sd
    centre = PRIOR_SHARE_OF_MAX * hr_max_bpm
    return centre, PRIOR_SD_BPM, min(centre + PRIOR_REACH * PRIOR_SD_BPM, hr_max_bpm)
