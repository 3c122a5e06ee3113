"""What ordinary steady sessions say about the first threshold, week by week.

An ordinary session is a weak drift test: output was not held, the day was not chosen.  Its drift is told at
constant output.  All sessions of an athlete share the errors of slope, heat and curve:
drift may be off in all of them alike, and each counts for less than a whole likelihood.  Far below the
threshold a session says almost nothing about where it is, only "not lower than about here".

Source
------
This project's own choice, on the curve family of ``measures.first_threshold.drift_curve``, held against simulated training
(``tests/benchmarks/season_calls.py``).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import scipy

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.common.constants import DAY_HR_SD_BPM
from coachlib.measures.drift_test.reference_conditions import (
    HEAT_BPM_PER_C_SD,
    HEAT_PCT_PER_C_SD,
    degrees_of_heat,
    in_reference_conditions,
)
from coachlib.measures.first_threshold import drift_curve
from coachlib.measures.first_threshold.drift_series import CRITERION_PCT, LEAST_SE_PCT

METHOD = "threshold watch 3"
#: A session's steady window is at least so long. [s]
LEAST_S = 1800.0
#: Error of drift that all sessions share, this way or that, and the share of a likelihood that one session
#: counts for. [%]  Own choice: without the first, one curve's error speaks as a disagreement.
SHARED_ERROR_PCT, WEIGHT = 0.5, 0.5
#: How far the threshold may wander in a week. [1/min]
WANDER_BPM = 1.0
#: Spread of an accepted threshold at the start. [1/min]
ACCEPTED_SD_BPM = 4.0
#: A point is told only while the 90 % interval is at most this wide; else the lower bound, less a
#: margin. [1/min]  Own choice: none of 2000 simulated easy seasons told a point, 8 of 10 mixed ones did.
WIDEST_BPM, MARGIN_BPM = 14.0, 3.0
#: Disagreement: probability that the threshold lies further than this from the accepted one, in two weeks
#: in a row. [1/min]  Own choice: with an accepted value wrong by up to 3 bpm, 2 % of simulated hard seasons
#: speak; a move of 6 bpm is spoken of in 5 to 6 of 10 hard and 4 of 10 mixed seasons.
DISAGREE_BPM, DISAGREE_AT = 1.0, 0.95
#: "Not checked": weeks in which the interval did not narrow by at least this. (count), [1/min]
SILENT_WEEKS, LEARNT_BPM = 10, 0.5
_STEP_BPM = 1.0
#: Curves are looked up at distances this fine, this far to either side. [1/min]
_TABLE_STEP_BPM, _TABLE_REACH_BPM = 0.25, 150.0
_SHARED_PCT = np.array([-SHARED_ERROR_PCT, SHARED_ERROR_PCT], dtype=np.float32)
_SLOPES = np.geomspace(0.15, 1.4, 7)
_DAY_SDS, _DAY_MEDIAN = np.array([0.8, 1.5, 2.6], dtype=np.float32), 1.4


@dataclass(frozen=True, slots=True, kw_only=True)
class DriftReading:
    """What one ordinary session shows: first-half heart rate and drift for an hour, output held out."""

    first_half_bpm: float
    drift_pct: float
    se_pct: float
    minutes: float
    temperature_c: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WatchWeek:
    """What was known at the end of one week.

    ``hr_bpm`` is None while the interval is too wide for a point; ``at_least_bpm`` is the bound to tell
    then.  ``disagrees`` is "", "higher" or "lower" than the accepted threshold.  ``silent_weeks`` counts
    the weeks since the sessions last taught something.
    """

    week: int
    n_sessions: int
    hr_bpm: float | None
    hr_low_bpm: float
    hr_high_bpm: float
    at_least_bpm: float
    disagrees: str
    silent_weeks: int

    @property
    def test_near_bpm(self) -> float:
        """Where to test when the sessions disagree: their point, else the middle of their range. [1/min]"""
        return (self.hr_low_bpm + self.hr_high_bpm) / 2 if self.hr_bpm is None else self.hr_bpm


@dataclass(frozen=True, slots=True, kw_only=True)
class ThresholdWatch:
    """The watch over a season; it never moves the accepted threshold, and its silence confirms nothing."""

    weeks: tuple[WatchWeek, ...]
    accepted_bpm: float | None
    n_sessions: int
    method: str

    @property
    def latest(self) -> WatchWeek:
        """The last week."""
        return self.weeks[-1]

    @property
    def is_unchecked(self) -> bool:
        """Whether nothing was learnt for ten weeks: say "not checked since"."""
        return self.latest.silent_weeks >= SILENT_WEEKS


def drift_of_session(
    first_half_bpm: float,
    drift_pct: float,
    se_pct: float,
    *,
    minutes: float,
    temperature_c: float | None = None,
) -> DriftReading:
    """Drift of an ordinary steady session at constant output, brought to an hour.

    Parameters
    ----------
    first_half_bpm : float
        Mean heart rate of the window's first half. [1/min]
    drift_pct, se_pct : float
        Drift at constant output over the window and its standard error, the slope's doubt included. [%]
    minutes : float
        Length of the window. [min]
    temperature_c : float, optional
        Air temperature. [degC]

    Raises
    ------
    TooLittleData
        With fewer than thirty minutes.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> drift_of_session(145.0, 2.0, 0.5, minutes=45).drift_pct
    2.67
    """
    if not minutes * 60 >= LEAST_S:
        raise TooLittleData(
            f"drift of an ordinary session needs {LEAST_S / 60:.0f} steady minutes; this one has {minutes:.0f}. "
            "It is left out."
        )
    to_hour = 60.0 / minutes
    return DriftReading(
        first_half_bpm=first_half_bpm, drift_pct=drift_pct * to_hour, se_pct=se_pct * to_hour, minutes=minutes,
        temperature_c=temperature_c,
    )  # fmt: skip


def watch_threshold(
    week: np.ndarray | Sequence[int],
    first_half_bpm: np.ndarray | Sequence[float],
    drift_pct: np.ndarray | Sequence[float],
    se_pct: np.ndarray | Sequence[float],
    *,
    n_weeks: int,
    accepted_bpm: float | None = None,
    hr_max_bpm: float | None = None,
    temperature_c: np.ndarray | Sequence[float | None] | None = None,
    criterion_pct: float = CRITERION_PCT,
) -> ThresholdWatch:
    """Follow what ordinary sessions say about the threshold, week by week.

    Parameters
    ----------
    week : array of int, shape (n,)
        Week of each session, from 0.
    first_half_bpm, drift_pct, se_pct : array of float, shape (n,)
        For an hour, from ``drift_of_session``. [1/min], [%], [%]
    n_weeks : int
        Weeks to follow.
    accepted_bpm : float, optional
        The accepted threshold at the start, which the watch is held against. [1/min]
    hr_max_bpm : float, optional
        Maximal heart rate, for the start without an accepted threshold. [1/min]
    temperature_c : array of float, shape (n,), optional
        Air temperature, None where unknown. [degC]
    criterion_pct : float
        Drift over an hour that marks the threshold. [%]

    Raises
    ------
    BadArgument
        Where a session lies outside the weeks.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> watch = watch_threshold([0, 1, 2], [150, 152, 151], [1.0, 1.2, 0.8], [1.0, 1.0, 1.0], n_weeks=3)
    >>> watch.latest.hr_bpm is None, round(watch.latest.at_least_bpm)
    (True, 153)
    """
    weeks = np.asarray(week, dtype=int)
    outside = weeks[(weeks < 0) | (weeks >= n_weeks)]
    if outside.size:
        raise BadArgument(
            f"the watch covers weeks 0 to {n_weeks - 1}; a session lies in week {outside[0]}. "
            "Count weeks from 0."
        )
    hr, drift = in_reference_conditions(first_half_bpm, drift_pct, temperature_c)
    heat = degrees_of_heat(temperature_c, weeks.size)
    sd = np.hypot(np.maximum(np.asarray(se_pct, dtype=float), LEAST_SE_PCT), HEAT_PCT_PER_C_SD * heat)
    hr_sd = np.hypot(DAY_HR_SD_BPM, HEAT_BPM_PER_C_SD * heat)
    sessions = np.stack((hr, drift, sd, hr_sd), axis=-1).tolist()
    threshold, belief = _start(criterion_pct, accepted_bpm, hr_max_bpm)
    look_up = _curve_table(criterion_pct)
    still = np.eye(threshold.size, dtype=np.float32)
    wander = scipy.ndimage.gaussian_filter1d(still, WANDER_BPM / _STEP_BPM, axis=0, mode="reflect").T
    rows: list[WatchWeek] = []
    leaning, silent = "", 0
    for w in range(n_weeks):
        belief = belief @ wander
        before = _width(threshold, belief.sum(axis=(0, 1, 2)))
        here = np.flatnonzero(weeks == w)
        if here.size:
            told = np.sum([look_up.log_likelihood(threshold, *sessions[i]) for i in here], axis=0)
            belief = belief * np.exp(WEIGHT * (told - told.max()))
            belief /= belief.sum()
        probability = belief.sum(axis=(0, 1, 2))
        silent = 0 if before - _width(threshold, probability) >= LEARNT_BPM else silent + 1
        now = _leaning(threshold, probability, accepted_bpm)
        rows.append(
            _week(w, int((weeks == w).sum()), threshold, probability, now if now == leaning else "", silent)
        )
        leaning = now
    return ThresholdWatch(weeks=tuple(rows), accepted_bpm=accepted_bpm, n_sessions=weeks.size, method=METHOD)


@dataclass(frozen=True, slots=True, eq=False)
class _CurveTable:
    """Drift of every curve, and the square of its slope, by distance of heart rate from the threshold."""

    drift_pct: np.ndarray
    slope_squared: np.ndarray

    def log_likelihood(
        self, threshold_bpm: np.ndarray, hr_bpm: float, drift_pct: float, sd_pct: float, hr_sd_bpm: float
    ) -> np.ndarray:
        """Of one session, Student t about the curves: shape (shared errors, day scatters, curves, thresholds)."""
        every = round(_STEP_BPM / _TABLE_STEP_BPM)
        first = round((hr_bpm - threshold_bpm[0] + _TABLE_REACH_BPM) / _TABLE_STEP_BPM)
        at = np.clip(first - every * np.arange(threshold_bpm.size), 0, self.drift_pct.shape[1] - 1)
        scatter = sd_pct**2 + self.slope_squared[:, at] * hr_sd_bpm**2 + _DAY_SDS[:, None, None] ** 2
        scatter *= (drift_curve.FREEDOM - 2.0) / drift_curve.FREEDOM
        off = drift_pct + _SHARED_PCT[:, None, None] - self.drift_pct[:, at]
        freedom = drift_curve.FREEDOM
        joined = np.log(scatter + (off**2 / freedom)[:, None])
        joined *= -0.5 * (freedom + 1.0)
        joined += 0.5 * freedom * np.log(scatter)
        return joined


@lru_cache(maxsize=8)
def _curve_table(criterion_pct: float) -> _CurveTable:
    """The table of a criterion's curves."""
    away = np.arange(-_TABLE_REACH_BPM, _TABLE_REACH_BPM + _TABLE_STEP_BPM, _TABLE_STEP_BPM)
    drift, slope = _family(criterion_pct).drift_and_slope(0.0, -away)
    return _CurveTable(drift.astype(np.float32), (slope**2).astype(np.float32))


def _family(criterion_pct: float) -> drift_curve.Curves:
    return drift_curve.curves(criterion_pct, slopes=tuple(_SLOPES), widths=(2.0, 6.0))


def _start(
    criterion_pct: float, accepted_bpm: float | None, hr_max_bpm: float | None
) -> tuple[np.ndarray, np.ndarray]:
    """Grid and belief before the first session: shared error, day scatter, curve, threshold."""
    centre, sd, edge = drift_curve.prior_of_threshold(hr_max_bpm)
    low, high = centre - drift_curve.PRIOR_REACH * sd, edge
    if accepted_bpm is not None:
        low, high = min(low, accepted_bpm - 30.0), max(high, accepted_bpm + 30.0)
        centre, sd = accepted_bpm, ACCEPTED_SD_BPM
    threshold = np.arange(np.floor(low), np.ceil(high) + _STEP_BPM, _STEP_BPM)
    log_belief = (
        (-0.5 * (np.log(_DAY_SDS / _DAY_MEDIAN) / 0.5) ** 2)[:, None, None]
        + _family(criterion_pct).log_prior[None]
        + (-0.5 * ((threshold - centre) / sd) ** 2)[None, None, :]
    )
    belief = np.exp(log_belief - log_belief.max()).astype(np.float32)
    return threshold, np.stack((belief, belief)) / (2 * belief.sum())


def _width(threshold: np.ndarray, probability: np.ndarray) -> float:
    """Width [1/min] of the 90 % interval."""
    low, high = drift_curve.quantiles(threshold, probability, (0.05, 0.95))
    return float(high - low)


def _leaning(threshold: np.ndarray, probability: np.ndarray, accepted_bpm: float | None) -> str:
    """Which way the sessions disagree with the accepted threshold this week, if they do."""
    if accepted_bpm is None:
        return ""
    below = drift_curve.share_below(threshold, probability, accepted_bpm - DISAGREE_BPM)
    above = 1.0 - drift_curve.share_below(threshold, probability, accepted_bpm + DISAGREE_BPM)
    return "lower" if below > DISAGREE_AT else "higher" if above > DISAGREE_AT else ""


def _week(
    week: int,
    n_sessions: int,
    threshold: np.ndarray,
    probability: np.ndarray,
    disagrees: str,
    silent_weeks: int,
) -> WatchWeek:
    """One week's row."""
    low, median, high = drift_curve.quantiles(threshold, probability, (0.05, 0.5, 0.95))
    return WatchWeek(
        week=week, n_sessions=n_sessions, hr_bpm=float(median) if high - low <= WIDEST_BPM else None,
        hr_low_bpm=float(low), hr_high_bpm=float(high), at_least_bpm=float(low - MARGIN_BPM),
        disagrees=disagrees, silent_weeks=silent_weeks,
    )  # fmt: skip
