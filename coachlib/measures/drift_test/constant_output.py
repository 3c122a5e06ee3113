"""Heart-rate drift as it would have been at constant output, and what a drift means for the threshold.

Who is slowed down by a heart-rate alarm shows no drift; what a change of output explains is taken out along a slope
of heart rate on output, and the doubt about that slope goes into interval and meaning.

Source
------
This project's own choice of method.  Lag and slopes: ``measures.recording.lag``, ``measures.output.slopes``.  Limits
and the share of the hill correction were chosen on simulated runs; ``tests/benchmarks/constant_output.py`` shows how
often interval and side are right.
"""

from dataclasses import dataclass

import numpy as np

from coachlib.errors import TooLittleData
from coachlib.measures.common.codes import Code, code
from coachlib.measures.common.constants import DAY_DRIFT_SD_PCT, Z90
from coachlib.measures.common.sampling import is_beating, time_weights, weighted_mean
from coachlib.measures.drift_test.drift import (
    MIN_USED_S,
    REFERENCE_WINDOW_S,
    VERDICT_WINDOW_S,
    HeartRateDrift,
    heart_rate_drift,
    scaled_criterion_pct,
)
from coachlib.measures.recording.lag import OUTPUT_LAG_S, lagged_output

METHOD = "drift at constant output 1"
#: The hill correction is believed but for this share of it.  Own choice, from simulation.
HILL_DOUBT_FRAC = 0.15
#: Raw pace on a route of unknown hills corrects nothing once one-minute means scatter more about their line. [%]
#: Own choice.
LEVEL_SCATTER_PCT = 4.0
#: A larger change of output means that the effort itself changed. [%]  Own choice.
EFFORT_CHANGE_PCT = 10.0
#: Output before the window still counts by its lag. [s]
_BEFORE_S = 10 * OUTPUT_LAG_S
_MINUTE_S, _LEAST_MINUTE_S = 60.0, 30.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ConstantOutputDrift:
    """Drift with what a change of output explains taken out; the raw numbers stay in ``HeartRateDrift``.

    ``drift_pct`` is raw drift plus ``correction_pct``; ``drift_low_pct`` and ``drift_high_pct`` bound it (90 %),
    ``day_low_pct`` and ``day_high_pct`` with the scatter from one day to the next.
    ``se_pct`` is what the run leaves unsure, ``u_pct`` what the slope does.  ``output_change_pct`` is output as
    heart rate sees it in the second half against the first.  ``is_corrected`` is False where hills nobody recorded
    forbid it: then ``u_pct`` is as large as the correction would have been.
    """

    drift_pct: float
    drift_low_pct: float
    drift_high_pct: float
    day_low_pct: float
    day_high_pct: float
    se_pct: float
    u_pct: float
    correction_pct: float
    output_change_pct: float
    first_output: float
    second_output: float
    is_corrected: bool
    used_s: float
    method: str
    caveats: tuple[Code, ...]


def drift_at_constant_output(
    time_s: np.ndarray,
    hr_bpm: np.ndarray,
    output: np.ndarray,
    used: np.ndarray,
    *,
    start_s: float,
    stop_s: float,
    slope: float,
    slope_sd: float,
    raw_speed_mps: np.ndarray | None = None,
    hills_unknown: bool = False,
) -> ConstantOutputDrift:
    """Take out of a window's drift what a change of output explains.

    Parameters
    ----------
    time_s, hr_bpm : ndarray, shape (n,)
        Elapsed time [s] and heart rate [1/min], as for ``heart_rate_drift``.
    output : ndarray, shape (n,)
        Power, speed on the flat, or flat-equivalent speed; NaN where unknown. [W or m/s]
    used : ndarray of bool, shape (n,)
        True for samples that count.
    start_s, stop_s : float
        The half-open window. [s]
    slope, slope_sd : float
        Heart rate for each unit of output and how unsure that is, see ``measures.output.slopes``.
    raw_speed_mps : ndarray, shape (n,), optional
        Where ``output`` is flat-equivalent: the speed itself, to say how much hangs on the hills. [m/s]
    hills_unknown : bool
        True out of doors without altitude, where ``output`` is the speed itself.

    Returns
    -------
    ConstantOutputDrift

    Raises
    ------
    TooLittleData
        When heart rate is too short for a drift, or output is known for less than half of either half.
    BadArgument
        When the window is empty.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> t = np.arange(3600.0)
    >>> v = np.where(t < 1800, 3.0, 2.85)
    >>> hr_bpm = 150 + 25.5 * (lagged_output(t, v) - 3.0) + np.sin(t)
    >>> held = drift_at_constant_output(t, hr_bpm, v, t >= 0, start_s=0, stop_s=3600, slope=25.5, slope_sd=8.0)
    >>> abs(round(held.drift_pct, 2)), round(held.correction_pct, 2), round(held.output_change_pct, 1)
    (0.0, 2.47, -4.8)
    """
    near = (time_s >= start_s - _BEFORE_S) & (time_s < stop_s)
    time_s, hr_bpm, output, used = time_s[near], hr_bpm[near], output[near], used[near]
    drift = heart_rate_drift(time_s, hr_bpm, used, start_s=start_s, stop_s=stop_s)
    halves = _Halves.of(time_s, used & is_beating(hr_bpm), start_s=start_s, stop_s=stop_s)
    halves.refuse_unknown(output)
    first, second = halves.means(lagged_output(time_s, output))
    per_output = 100.0 / drift.first_half_bpm
    correction = per_output * slope * (first - second)
    variance = (per_output * slope_sd * (second - first)) ** 2
    if raw_speed_mps is not None:
        raw_first, raw_second = halves.means(lagged_output(time_s, raw_speed_mps[near]))
        raw_correction = per_output * slope * (raw_first - raw_second)
        variance += (HILL_DOUBT_FRAC * (raw_correction - correction)) ** 2
    is_corrected = not hills_unknown or _scatter_pct(time_s, output, halves) <= LEVEL_SCATTER_PCT
    if not is_corrected:
        correction, variance = 0.0, correction**2
    u = float(np.sqrt(variance))
    within = (drift.drift_high_pct - drift.drift_low_pct) / 2
    reach, middle = float(np.hypot(within, Z90 * u)), drift.drift_pct + correction
    change = 100.0 * (second - first) / first if first > 0 else 0.0
    day_reach = Z90 * float(np.hypot(_with_days(drift), u))
    return ConstantOutputDrift(
        drift_pct=middle, drift_low_pct=middle - reach, drift_high_pct=middle + reach,
        day_low_pct=middle - day_reach, day_high_pct=middle + day_reach, se_pct=drift.se_pct, u_pct=u, correction_pct=correction, output_change_pct=change, first_output=first, second_output=second,
        is_corrected=is_corrected, used_s=drift.used_s, method=METHOD,
        caveats=_caveats(change, is_corrected=is_corrected),
    )  # fmt: skip


def _with_days(drift: HeartRateDrift) -> float:
    """Standard error of a drift, the scatter from one day to the next included. [percentage points]"""
    day_sd = DAY_DRIFT_SD_PCT * (drift.stop_s - drift.start_s) / REFERENCE_WINDOW_S
    return float(np.hypot(drift.se_pct, day_sd))


def _caveats(change_pct: float, *, is_corrected: bool) -> tuple[Code, ...]:
    found = []
    if not is_corrected:
        found.append(code("hills not recorded", scatter_limit_pct=LEVEL_SCATTER_PCT))
    if abs(change_pct) > EFFORT_CHANGE_PCT:
        found.append(code("effort changed", output_change_pct=change_pct))
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Halves:
    """Seconds each sample stands for in the first and in the second half of a window."""

    first_s: np.ndarray
    second_s: np.ndarray

    @classmethod
    def of(cls, time_s: np.ndarray, counts: np.ndarray, *, start_s: float, stop_s: float) -> "_Halves":
        weights = time_weights(time_s, counts & (time_s >= start_s) & (time_s < stop_s))
        is_first = time_s < (start_s + stop_s) / 2
        return cls(first_s=weights * is_first, second_s=weights * ~is_first)

    def means(self, values: np.ndarray) -> tuple[float, float]:
        return weighted_mean(values, self.first_s), weighted_mean(values, self.second_s)

    def refuse_unknown(self, output: np.ndarray) -> None:
        known = [float(half[np.isfinite(output)].sum()) for half in (self.first_s, self.second_s)]
        if any(k < max(MIN_USED_S / 2, half.sum() / 2) for k, half in zip(known, self._both(), strict=True)):
            raise TooLittleData(
                "drift at constant output needs output in at least half of each half of the window; it is known for "
                f"{known[0]:.0f} s and {known[1]:.0f} s of {self.first_s.sum():.0f} s and {self.second_s.sum():.0f} s. "
                "Type the setting in as a stage."
            )

    def _both(self) -> tuple[np.ndarray, np.ndarray]:
        return self.first_s, self.second_s


def _scatter_pct(time_s: np.ndarray, output: np.ndarray, halves: _Halves) -> float:
    """Scatter of one-minute means of output about their line, in per cent of their mean."""
    weights = np.where(np.isfinite(output), halves.first_s + halves.second_s, 0.0)
    counts = weights > 0
    minute = (time_s[counts] // _MINUTE_S).astype(int) - int(time_s[counts][0] // _MINUTE_S)
    seconds = np.bincount(minute, weights=weights[counts])
    full = np.flatnonzero(seconds >= _LEAST_MINUTE_S)
    means = np.bincount(minute, weights=weights[counts] * output[counts])[full] / seconds[full]
    if means.size < 3 or not means.mean() > 0:
        return float("inf")
    return float(100.0 * np.std(means - np.polyval(np.polyfit(full, means, 1), full)) / means.mean())


def drift_meaning(
    drift: HeartRateDrift,
    held: ConstantOutputDrift | None,
    *,
    criterion_pct: float,
    setting_known: bool,
) -> Code:
    """On which side of the criterion a valid test lies, or why that cannot be told.

    Parameters
    ----------
    drift : HeartRateDrift
        As measured.
    held : ConstantOutputDrift or None
        At constant output; None where output is a typed-in setting, or unknown.
    criterion_pct : float
        Criterion of a 60-minute window; it is scaled to the window at hand. [%]
    setting_known : bool
        Whether anything tells that the setting was held: output in the file, or stages typed in.

    Returns
    -------
    Code
        "below", "near" or "above" the criterion's share, day-to-day scatter included; "output changed" or "hills
        decide" where what output explains decides the side; "setting not known" where nothing tells output;
        "too short" below 45 min.

    Source
    ------
    This project's own choice; the criterion is common practice, no source.

    Examples
    --------
    >>> t = np.arange(3600.0)
    >>> flat = heart_rate_drift(t, 150 + np.sin(t), t >= 0, start_s=0, stop_s=3600)
    >>> drift_meaning(flat, None, criterion_pct=5.0, setting_known=True).name
    'below'
    >>> drift_meaning(flat, None, criterion_pct=5.0, setting_known=False)["if_held"]
    'below'
    """
    window_s = drift.stop_s - drift.start_s
    limit = scaled_criterion_pct(criterion_pct, window_s)
    numbers = {
        "hr_bpm": drift.first_half_bpm, "drift_pct": held.drift_pct if held else drift.drift_pct,
        "limit_pct": limit, "criterion_pct": criterion_pct, "minutes": window_s / 60.0,
    }  # fmt: skip
    if window_s < VERDICT_WINDOW_S:
        return code("too short", **numbers, least_min=VERDICT_WINDOW_S / 60.0)
    distance = numbers["drift_pct"] - limit
    u = held.u_pct if held else 0.0
    scatter = _with_days(drift)
    side = "below" if distance < 0 else "above"
    is_clear = abs(distance) > Z90 * float(np.hypot(scatter, u))
    if held and not is_clear and abs(distance) > Z90 * scatter:
        name = "output changed" if held.is_corrected else "hills decide"
        return code(
            name,
            **numbers,
            output_change_pct=held.output_change_pct,
            correction_pct=held.correction_pct,
            u_pct=u,
        )
    where = side if is_clear else "near"
    if not setting_known:
        return code("setting not known", **numbers, if_held=where)
    return code(where, **numbers)
