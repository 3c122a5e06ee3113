"""The heart rate at which drift over an hour is the criterion, from a series of drift tests.

"Threshold" here is the mean heart rate of the **first half** of an hour's steady exercise at which
expected drift is the criterion (5 % unless said), in reference conditions (21 degC, moving air), **on the day of the
last test**.  That 5 % marks the first threshold is common practice, not a published standard: the result is an
estimate of the heart rate at 5 % drift and should be held against an independent method.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from coachlib.measures.common.codes import Code
from coachlib.measures.first_threshold import walking
from coachlib.measures.first_threshold.contradiction import contradiction_in
from coachlib.measures.first_threshold.drift_curve import quantiles, share_below
from coachlib.measures.first_threshold.drift_series import (
    CRITERION_PCT,
    DriftSeries,
    MaximumFrom,
    drift_series,
)
from coachlib.measures.first_threshold.prior import guard_prior, main_prior
from coachlib.measures.first_threshold.series_caveats import caveats_of_series, held_ends

METHOD = "drift series 3"
#: "At least" is the lower of two quantiles of this level, less a beat, less so much for each degree of heat that the
#: tests had on average; "at most" likewise. [1, 1/min, 1/min per degC]  Own choice: said with 95 %, it was wrong in
#: simulation in less than that, whatever was wrong with the maximum.
ONE_SIDED_LEVEL, ONE_SIDED_BPM, ONE_SIDED_BPM_PER_C = 0.02, 1.0, 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstThreshold:
    """Heart rate at the drift criterion: best guess, 90 % interval, middle half of the probability.

    ``bounded`` says which ends the tests themselves hold: "both"; "below" (only a lower bound: read
    "at least ``hr_low_bpm``", said with 95 %); "above" (only an upper bound: read "at most ``hr_high_bpm``").
    ``contradiction`` holds the places, as the tests were given, of the test that drifted more and of the one that
    drifted less, where both cannot be right.
    """

    hr_bpm: float
    hr_low_bpm: float
    hr_high_bpm: float
    hr_q25_bpm: float
    hr_q75_bpm: float
    bounded: str
    criterion_pct: float
    n_tests: int
    contradiction: tuple[int, int] | None = None
    method: str
    caveats: tuple[Code, ...]

    @property
    def width_bpm(self) -> float:
        """Width of the 90 % interval [1/min]."""
        return self.hr_high_bpm - self.hr_low_bpm

    @property
    def has_best_guess(self) -> bool:
        """Whether the tests hold both ends and do not merely contradict each other."""
        return self.bounded == "both" and not self.is_unresolved

    @property
    def is_unresolved(self) -> bool:
        """Whether there are two tests and they contradict each other: only a third can tell."""
        return self.contradiction is not None and self.n_tests == 2


def estimate_first_threshold(
    first_half_bpm: np.ndarray | Sequence[float],
    drift_pct: np.ndarray | Sequence[float],
    se_pct: np.ndarray | Sequence[float],
    *,
    criterion_pct: float = CRITERION_PCT,
    hr_max_bpm: float | None = None,
    hr_max_from: MaximumFrom | None = None,
    medicine: bool = False,
    temperature_c: np.ndarray | Sequence[float | None] | None = None,
    conditions_unsure: np.ndarray | Sequence[bool] | None = None,
    weeks: np.ndarray | Sequence[float] | None = None,
) -> FirstThreshold:
    """Estimate the heart rate at the drift criterion from one to many tests.

    Parameters
    ----------
    first_half_bpm : array of float, shape (n,)
        Mean heart rate of the first half of each test's window. [1/min]
    drift_pct : array of float, shape (n,)
        Halves drift at constant output, brought to an hour. [%]
    se_pct : array of float, shape (n,)
        Standard error within the run and of the output's correction, brought to an hour. [%]
    criterion_pct : float
        Drift over an hour that marks the threshold. [%]
    hr_max_bpm : float, optional
        The athlete's maximal heart rate, where known. [1/min]
    hr_max_from : "measured" or "predicted", optional
        A maximum predicted from age carries its own published error.
    medicine : bool
        Whether the athlete takes medicine that slows the heart: then no maximum is used.
    temperature_c : array of float, shape (n,), optional
        Air temperature; None or NaN where it was not measured. [degC]
    conditions_unsure : array of bool, shape (n,), optional
        True where conditions were bad in a way that was not measured; such a test counts for less.
    weeks : array of float, shape (n,), optional
        When each test was done, in weeks since any day; without it the tests count as given in order, a week apart.

    Returns
    -------
    FirstThreshold
        Of the day of the last test: median, 90 % and 50 % interval. [1/min]

    Raises
    ------
    TooLittleData
        Where there is no test.
    BadArgument
        Where numbers are missing or impossible.

    Notes
    -----
    - Only temperature is corrected; everything else that differs between days is scatter.
    - The threshold may walk and jump between tests, so older tests count for less.

    Source
    ------
    This project's own choice: a family of curves (``drift_curve``), a filter (``walking``), what is usual
    (``prior``).  The usual ways (nearest test, straight line between tests) need tests on both sides and give no
    interval.

    Examples
    --------
    >>> found = estimate_first_threshold([148, 156, 163], [1.0, 3.4, 7.1], [0.5, 0.5, 0.5], hr_max_bpm=190)
    >>> found.bounded, found.hr_low_bpm < found.hr_bpm < found.hr_high_bpm
    ('both', True)
    >>> round(found.hr_bpm)
    160
    """
    series = drift_series(
        first_half_bpm, drift_pct, se_pct, criterion_pct=criterion_pct, hr_max_bpm=hr_max_bpm,
        hr_max_from=hr_max_from, medicine=medicine, temperature_c=temperature_c,
        conditions_unsure=conditions_unsure, weeks=weeks,
    )  # fmt: skip
    return FittedSeries(series).threshold


class FittedSeries:
    """A series with what it leaves possible, worked out once: the estimate, and what charts and plans ask.

    Parameters
    ----------
    series : DriftSeries
        The tests and what is known about the athlete.

    Source
    ------
    See ``estimate_first_threshold``.

    Examples
    --------
    >>> fitted = FittedSeries(drift_series([148, 156, 163], [1.0, 3.4, 7.1], [0.5] * 3, hr_max_bpm=190))
    >>> fitted.probability_below(148.0) < 0.05
    True
    >>> low, median, high = fitted.curve_band(np.array([150.0]))
    >>> bool(low[0] < median[0] < high[0])
    True
    """

    def __init__(self, series: DriftSeries) -> None:
        self.series = series
        self.tests = series.tests
        self.bounded = held_ends(self.tests, series.criterion_pct)
        self._prior, self._guard = main_prior(series), guard_prior(series, self.bounded)
        ends = [self._prior.reach_bpm, self._guard.reach_bpm]
        self._start = walking.before_any_test(
            low_bpm=max(min(low for low, _ in ends), 40.0), high_bpm=min(max(high for _, high in ends), 260.0)
        )
        self.known = walking.after(self._start, self.tests, range(self.tests.hr_bpm.size))

    @cached_property
    def threshold(self) -> FirstThreshold:
        """The estimate."""
        series, tests = self.series, self.tests
        contradiction = contradiction_in(tests)
        low, q25, median, q75, high = quantiles(
            self.grid_bpm, self.probability, (0.05, 0.25, 0.5, 0.75, 0.95)
        ).tolist()
        margin = ONE_SIDED_BPM + ONE_SIDED_BPM_PER_C * float(tests.heat_c.mean())
        if self.bounded == "below":
            low = min(self._both(ONE_SIDED_LEVEL)) - margin
        elif self.bounded == "above":
            high = max(self._both(1.0 - ONE_SIDED_LEVEL)) + margin
        places = None
        if contradiction is not None:
            places = (series.order[contradiction.drifted_more], series.order[contradiction.drifted_less])
        return FirstThreshold(
            hr_bpm=median, hr_low_bpm=low, hr_high_bpm=high, hr_q25_bpm=q25, hr_q75_bpm=q75,
            bounded=self.bounded, criterion_pct=series.criterion_pct, n_tests=len(series.order),
            contradiction=places, method=METHOD,
            caveats=caveats_of_series(series, tests, self.bounded, contradiction),
        )  # fmt: skip

    @cached_property
    def grid_bpm(self) -> np.ndarray:
        """The heart rates [1/min] that ``probability`` stands on."""
        return walking.thresholds(self.known, self.series.criterion_pct)

    @cached_property
    def probability(self) -> np.ndarray:
        """Probability that the threshold lies at each heart rate of the grid."""
        return self._probability(self.known)

    def probability_below(self, hr_bpm: float) -> float:
        """Probability that the threshold lies below a heart rate: the less favourable one of what is usual.

        Where the tests hold one end only, what is said against that end is the larger of two answers.
        """
        main = share_below(self.grid_bpm, self.probability, hr_bpm)
        if self.bounded == "both":
            return main
        other = share_below(self.grid_bpm, self._guarded, hr_bpm)
        return max(main, other) if self.bounded == "below" else min(main, other)

    def curve_band(self, at_bpm: np.ndarray) -> np.ndarray:
        """Expected drift [%] at some heart rates: 5 %, 50 % and 95 % of the curves, shape (3, n)."""
        return np.asarray(
            np.quantile(self.drift_at(np.asarray(at_bpm, dtype=float)), (0.05, 0.5, 0.95), axis=0)
        )

    def drift_at(self, hr_bpm: np.ndarray) -> np.ndarray:
        """Drift [%] at some heart rates of curves drawn evenly from what is possible, shape (n_draws, n)."""
        return walking.drift_at(self.known, self._joint(self.known), hr_bpm)

    def pulls_bpm(self) -> tuple[float, ...]:
        """How far [1/min] each test moves the best guess up (+) or down (-), as the tests were given.

        Median with it less median without it; what is usual stays that of the whole series, and a single test is set
        against it.
        """
        median = self.threshold.hr_bpm
        pulls = [0.0] * self.tests.hr_bpm.size
        for place, known in zip(
            self.series.order, walking.without_each(self._start, self.tests), strict=True
        ):
            pulls[place] = median - float(quantiles(self.grid_bpm, self._probability(known), (0.5,))[0])
        return tuple(pulls)

    def width_after(self, hr_bpm: float, drift_pct: np.ndarray, *, se_pct: float, weeks: float) -> float:
        """Mean 90 % width [1/min] after one more test, over drifts that it may show."""
        widths = []
        when = np.array([float(self.tests.weeks[-1]) + weeks])
        for drift in drift_pct.tolist():
            one = replace(drift_series([hr_bpm], [drift], [se_pct]).tests, weeks=when)
            later = walking.after(self.known, one, (0,))
            low, high = quantiles(self.grid_bpm, self._probability(later), (0.05, 0.95))
            widths.append(high - low)
        return float(np.mean(widths))

    @cached_property
    def _guarded(self) -> np.ndarray:
        known = self.known
        joint = walking.by_curve(known, self._guard.at(known.anchor_bpm))
        return walking.at_criterion(known, joint, self.series.criterion_pct)

    def _both(self, level: float) -> list[float]:
        """A quantile under the main prior and under the guard."""
        return [float(quantiles(self.grid_bpm, p, (level,))[0]) for p in (self.probability, self._guarded)]

    def _joint(self, known: walking.Known) -> np.ndarray:
        return walking.by_curve(known, self._prior.at(known.anchor_bpm))

    def _probability(self, known: walking.Known) -> np.ndarray:
        return walking.at_criterion(known, self._joint(known), self.series.criterion_pct)
