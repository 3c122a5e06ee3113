"""One number a steady session: the output the athlete had at a reference heart rate.

Minutes 10 to 25 of every steady session are looked at, always the same ones, because both length and
start move the answer.  Mean heart rate there is brought to the reference heart rate along a **slope**; a
ratio of output to heart rate moves with the intensity that was chosen and hides part of a true change.

Source
------
This project's own choice; what it errs by was found with simulated sessions
(``tests/benchmarks/season_calls.py``).  Lag and running slope: "Identification of heart rate dynamics during
moderate-to-vigorous treadmill exercise", BioMed Eng OnLine 2015, 14, doi 10.1186/s12938-015-0112-7: 57.6 s
and 24.2 bpm per m/s.
"""

from dataclasses import dataclass

import numpy as np

from coachlib.errors import BadArgument, TooLittleData, UnfitTest
from coachlib.measures.common.sampling import time_weights, weighted_mean
from coachlib.measures.recording.lag import lagged_output

METHOD = "output at a heart rate 1"
#: Usual slopes of heart rate on output. [1/min per m/s], [1/min per W]  Running: see the module's docstring;
#: cycling: own choice, about 2.9 W a beat; 74 open step tests of cyclists (D. Hammarström, exscidata) give
#: 0.32 with a standard deviation of 0.05.
RUNNING_SLOPE, CYCLING_SLOPE = 24.2, 0.34
#: Minutes that count, and how far they may stretch where too few are usable. [s]  Own choice.
START_S, STOP_S, LATEST_STOP_S, LEAST_USED_S = 600.0, 1500.0, 1800.0, 600.0
#: A reading is refused further than this from the reference heart rate. [1/min]  Own choice: a tighter limit
#: throws away the very sessions in which a fitter athlete holds the old pace.
FURTHEST_BPM = 15.0
#: Heart rate each degree above 21 adds in these minutes, and its spread. [1/min per degC]  Own choice: the
#: direct part (0.8) and what heat adds by drift up to minute 17.
REFERENCE_C, HEAT_BPM_PER_C, HEAT_SD = 21.0, 1.1, 0.5
#: Day-to-day offset, what stays unexplained (running, cycling). [1/min]  Lamberts et al. 2004; own choice.
DAY_SD_BPM, REST_SD_RUNNING_BPM, REST_SD_CYCLING_BPM = 2.55, 1.2, 1.5
#: Error of measured output that a whole session shares.  Own choice.
OUTPUT_ERROR_FRAC = 0.011
#: How unsure the slope is: usual one, own one running, own one cycling.  Own choice.
SLOPE_ERROR_USUAL, SLOPE_ERROR_OWN_RUNNING, SLOPE_ERROR_OWN_CYCLING = 0.25, 0.13, 0.06
#: A stretch whose minute means of output vary more is not steady (running, cycling).  Own choice, untested.
UNSTEADY_RUNNING, UNSTEADY_CYCLING = 0.08, 0.20
#: Added where the temperature is unknown in a warm month. [1/min]  Own choice.
UNKNOWN_HEAT_BPM = 2.0
#: Minutes of autocorrelated residuals look surer than they are by this factor.  Own choice, from simulation.
INFLATION = 1.36
#: An own slope comes from means of this length, from this minute on, so many a ride and so many rides. [s]
#: Own choice.
BLOCK_S, SETTLED_S, LEAST_BLOCKS, LEAST_RIDES = 180.0, 480.0, 5, 12


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputReading:
    """Output at the reference heart rate from one session.

    ``output`` is in the output's own unit; ``reading_bpm`` the same in bpm-equivalents, for trends (+ is
    fitter); ``se_bpm`` includes day-to-day scatter; ``distance_bpm`` is how far the session's heart rate
    lay from the reference.
    """

    output: float
    reading_bpm: float
    se_bpm: float
    hr_bpm: float
    mean_output: float
    distance_bpm: float
    hr_reference_bpm: float
    slope: float
    slope_is_own: bool
    temperature_c: float | None
    used_s: float
    method: str
    caveats: tuple[str, ...]


def output_at_heart_rate(
    time_s: np.ndarray,
    hr_bpm: np.ndarray,
    output: np.ndarray,
    used: np.ndarray,
    *,
    hr_reference_bpm: float,
    slope: float,
    slope_is_own: bool,
    is_cycling: bool,
    temperature_c: float | None,
    warm_month: bool = False,
    threshold_bpm: float | None = None,
) -> OutputReading:
    """Read output at a reference heart rate from minutes 10 to 25 of a steady session.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        Elapsed time, increasing. [s]
    hr_bpm : ndarray, shape (n,)
        Heart rate; NaN where there is none. [1/min]
    output : ndarray, shape (n,)
        Flat-equivalent speed [m/s] or power [W]; NaN where unknown.
    used : ndarray of bool, shape (n,)
        True outside stops, the minutes after them, and exclusions.
    hr_reference_bpm : float
        The athlete's reference heart rate, fixed for a season. [1/min]
    slope : float
        Heart rate for each unit of output: own or usual. [1/min per m/s or W]
    slope_is_own : bool
        Whether the slope was learnt from this athlete.
    is_cycling : bool
        Whether ``output`` is power on a bicycle.
    temperature_c : float or None
        Air temperature. [degC]
    warm_month : bool
        Whether an unknown temperature may have been warm.
    threshold_bpm : float, optional
        The accepted first threshold: above it drift spoils the reading. [1/min]

    Returns
    -------
    OutputReading

    Raises
    ------
    TooLittleData
        With fewer than ten usable minutes between minute 10 and 30.
    UnfitTest
        Where output was not steady, or heart rate too far from the reference or above the threshold.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> t = np.arange(2400.0)
    >>> found = output_at_heart_rate(t, np.full(2400, 145.0), np.full(2400, 3.0), t >= 0,
    ...     hr_reference_bpm=140.0, slope=24.2, slope_is_own=False, is_cycling=False, temperature_c=15.0)
    >>> round(found.output, 4), found.distance_bpm
    (2.7934, 5.0)
    """
    if not slope > 0:
        raise BadArgument(f"the slope of heart rate on output must be above 0; {slope:g} was given.")
    lagged = lagged_output(time_s, output)
    weights = _chosen(time_s, time_weights(time_s, used & np.isfinite(hr_bpm) & np.isfinite(output)))
    heat = 0.0 if temperature_c is None else max(0.0, temperature_c - REFERENCE_C)
    mean_hr = weighted_mean(hr_bpm, weights) - HEAT_BPM_PER_C * heat
    mean_output = weighted_mean(lagged, weights)
    distance = mean_hr - hr_reference_bpm
    _refuse_unfit(
        _minute_means(time_s, lagged, weights),
        mean_hr,
        distance,
        is_cycling=is_cycling,
        threshold_bpm=threshold_bpm,
    )
    unknown_heat = temperature_c is None and warm_month
    variance = (
        _within_variance(_minute_means(time_s, hr_bpm - slope * lagged, weights), float(weights.sum()))
        + DAY_SD_BPM**2
        + (OUTPUT_ERROR_FRAC * slope * mean_output) ** 2
        + (slope_error(slope_is_own=slope_is_own, is_cycling=is_cycling) * distance) ** 2
        + (HEAT_SD * heat) ** 2
        + (REST_SD_CYCLING_BPM if is_cycling else REST_SD_RUNNING_BPM) ** 2
        + (UNKNOWN_HEAT_BPM if unknown_heat else 0.0) ** 2
    )
    return OutputReading(
        output=mean_output - distance / slope, reading_bpm=slope * mean_output - distance,
        se_bpm=float(np.sqrt(variance)), hr_bpm=mean_hr, mean_output=mean_output, distance_bpm=distance,
        hr_reference_bpm=hr_reference_bpm, slope=slope, slope_is_own=slope_is_own,
        temperature_c=temperature_c, used_s=float(weights.sum()), method=METHOD,
        caveats=_caveats(heat, unknown_heat, last_s=float(time_s[weights > 0][-1])),
    )  # fmt: skip


def own_cycling_slope(
    time_s: list[np.ndarray], hr_bpm: list[np.ndarray], power_w: list[np.ndarray], used: list[np.ndarray]
) -> float:
    """Heart rate for each watt [1/min per W], from what happened within many steady rides.

    Three-minute means from minute 8 on; each ride has its own level, line and bend in time, so that drift
    and the day do not count.  For running this does not work: the error of measured speed flattens the
    slope by an amount nobody knows.

    Parameters
    ----------
    time_s, hr_bpm, power_w, used : list of ndarray
        One of each a ride, as in ``output_at_heart_rate``.

    Raises
    ------
    TooLittleData
        With fewer than twelve rides, or where power never changed.

    Source
    ------
    This project's own choice: pooled regression within sessions.

    Examples
    --------
    >>> t = np.arange(3600.0)
    >>> power = 200 + 30 * np.sin(t / 400)
    >>> rides = [t] * 12, [100 + 0.3 * lagged_output(t, power)] * 12, [power] * 12, [t >= 0] * 12
    >>> own_cycling_slope(*rides)
    0.300
    """
    if len(time_s) < LEAST_RIDES:
        raise TooLittleData(
            f"an own slope needs {LEAST_RIDES} steady rides with power; {len(time_s)} were given. "
            "Use the usual slope until then."
        )
    crossed = squared = 0.0
    for ride_s, hr, power, counts in zip(time_s, hr_bpm, power_w, used, strict=True):
        weights = time_weights(ride_s, counts & np.isfinite(hr) & np.isfinite(power) & (ride_s >= SETTLED_S))
        blocks, mean_hr = _block_means(ride_s, hr, weights, BLOCK_S)
        _, mean_output = _block_means(ride_s, lagged_output(ride_s, power), weights, BLOCK_S)
        if blocks.size < LEAST_BLOCKS:
            continue
        trend = np.vander(blocks / 10.0, 3)
        hr_left, output_left = (a - trend @ np.linalg.lstsq(trend, a)[0] for a in (mean_hr, mean_output))
        crossed += float(hr_left @ output_left)
        squared += float(output_left @ output_left)
    if squared < 1e-9 or crossed <= 0:
        raise TooLittleData(
            "an own slope needs rides whose power changed within the ride; these show no such change. "
            "Use the usual slope."
        )
    return crossed / squared


def _chosen(time_s: np.ndarray, weights_s: np.ndarray) -> np.ndarray:
    """Weights of minutes 10 to 25, or to 30 where those hold too little; 0 elsewhere."""
    for stop in (STOP_S, LATEST_STOP_S):
        chosen = np.where((time_s >= START_S) & (time_s < stop), weights_s, 0.0)
        if chosen.sum() >= LEAST_USED_S:
            return chosen
    raise TooLittleData(
        f"output at a heart rate needs {LEAST_USED_S / 60:.0f} usable minutes between minute "
        f"{START_S / 60:.0f} "
        f"and {LATEST_STOP_S / 60:.0f}; this session has {chosen.sum() / 60:.0f}. Nothing is wrong with the "
        "session: it only cannot be compared."
    )


def _refuse_unfit(
    minute_output: np.ndarray,
    mean_hr: float,
    distance: float,
    *,
    is_cycling: bool,
    threshold_bpm: float | None,
) -> None:
    """Refuse sessions whose reading would mislead."""
    refuse_far(mean_hr, distance)
    if threshold_bpm is not None and mean_hr > threshold_bpm:
        raise UnfitTest(
            f"output at a heart rate needs a session below the first threshold of {threshold_bpm:.0f} "
            "bpm; this one was "
            f"at {mean_hr:.0f} bpm. It is left out of the trend."
        )
    spread = float(minute_output.std() / max(minute_output.mean(), 1e-9))
    limit = UNSTEADY_CYCLING if is_cycling else UNSTEADY_RUNNING
    if spread > limit:
        raise UnfitTest(
            f"output at a heart rate needs steady output; its minute means vary by {100 * spread:.0f} %, "
            "at most "
            f"{100 * limit:.0f} % can be used. The session is left out of the trend."
        )


def refuse_far(mean_hr: float, distance: float) -> None:
    """Refuse what lies too far from the reference heart rate to be brought to it."""
    if abs(distance) > FURTHEST_BPM:
        raise UnfitTest(
            f"output at {mean_hr - distance:.0f} bpm needs a session within {FURTHEST_BPM:.0f} bpm of it; "
            f"this one was at {mean_hr:.0f} bpm. It is left out of the trend."
        )


def _minute_means(time_s: np.ndarray, values: np.ndarray, weights_s: np.ndarray) -> np.ndarray:
    """Means of the minutes of which at least half counts."""
    return _block_means(time_s, values, weights_s, 60.0)[1]


def _block_means(
    time_s: np.ndarray, values: np.ndarray, weights_s: np.ndarray, length_s: float
) -> tuple[np.ndarray, np.ndarray]:
    """Numbers and means of the blocks of which at least half counts."""
    counts = weights_s > 0
    block, weights = (time_s[counts] // length_s).astype(int), weights_s[counts]
    seconds = np.bincount(block, weights)
    kept = np.flatnonzero(seconds >= length_s / 2)
    return kept, np.bincount(block, weights * values[counts])[kept] / seconds[kept]


def _within_variance(minutes: np.ndarray, used_s: float) -> float:
    """Variance [1/min^2] of the mean of an autocorrelated residual, from its minute means."""
    k = minutes.size
    number = np.arange(k)
    left = minutes - np.polyval(np.polyfit(number, minutes, 1), number)
    power = float(left[:-1] @ left[:-1])
    raw = float(left[1:] @ left[:-1]) / power if power > 1e-12 else 0.0
    phi = float(np.clip(raw + (1.0 + 4.0 * raw) / k, -0.2, 0.9))
    innovation = float(((left[1:] - phi * left[:-1]) ** 2).sum()) / max(k - 3, 1)
    long_run = 60.0 * innovation / (1.0 - phi) ** 2
    return INFLATION**2 * long_run / used_s


def slope_error(*, slope_is_own: bool, is_cycling: bool) -> float:
    """Relative doubt of the slope."""
    if not slope_is_own:
        return SLOPE_ERROR_USUAL
    return SLOPE_ERROR_OWN_CYCLING if is_cycling else SLOPE_ERROR_OWN_RUNNING


def _caveats(heat: float, unknown_heat: bool, *, last_s: float) -> tuple[str, ...]:
    """What to be careful about, in sentences."""
    said = []
    if heat > 0:
        said.append(
            f"brought back from {REFERENCE_C + heat:.0f} to {REFERENCE_C:.0f} degC: "
            f"{HEAT_BPM_PER_C * heat:.1f} bpm"
        )
    if unknown_heat:
        said.append("temperature unknown in a warm month: counted as less sure")
    if last_s >= STOP_S:
        said.append("too few usable minutes before minute 25: the reading reaches to minute 30")
    return tuple(said)
