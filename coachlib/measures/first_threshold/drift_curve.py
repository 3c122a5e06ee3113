"""The curve of drift against heart rate, and what a few tests say about where it meets the criterion.

Expected drift is flat well below the threshold and rises along a straight line above it, with a soft
bend between: ``D(h) = floor + B w ln(1 + exp((h - T) / w + u))``, written so that ``T`` is the heart rate
at which drift is 5 % and ``slope`` the steepness there.  The posterior is worked out on a fixed grid of
``T``, slope, floor, width of the bend and day-to-day scatter; nothing is sampled at random.  Where another
criterion is asked for, every curve says where it crosses that one: a higher criterion can never give a lower
heart rate.

Source
------
This project's own choice.  No published curve of halves drift against heart rate was found.  Prior of the
slope: series from common practice give about 0.6 % per bpm near 5 %, and 45-min runs at 95, 100 and 105 %
of the speed at the maximal lactate steady state gave +7, +14 and +18 bpm (conference abstract, 10
recreational runners).  Scatter of heart rate: Lamberts et al. (2004), J Strength Cond Res 18:641-645.
The constants were held against several hundred simulated series with other curve families; see
``tests/benchmarks/threshold_series.py``.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

#: The drift whose heart rate the priors speak of. [%]
ANCHOR_PCT = 5.0
#: That heart rate as a share of the maximal one, before any test, and its spread. [1, 1/min]  Own choice.
PRIOR_SHARE_OF_MAX = 0.83
PRIOR_SD_BPM = 12.0
#: The same where the maximal heart rate is unknown. [1/min]  Own choice: 0.83 of maxima that differ by 12
#: between adults (10 bpm), and the spread above.
PRIOR_BPM_WITHOUT_MAX = 155.0
PRIOR_SD_BPM_WITHOUT_MAX = 16.0
#: Day-to-day scatter of heart rate at one setting that also moves drift. [1/min]  Lamberts et al. 2004.
DAY_SD_BPM = 1.8
#: The prior reaches this many standard deviations to either side, the grid this far past the tests. [1/min]
PRIOR_REACH = 3.2
TEST_REACH_BPM = 10.0
STEP_BPM = 0.5
#: Degrees of freedom of the likelihood: a bad day must not drag the estimate.
FREEDOM = 6.0

#: A criterion counts as at least this far above a curve's floor. [%]
LEAST_RISE_PCT = 0.1
_FLOORS, _FLOOR_WEIGHTS = np.array([0.0, 0.75, 1.5]), np.array([0.35, 0.35, 0.30])
#: Day-to-day scatter of drift [%], about a median of 1.  Own choice: wide enough that 90 % intervals stay
#: near 90 % where days scatter twice as much as usual.
_DAY_SDS = np.geomspace(0.5, 3.8, 5)
_MEDIAN_SLOPE, _SLOPE_LOG_SD, _DAY_LOG_SD = 0.45, 0.6, 0.8


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
    slopes: tuple[float, ...] = tuple(np.geomspace(0.12, 1.6, 11)),
    widths: tuple[float, ...] = (1.5, 4.0, 8.0),
) -> Curves:
    """The grid's curves for a criterion, each through (T, criterion) with its own slope there."""
    slope, floor, width = (a.ravel()[:, None] for a in np.meshgrid(slopes, _FLOORS, widths, indexing="ij"))
    log_prior = -0.5 * (np.log(slope / _MEDIAN_SLOPE) / _SLOPE_LOG_SD) ** 2
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


@dataclass(frozen=True, slots=True, eq=False)
class SeriesData:
    """Tests as the curve sees them: heart rate and drift in reference conditions, with what is unsure.

    ``hr_sd_bpm`` is the scatter of heart rate on the day, ``sd_pct`` that of drift without the day's own.
    """

    hr_bpm: np.ndarray
    drift_pct: np.ndarray
    sd_pct: np.ndarray
    hr_sd_bpm: np.ndarray


@dataclass(frozen=True, slots=True, eq=False)
class Posterior:
    """What the tests leave possible.

    ``log_joint`` is the unnormalised log probability with shape (n_day_sds, n_curves, n_anchors): the heart
    rates ``anchor_bpm`` are those at 5 % drift; ``threshold_bpm`` are those at the criterion.
    """

    anchor_bpm: np.ndarray
    curves: Curves
    log_joint: np.ndarray
    tests: SeriesData
    criterion_pct: float

    @property
    def joint(self) -> np.ndarray:
        """Probability of each cell, summing to 1."""
        return _normalised(self.log_joint)

    @property
    def threshold_bpm(self) -> np.ndarray:
        """The grid that ``probability`` stands on."""
        distance = self._distance
        first, last = (
            self.anchor_bpm[0] + np.floor(distance.min()),
            self.anchor_bpm[-1] + np.ceil(distance.max()),
        )
        return np.arange(first, last + STEP_BPM, STEP_BPM)

    @property
    def probability(self) -> np.ndarray:
        """Probability of each threshold of the grid."""
        return self._at_criterion(self.joint)

    def probability_without(self, i: int) -> np.ndarray:
        """The same, had test ``i`` not been made."""
        without = self.log_joint.copy()
        for row, part in zip(without, _of_test(self.curves, self.anchor_bpm, self.tests, i), strict=True):
            row -= part
        return self._at_criterion(_normalised(without))

    @property
    def _distance(self) -> np.ndarray:
        """From the anchor to the threshold of each curve; nothing where they are the same."""
        return np.round(self.curves.distance_to(self.criterion_pct), 6)

    def _at_criterion(self, joint: np.ndarray) -> np.ndarray:
        """Probability of each threshold, from that of each cell: every curve moves by its own distance."""
        by_curve = joint.sum(axis=0)
        if not self._distance.any():
            return by_curve.sum(axis=0)
        edges, anchors = _edges(self.threshold_bpm), _edges(self.anchor_bpm)
        below = np.zeros(edges.size)
        for distance, probability in zip(self._distance, by_curve, strict=True):
            below += np.interp(edges - distance, anchors, np.append(0.0, np.cumsum(probability)))
        return np.diff(below)

    def draws(self, n: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Indices of day scatter, curve and threshold of ``n`` cells spread evenly over the probability."""
        joint = self.joint
        cumulated = np.cumsum(joint.ravel())
        cells = np.searchsorted(cumulated, (np.arange(n) + 0.5) / n * cumulated[-1])
        day, curve, threshold = np.unravel_index(np.minimum(cells, joint.size - 1), joint.shape)
        return day, curve, threshold

    def drift_at(self, hr_bpm: np.ndarray, *, n_draws: int = 400) -> np.ndarray:
        """Drift [%] of curves drawn from the posterior at some heart rates, shape (n_draws, n)."""
        _, curve, threshold = self.draws(n_draws)
        rows = self.curves
        chosen = Curves(
            rows.floor_pct[curve], rows.width_bpm[curve], rows.shift[curve], rows.steepness[curve],
            rows.log_prior[curve],
        )  # fmt: skip
        at = np.asarray(hr_bpm, dtype=float)[None, :]
        return chosen.drift_and_slope(at, self.anchor_bpm[threshold][:, None])[0]


def fit(data: SeriesData, *, criterion_pct: float, hr_max_bpm: float | None) -> Posterior:
    """The posterior after a series of tests (after none, where the arrays are empty)."""
    centre, sd, edge = prior_of_threshold(hr_max_bpm)
    low = min(centre - PRIOR_REACH * sd, *(data.hr_bpm - 3 * TEST_REACH_BPM))
    high = max(edge, *(data.hr_bpm + TEST_REACH_BPM))
    anchor = np.arange(np.floor(low), np.ceil(high) + STEP_BPM, STEP_BPM)
    family = curves(ANCHOR_PCT)
    log_prior = (
        (-0.5 * (np.log(_DAY_SDS) / _DAY_LOG_SD) ** 2)[:, None, None]
        + family.log_prior[None, :, :]
        + (-0.5 * ((anchor - centre) / sd) ** 2)[None, None, :]
    )
    none = SeriesData(*np.empty((4, 0)))
    return with_tests(Posterior(anchor, family, log_prior, none, criterion_pct), data)


def with_tests(posterior: Posterior, data: SeriesData) -> Posterior:
    """The posterior after further tests."""
    log_joint = posterior.log_joint.copy()
    for i in range(data.hr_bpm.size):
        parts = _of_test(posterior.curves, posterior.anchor_bpm, data, i)
        for row, part in zip(log_joint, parts, strict=True):
            row += part
    before = posterior.tests
    joined = SeriesData(
        hr_bpm=np.append(before.hr_bpm, data.hr_bpm), drift_pct=np.append(before.drift_pct, data.drift_pct),
        sd_pct=np.append(before.sd_pct, data.sd_pct), hr_sd_bpm=np.append(before.hr_sd_bpm, data.hr_sd_bpm),
    )  # fmt: skip
    return Posterior(posterior.anchor_bpm, posterior.curves, log_joint, joined, posterior.criterion_pct)


def log_likelihood(
    family: Curves,
    threshold_bpm: np.ndarray,
    day_sds_pct: np.ndarray,
    hr_bpm: float,
    drift_pct: float,
    sd_pct: float,
    hr_sd_bpm: float,
) -> Iterator[np.ndarray]:
    """Log likelihood of one test, Student t about the curve: for each day scatter (n_curves, n_thresholds).

    One day scatter after the other, so that nobody has to hold all of them for each test at once.
    """
    drift, slope = family.drift_and_slope(hr_bpm, threshold_bpm)
    squared = (drift_pct - drift) ** 2 / FREEDOM
    variance = sd_pct**2 + (slope * hr_sd_bpm) ** 2
    for day_sd_pct in day_sds_pct:
        scaled = (variance + day_sd_pct**2) * ((FREEDOM - 2.0) / FREEDOM)
        yield -0.5 * ((FREEDOM + 1.0) * np.log1p(squared / scaled) + np.log(scaled))


def _of_test(family: Curves, threshold_bpm: np.ndarray, tests: SeriesData, i: int) -> Iterator[np.ndarray]:
    """Log likelihood of one test of a series on the grid of the series."""
    return log_likelihood(
        family, threshold_bpm, _DAY_SDS, float(tests.hr_bpm[i]), float(tests.drift_pct[i]),
        float(tests.sd_pct[i]), float(tests.hr_sd_bpm[i]),
    )  # fmt: skip


def quantiles(threshold_bpm: np.ndarray, probability: np.ndarray, levels: tuple[float, ...]) -> np.ndarray:
    """Heart rates below which the threshold lies with the given probabilities, between grid points too."""
    cumulated = np.append(0.0, np.cumsum(probability))
    return np.interp(np.array(levels) * cumulated[-1], cumulated, _edges(threshold_bpm))


def share_below(threshold_bpm: np.ndarray, probability: np.ndarray, hr_bpm: float) -> float:
    """Probability that the threshold lies below a heart rate."""
    return float(np.interp(hr_bpm, _edges(threshold_bpm), np.append(0.0, np.cumsum(probability))))


def prior_of_threshold(hr_max_bpm: float | None) -> tuple[float, float, float]:
    """Centre, spread and upper edge [1/min] of the threshold before any test."""
    if hr_max_bpm is None:
        centre, sd = PRIOR_BPM_WITHOUT_MAX, PRIOR_SD_BPM_WITHOUT_MAX
        return centre, sd, centre + PRIOR_REACH * sd
    centre = PRIOR_SHARE_OF_MAX * hr_max_bpm
    return centre, PRIOR_SD_BPM, min(centre + PRIOR_REACH * PRIOR_SD_BPM, hr_max_bpm)


def _normalised(log_weights: np.ndarray) -> np.ndarray:
    """Probabilities from unnormalised logarithms, safe for any size of either."""
    weights = np.exp(log_weights - log_weights.max())
    weights /= weights.sum()
    return weights


def _edges(grid_bpm: np.ndarray) -> np.ndarray:
    """Edges of the cells about evenly spaced heart rates."""
    half = (grid_bpm[1] - grid_bpm[0]) / 2
    return np.append(grid_bpm - half, grid_bpm[-1] + half)
