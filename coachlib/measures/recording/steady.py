"""Where a recording is steady: changes of setting, pauses with their settling, the window to begin with.

Source
------
This project's own choice throughout.  A fixed wait of 15 minutes after the last change of setting left
less of the slow rise of heart rate in the window than any rule tried that reads the settling from the data.
"""

from collections.abc import Iterable
from itertools import pairwise

import numpy as np

from coachlib.errors import TooLittleData
from coachlib.measures.common.change import step_change
from coachlib.measures.common.codes import Code, code
from coachlib.measures.common.sampling import time_weights, weighted_mean
from coachlib.measures.common.spans import Span, Stretch, inside
from coachlib.measures.recording.lag import lagged_output

METHOD = "steady stretch 1"
#: Wait after the last change of settings. [s]
SETTLING_S = 900.0
#: A pause is left out together with this much after it. [s]
AFTER_PAUSE_S = 240.0
#: A longer pause starts the wait anew. [s]
LONG_PAUSE_S = 120.0
#: The longest window suggested: the criterion belongs to an hour. [s]
LONGEST_WINDOW_S = 3600.0
#: Least change of speed that counts as a new setting: 0.3 km/h from a sensor. [m/s]
SPEED_FLOOR_MPS = 0.3 / 3.6
#: Least change of power that counts as a new setting. [W]
POWER_FLOOR_W = 12.0
#: Outside a laboratory output wanders: there only a change this many times as large is a new setting.
ROAD_SPEED_TIMES, ROAD_POWER_TIMES = 4.0, 3.0
#: An ordinary session is steady for at least this long. [s]
LEAST_STEADY_S = 1800.0
#: ... with one-minute output that scatters by no more than this share of its mean.
STEADY_SPEED_FRAC, STEADY_POWER_FRAC = 0.08, 0.20


def setting_changes(time_s: np.ndarray, output: np.ndarray, *, floor: float) -> tuple[float, ...]:
    """Instants at which the setting changed, from speed or power.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        Elapsed time. [s]
    output : ndarray, shape (n,)
        Speed or power; NaN where missing. [m/s or W]
    floor : float
        Least change that counts; see ``SPEED_FLOOR_MPS``, ``POWER_FLOOR_W``. [m/s or W]

    Returns
    -------
    tuple of float
        Elapsed times. [s]

    Source
    ------
    This project's own choice: median of the minute after less median of the minute before, against the
    scatter of that difference.

    Examples
    --------
    >>> t = np.arange(1800.0)
    >>> setting_changes(t, np.where(t < 900, 2.5, 2.8), floor=SPEED_FLOOR_MPS)
    (900.0,)
    """
    known = np.isfinite(output)
    if known.sum() < 120 or time_s[-1] - time_s[0] < 240:
        return ()
    seconds = np.arange(time_s[0], time_s[-1] + 1)
    even = np.interp(seconds, time_s[known], output[known])
    blocks = np.lib.stride_tricks.sliding_window_view(even, 60)
    medians = np.median(blocks[::5], axis=1)
    steps = medians[12:] - medians[:-12]
    sigma = 1.4826 * float(np.median(np.abs(steps - np.median(steps))))
    least = max(floor, 5 * sigma)
    changes: list[float] = []
    size = np.abs(steps)
    while size.size and size.max() >= least:
        at = int(size.argmax())
        centre = at * 5 + 60
        changes.append(float(seconds[_refined(even, centre)]))
        size[max(at - 18, 0) : at + 19] = 0.0
    return tuple(sorted(changes))


def _refined(even: np.ndarray, centre: int) -> int:
    """The split within 45 s of a change that two levels fit best."""
    a, b = max(centre - 60, 1), min(centre + 60, even.size - 1)
    return a + step_change(even[a:b]).n_before


def pauses_with_settling(pauses: Iterable[Stretch]) -> tuple[Span, ...]:
    """Pauses together with the time heart rate takes to come back.

    Parameters
    ----------
    pauses : iterable of stretches
        Timer pauses or unexplained gaps.

    Source
    ------
    This project's own choice: 60 s times the logarithm of the drop is 130 to 230 s for pauses of 10 s to
    2 min; four minutes cover them.

    Examples
    --------
    >>> pauses_with_settling([Span(start_s=100, stop_s=130)])[0].stop_s
    370.0
    """
    return tuple(
        Span(start_s=float(p.start_s), stop_s=float(p.stop_s) + AFTER_PAUSE_S, reason="pause") for p in pauses
    )


def suggest_window(
    time_s: np.ndarray,
    hr_bpm: np.ndarray,
    output: np.ndarray | None = None,
    *,
    pauses: Iterable[Stretch] = (),
    floor: float = SPEED_FLOOR_MPS,
    changes_s: Iterable[float] | None = None,
) -> Span:
    """The steady window to begin with; the coach moves it.

    Parameters
    ----------
    time_s, hr_bpm : ndarray, shape (n,)
        [s], [1/min]
    output : ndarray, shape (n,), optional
        Speed or power, to find changes of setting. [m/s or W]
    pauses : iterable of stretches
        Pauses; one longer than ``LONG_PAUSE_S`` starts the wait anew.
    floor : float
        Least change of output that counts. [m/s or W]
    changes_s : iterable of float, optional
        Known changes of setting (stages typed in); then none are looked for. [s]

    Returns
    -------
    Span
        From 15 minutes after the setting that was held longest began to its end, at most an hour.

    Raises
    ------
    TooLittleData
        When the recording holds nothing.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> t = np.arange(5400.0)
    >>> window = suggest_window(t, np.full(5400, 150.0))
    >>> window.start_s, window.stop_s
    (900.0, 4500.0)
    """
    if time_s.size == 0:
        raise TooLittleData(
            "a steady window needs a recording; this one has no records. Choose another file."
        )
    known = np.isfinite(hr_bpm)
    end = float(time_s[known][-1]) + 1.0 if known.any() else float(time_s[-1]) + 1.0
    if changes_s is None:
        changes_s = setting_changes(time_s, output, floor=floor) if output is not None else ()
    restarts = [float(p.stop_s) for p in pauses if p.stop_s - p.start_s > LONG_PAUSE_S]
    edges = sorted(
        {float(time_s[0]), *(c for c in changes_s if c < end), *(r for r in restarts if r < end), end}
    )
    start, stop = max(pairwise(edges), key=lambda pair: pair[1] - pair[0])
    if stop - start > SETTLING_S + LEAST_STEADY_S / 3:
        start += SETTLING_S
    return Span(start_s=start, stop_s=min(stop, start + LONGEST_WINDOW_S), reason="suggested")


def why_not_steady(
    time_s: np.ndarray,
    output: np.ndarray | None,
    *,
    window: Stretch,
    pauses: Iterable[Stretch] = (),
    is_power: bool = False,
) -> Code | None:
    """Why a stretch of an ordinary session is not steady enough to tell its drift; None where it is.

    Parameters
    ----------
    time_s, output : ndarray, shape (n,)
        [s], [m/s or W]; where neither speed nor power is known, only length and pauses are looked at.
    window : stretch
        The stretch, see ``suggest_window``.
    pauses : iterable of stretches
        Pauses of the recording.
    is_power : bool
        Output is power: riding scatters more than running.

    Examples
    --------
    >>> t = np.arange(5400.0)
    >>> why_not_steady(t, np.full(5400, 3.0), window=Span(start_s=900, stop_s=4500)) is None
    True
    """
    length_s = window.stop_s - window.start_s
    if length_s < LEAST_STEADY_S:
        return code("steady too short", minutes=length_s / 60, needed_min=LEAST_STEADY_S / 60)
    held = tuple(pauses)
    paused = float(
        sum(min(p.stop_s, window.stop_s) - max(p.start_s, window.start_s) for p in held if _meet(p, window))
    )
    if paused > LONG_PAUSE_S:
        return code("pauses in the stretch", pause_s=paused)
    if output is None:
        return None
    scatter = output_scatter(time_s, output, window=window, pauses=held)
    limit = STEADY_POWER_FRAC if is_power else STEADY_SPEED_FRAC
    if scatter is None:
        return code("output missing")
    if scatter > limit:
        return code("output not steady", scatter_pct=100 * scatter, limit_pct=100 * limit)
    return None


def _meet(a: Stretch, b: Stretch) -> bool:
    return a.start_s < b.stop_s and b.start_s < a.stop_s


def output_scatter(
    time_s: np.ndarray, output: np.ndarray, *, window: Stretch, pauses: Iterable[Stretch] = ()
) -> float | None:
    """Scatter of one-minute output as heart rate sees it, as a share of its mean.

    Parameters
    ----------
    time_s, output : ndarray, shape (n,)
        [s], [m/s or W]
    window : stretch
        Where to look.
    pauses : iterable of stretches
        Left aside.

    Returns
    -------
    float or None
        Standard deviation over mean; None where output is known for less than six minutes.

    Source
    ------
    This project's own choice; the lag is that of ``lag.lagged_output``.

    Examples
    --------
    >>> t = np.arange(3600.0)
    >>> output_scatter(t, np.full(3600, 3.0), window=Span(start_s=0, stop_s=3600))
    0.0
    """
    running = inside(time_s, [window]) & ~inside(time_s, pauses) & np.isfinite(output)
    if running.sum() < 30:
        return None
    seen = lagged_output(time_s, output)
    weights = time_weights(time_s, running)
    minute = (time_s // 60).astype(int)
    seconds = np.bincount(minute, weights=weights)
    sums = np.bincount(minute, weights=weights * np.where(running, seen, 0.0))
    means = sums[seconds >= 30] / seconds[seconds >= 30]
    mean = weighted_mean(seen, weights)
    return float(means.std() / mean) if means.size > 5 and mean > 0 else None
