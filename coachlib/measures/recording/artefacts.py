"""Stretches of heart rate that look like artefacts: suggested with a reason, never taken out.

Source
------
This project's own choice throughout.  A rolling mean plus or minus three standard deviations finds nothing,
because an artefact widens its own yardstick; a running median with two thresholds found all rises of 10 bpm
lasting 8 to 60 s in simulated steady runs, with about one false alarm in a hundred clean hours.
"""

from dataclasses import dataclass, replace

import numpy as np
import scipy

from coachlib.measures.common.sampling import LONGEST_STEP_S, is_beating, time_weights
from coachlib.measures.common.spans import Span, Stretch, inside, merged, spans_of

METHOD = "artefact spans 1"

MIN_GAP_S = 3
LOWEST_BPM, HIGHEST_BPM, ABOVE_MAX_BPM = 40.0, 225.0, 8.0
MEDIAN_WINDOW_S = 241
LONGEST_RISE_S, LEAST_HIGH_S = 150, 6
PAD_BEFORE_S, PAD_AFTER_S = 2, 4
JUMP_BPM, STATIC_BPM = 6.0, 10.0
LOCK_BPM, LOCK_S, LOCK_OFF_BPM = 3.0, 40, 6.0
#: Heart rate within ``LOCK_BPM`` of cadence for more than this share of a record cannot be told from it.
LOCKED_SHARE_FRAC = 0.45
#: A recorder that leaves out more than this share of its seconds saves space; its steps are no dropouts.
SAVING_SHARE_FRAC = 0.02
#: After a change of settings or a pause heart rate moves by itself for this long. [s]
SETTLING_S = 180.0


@dataclass(frozen=True, kw_only=True, eq=False)
class _Grid:
    """A recording on an even one-second grid; NaN where nothing was recorded."""

    start_s: float
    hr_bpm: np.ndarray
    watched: np.ndarray


def suggest_exclusions(
    time_s: np.ndarray,
    hr_bpm: np.ndarray,
    *,
    cadence_rpm: np.ndarray | None = None,
    hr_max_bpm: float | None = None,
    window: Stretch | None = None,
    constant: tuple[Stretch, ...] | None = None,
) -> tuple[Span, ...]:
    """Find stretches of heart rate a coach may want to leave out.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        Elapsed time, increasing. [s]
    hr_bpm : ndarray, shape (n,)
        Heart rate; NaN where missing. [1/min]
    cadence_rpm : ndarray, shape (n,), optional
        Steps of both feet, or turns. [1/min]
    hr_max_bpm : float, optional
        The athlete's maximum; what lies well above counts as no reading. [1/min]
    window : stretch, optional
        With it every span carries the effect of leaving it in on the window's drift, ``effect_pct``.
    constant : tuple of stretches, optional
        Where settings are constant: rises, dips and cadence lock are looked for only there, from three
        minutes after each begins.  Default: everywhere.

    Returns
    -------
    tuple of Span
        In order of time, ``reason`` one of "dropout", "flat", "static", "rise", "dip", "cadence lock".

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> t = np.arange(3600.0)
    >>> hr = np.round(150 + np.sin(t / 37) + 12 * np.exp(-(((t - 2000) / 15) ** 2)))
    >>> [(s.reason, round(s.start_s, -2)) for s in suggest_exclusions(t, hr)]
    [('rise', 2000.0)]
    """
    grid = _even(time_s, hr_bpm, constant)
    if grid is None:
        return ()
    hr = grid.hr_bpm
    dropout = _dropout(hr, hr_max_bpm)
    flat = _flat(hr)
    base = _running_median(hr, ~dropout)
    static = _static(hr, base, dropout)
    rises, dips = _rises_and_dips(hr, ~(dropout | static), grid.watched)
    found = {"dropout": dropout, "static": static, "flat": flat, "rise": rises, "dip": dips}
    if cadence_rpm is not None and np.isfinite(cadence_rpm).any():
        cadence = _resampled(time_s, cadence_rpm, grid)
        if not _mostly_locked(hr, cadence):
            clean = ~(dropout | static | rises | dips)
            found["cadence lock"] = _cadence_lock(hr, cadence, clean) & grid.watched
    seconds = grid.start_s + np.arange(hr.size)
    spans = _one_each(
        [
            span
            for reason, flags in found.items()
            for span in spans_of(seconds, flags, step_s=1.0, reason=reason)
        ]
    )
    if window is None:
        return spans
    return tuple(replace(s, effect_pct=effect_pct(time_s, hr_bpm, s, window)) for s in spans)


def cannot_be_told_from_cadence(time_s: np.ndarray, hr_bpm: np.ndarray, cadence_rpm: np.ndarray) -> bool:
    """Whether heart rate lies within 3 of cadence for so long that a sensor locked to it cannot be ruled out.

    Parameters
    ----------
    time_s, hr_bpm, cadence_rpm : ndarray, shape (n,)
        Cadence in steps of both feet. [s], [1/min], [1/min]

    Examples
    --------
    >>> t = np.arange(600.0)
    >>> cannot_be_told_from_cadence(t, np.full(600, 171.0), np.full(600, 172.0))
    True
    """
    grid = _even(time_s, hr_bpm, None)
    return grid is not None and _mostly_locked(grid.hr_bpm, _resampled(time_s, cadence_rpm, grid))


def effect_pct(time_s: np.ndarray, hr_bpm: np.ndarray, span: Stretch, window: Stretch) -> float:
    """What leaving a span in adds to a window's drift.

    Parameters
    ----------
    time_s, hr_bpm : ndarray, shape (n,)
        [s], [1/min]
    span, window : stretch
        The span in question and the steady window.

    Returns
    -------
    float
        Drift with the span less drift without it; 0 where it cannot be worked out. [percentage points]

    Source
    ------
    Difference of half means, see ``measures.drift_test.drift``.

    Examples
    --------
    >>> t = np.arange(3600.0)
    >>> hr = np.where((t >= 600) & (t < 660), 160.0, 150.0)
    >>> effect_pct(t, hr, Span(start_s=600, stop_s=660), Span(start_s=0, stop_s=3600))
    -0.22
    """
    in_window = inside(time_s, [window]) & is_beating(hr_bpm)
    weights = time_weights(time_s, in_window)
    late = time_s >= (window.start_s + window.stop_s) / 2
    kept = ~inside(time_s, [span])
    beats = np.where(in_window, hr_bpm, 0.0)
    drifts = []
    for mask in (np.ones_like(kept), kept):
        w1, w2 = weights * mask * ~late, weights * mask * late
        if w1.sum() == 0 or w2.sum() == 0:
            return 0.0
        mean1, mean2 = (w1 * beats).sum() / w1.sum(), (w2 * beats).sum() / w2.sum()
        drifts.append(100 * (mean2 - mean1) / mean1)
    return float(drifts[0] - drifts[1])


def _even(time_s: np.ndarray, hr_bpm: np.ndarray, constant: tuple[Stretch, ...] | None) -> _Grid | None:
    """Resample to one second; holes of more than ``LONGEST_STEP_S`` stay holes."""
    if time_s.size < 2 or not np.isfinite(hr_bpm).any():
        return None
    start = float(time_s[0])
    seconds = start + np.arange(int(time_s[-1] - start) + 1)
    grid = _Grid(start_s=start, hr_bpm=seconds, watched=np.ones(seconds.shape, dtype=bool))
    if constant is not None:
        settled = [Span(start_s=s.start_s + SETTLING_S, stop_s=s.stop_s) for s in constant]
        grid = replace(grid, watched=inside(seconds, settled))
    return replace(grid, hr_bpm=_resampled(time_s, hr_bpm, grid))


def _resampled(time_s: np.ndarray, values: np.ndarray, grid: _Grid) -> np.ndarray:
    """Values at whole seconds, interpolated over short holes only."""
    seconds = grid.start_s + np.arange(grid.watched.size)
    known = np.isfinite(values)
    if not known.any():
        return np.full(seconds.shape, np.nan)
    at, y = time_s[known], values[known]
    even = np.interp(seconds, at, y)
    following = np.searchsorted(at, seconds)
    before, after = at[np.maximum(following - 1, 0)], at[np.minimum(following, at.size - 1)]
    exact = after == seconds
    saves_space = (np.diff(time_s) > 1.5).mean() > SAVING_SHARE_FRAC
    longest = LONGEST_STEP_S if saves_space else 2.0
    bridged = (after - before <= longest) & (seconds >= at[0]) & (seconds <= at[-1])
    return np.where(exact | bridged, even, np.nan)


def _dropout(hr: np.ndarray, hr_max_bpm: float | None) -> np.ndarray:
    """No reading, or one no heart gives, for at least three seconds."""
    top = HIGHEST_BPM if hr_max_bpm is None else hr_max_bpm + ABOVE_MAX_BPM
    with np.errstate(invalid="ignore"):
        bad = ~np.isfinite(hr) | (hr < LOWEST_BPM) | (hr > top)
    return _runs_of(bad, at_least=MIN_GAP_S)


def _flat(hr: np.ndarray) -> np.ndarray:
    """One value for longer than chance would have it."""
    steps = np.diff(hr)
    known = np.isfinite(steps)
    if known.sum() < 60:
        return np.zeros(hr.shape, dtype=bool)
    same = float(np.clip((steps[known] == 0).mean(), 0.5, 0.97))
    least = max(60.0, 1.7 * np.log(hr.size * (1 - same)) / -np.log(same))
    runs = spans_of(np.arange(steps.size, dtype=float), steps == 0, step_s=1.0)
    flat = np.zeros(hr.shape, dtype=bool)
    for run in runs:
        if run.length_s + 1 >= least:
            flat[int(run.start_s) : int(run.stop_s) + 1] = True
    return flat


def _static(hr: np.ndarray, base: np.ndarray, dropout: np.ndarray) -> np.ndarray:
    """Jumps within a second with readings far from the level about them."""
    y = np.where(dropout, np.nan, hr)
    jump = np.abs(np.diff(y, prepend=y[:1])) > JUMP_BPM
    near = scipy.ndimage.uniform_filter1d(jump.astype(float), 11) > 0
    far = np.abs(y - base) > STATIC_BPM
    touched = _joined(near & far, 11)
    # readings that stay away between two jumps belong to the same burst
    away = _joined(far, 3)
    whole = np.zeros(hr.shape, dtype=bool)
    for run in spans_of(np.arange(hr.size, dtype=float), away | touched, step_s=1.0):
        stretch = slice(int(run.start_s), int(run.stop_s))
        if touched[stretch].any():
            whole[stretch] = away[stretch] | touched[stretch]
    return _joined(whole, 15)


def _rises_and_dips(hr: np.ndarray, clean: np.ndarray, watched: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Bulges of heart rate against a running median, in two passes."""
    usable = clean & np.isfinite(hr)
    if usable.sum() < 2 * MEDIAN_WINDOW_S:
        nothing = np.zeros(hr.shape, dtype=bool)
        return nothing, nothing
    base = _running_median(hr, usable)
    rest, _, high = _residual(hr, base, usable)
    calm = usable & ~_joined(np.abs(rest) > high, 9)
    rest, low, high = _residual(
        hr, _running_median(hr, calm if calm.sum() > MEDIAN_WINDOW_S else usable), usable
    )
    return (
        _bulges(rest, low, high) & watched,
        _bulges(-rest, low, high) & watched,
    )


def _residual(hr: np.ndarray, base: np.ndarray, usable: np.ndarray) -> tuple[np.ndarray, float, float]:
    """Five-second mean of heart rate less its base, and the two thresholds."""
    rest = np.where(usable, hr - base, 0.0)
    weight = scipy.ndimage.uniform_filter1d(usable.astype(float), 5)
    smooth = np.where(weight > 0, scipy.ndimage.uniform_filter1d(rest, 5) / np.maximum(weight, 1e-9), 0.0)
    smooth[~usable] = 0.0
    inner = smooth[usable]
    sigma = 1.4826 * float(np.median(np.abs(inner - np.median(inner))))
    return smooth, max(2.0, 1.2 * sigma), max(5.0, 3.8 * sigma)


def _bulges(rest: np.ndarray, low: float, high: float) -> np.ndarray:
    """Runs above the low threshold that reach the high one, padded."""
    found = np.zeros(rest.shape, dtype=bool)
    for run in spans_of(np.arange(rest.size, dtype=float), rest > low, step_s=1.0):
        a, b = int(run.start_s), int(run.stop_s)
        peak = rest[a:b]
        if b - a <= LONGEST_RISE_S and peak.max() >= high and (peak > 0.75 * high).sum() >= LEAST_HIGH_S:
            found[max(a - PAD_BEFORE_S, 0) : b + PAD_AFTER_S] = True
    return found


def _cadence_lock(hr: np.ndarray, cadence: np.ndarray, clean: np.ndarray) -> np.ndarray:
    """Long stretches on the cadence, away from the level around, entered or left abruptly."""
    with np.errstate(invalid="ignore"):
        close = _joined(np.abs(hr - cadence) <= LOCK_BPM, 15)
    found = np.zeros(hr.shape, dtype=bool)
    for run in spans_of(np.arange(hr.size, dtype=float), close, step_s=1.0):
        a, b = int(run.start_s), int(run.stop_s)
        if b - a < LOCK_S:
            continue
        around = np.r_[max(a - 600, 0) : a, b : min(b + 600, hr.size)]
        around = around[clean[around] & np.isfinite(hr[around]) & ~close[around]]
        if around.size < 120:
            continue
        level = float(np.nanmedian(hr[a:b]))
        edges = [_edge(hr, a), _edge(hr, b)]
        if abs(level - float(np.median(hr[around]))) >= LOCK_OFF_BPM and max(edges) >= LOCK_OFF_BPM:
            found[a:b] = True
    return found


def _edge(hr: np.ndarray, at: int) -> float:
    """Size of the change about an instant, ten seconds before against ten after."""
    before, after = hr[max(at - 12, 0) : max(at - 2, 0)], hr[at + 2 : at + 12]
    if not np.isfinite(before).any() or not np.isfinite(after).any():
        return 0.0
    return abs(float(np.nanmedian(after)) - float(np.nanmedian(before)))


def _mostly_locked(hr: np.ndarray, cadence: np.ndarray) -> bool:
    both = np.isfinite(hr) & np.isfinite(cadence) & (cadence > 0)
    return bool(both.any()) and float((np.abs(hr - cadence)[both] <= LOCK_BPM).mean()) > LOCKED_SHARE_FRAC


def _running_median(hr: np.ndarray, usable: np.ndarray) -> np.ndarray:
    """Median over about four minutes of usable samples, carried across the others."""
    at = np.flatnonzero(usable & np.isfinite(hr))
    if at.size == 0:
        return np.full(hr.shape, np.nan)
    size = min(MEDIAN_WINDOW_S, 2 * (at.size // 2) + 1)
    return np.interp(np.arange(hr.size), at, scipy.ndimage.median_filter(hr[at], size=size, mode="nearest"))


def _joined(flags: np.ndarray, gap: int) -> np.ndarray:
    """Flags with holes of up to ``gap`` samples closed."""
    padded = np.pad(flags, gap)
    return scipy.ndimage.binary_closing(padded, structure=np.ones(gap + 1, dtype=bool))[gap:-gap] | flags


def _runs_of(flags: np.ndarray, *, at_least: int) -> np.ndarray:
    """Flags without runs shorter than ``at_least``."""
    kept = np.zeros(flags.shape, dtype=bool)
    for run in spans_of(np.arange(flags.size, dtype=float), flags, step_s=1.0):
        if run.length_s >= at_least:
            kept[int(run.start_s) : int(run.stop_s)] = True
    return kept


#: What explains a second best goes first; a flat span changes no drift and yields to every other.
_FIRST_REASONS = ("dropout", "static", "cadence lock", "rise", "dip", "flat")


def _one_each(spans: list[Span]) -> tuple[Span, ...]:
    """Spans in order; where two overlap by more than half, the better reason stays."""
    kept: list[Span] = []
    for span in sorted(spans, key=lambda s: _FIRST_REASONS.index(s.reason)):
        overlap = sum(
            max(0.0, min(span.stop_s, other.stop_s) - max(span.start_s, other.start_s)) for other in kept
        )
        if overlap <= 0.5 * span.length_s:
            kept.append(span)
    by_reason = [merged([s for s in kept if s.reason == reason], gap_s=1.0) for reason in _FIRST_REASONS]
    return tuple(sorted((s for group in by_reason for s in group), key=lambda s: s.start_s))
