"""Whether a drift test says what it seems to say: each doubt as a code with its numbers.

Source
------
Limits are this project's own choice where nothing else is said; the sizes of effects come from simulated
runs (unfinished settling) and from the literature (heat), see the constants.
"""

from collections.abc import Iterable

import numpy as np

from coachlib.measures.common.codes import Finding, Severity, found
from coachlib.measures.common.spans import Span, Stretch
from coachlib.measures.drift_test.drift import (
    REFERENCE_WINDOW_S,
    VERDICT_WINDOW_S,
    HeartRateDrift,
    drift_map,
    scaled_criterion_pct,
)
from coachlib.measures.drift_test.reference_conditions import HEAT_PCT_PER_C, REFERENCE_C
from coachlib.measures.recording.artefacts import LOCK_BPM
from coachlib.measures.recording.steady import (
    AFTER_PAUSE_S,
    LONG_PAUSE_S,
    SETTLING_S,
    STEADY_POWER_FRAC,
    STEADY_SPEED_FRAC,
)

#: Below this a window is no test: the criterion's share is as small as the error. [s]
LEAST_WINDOW_S = 1200.0
#: Settings may be set back in the last seconds of a window without harm. [s]
EDGE_S = 30.0
#: Drift that an unfinished settling adds in 60 min, by minutes at the setting before the window (means of
#: simulated runs). [percentage points]
SETTLING_MIN = (0.0, 3.0, 5.0, 8.0, 10.0, 12.0, 15.0)
SETTLING_PCT = (1.17, 0.48, 0.33, 0.19, 0.14, 0.10, 0.06)
#: The same in a shorter window grows with this power of 60 min over its length.
SETTLING_POWER = 0.7
#: Used share of a window below which a test is doubtful, and below which it is none.
DOUBTFUL_USED_PCT, LEAST_USED_PCT = 80.0, 60.0
#: Drift over 60 min above which something else than physiology is looked for first. [%]
HIGHEST_PCT = 10.0
#: As far from the criterion as this a usual test cannot tell the side. [percentage points]
NEAR_PCT = 1.8
#: Half an interval beyond which heart rate wandered too much for any drift. [percentage points]
WIDEST_PCT = 5.0
#: A window's ends are moved by this much to see how much hangs on them. [s]
MOVE_S = 300.0
#: Spread of drift over moved ends that is worth a remark. [percentage points]
SPREAD_PCT = 0.5
#: Share of a window without a believable reading from which the strap is doubted.
STRAP_PCT = 5.0
#: Suggestions that would move the drift by this much want an answer. [percentage points]
OPEN_EFFECT_PCT = 0.2


def window_length(drift: HeartRateDrift, *, criterion_pct: float) -> Finding | None:
    """Whether the window is shorter than the hour to which the criterion belongs.

    Examples
    --------
    >>> t = np.arange(3000.0)
    >>> from coachlib.measures.drift_test.drift import heart_rate_drift
    >>> short = heart_rate_drift(t, 150 + np.sin(t), t >= 0, start_s=0, stop_s=3000)
    >>> window_length(short, criterion_pct=6.0).code["share_pct"]
    5.0
    """
    length_s = drift.stop_s - drift.start_s
    if length_s >= REFERENCE_WINDOW_S - 60:
        return None
    if length_s < LEAST_WINDOW_S:
        return found("no window for a test", "void", minutes=length_s / 60, least_min=LEAST_WINDOW_S / 60)
    if length_s < VERDICT_WINDOW_S:
        return found("short window", "note", minutes=length_s / 60, least_min=VERDICT_WINDOW_S / 60)
    share = scaled_criterion_pct(criterion_pct, length_s)
    return found(
        "less than an hour", "note", minutes=length_s / 60, criterion_pct=criterion_pct, share_pct=share
    )


def setting_changed(window: Stretch, changes_s: Iterable[float], *, is_sure: bool = True) -> Finding | None:
    """Whether the setting changed inside the window.

    Parameters
    ----------
    window : stretch
        The window.
    changes_s : iterable of float
        Instants of change. [s]
    is_sure : bool
        False where they were read from speed or power out of doors, where slope and wind do as much.

    Examples
    --------
    >>> setting_changed(Span(start_s=900, stop_s=4500), [900.0, 2700.0]).code["first_s"]
    2700.0
    """
    inner = sorted(c for c in changes_s if window.start_s + EDGE_S < c < window.stop_s - EDGE_S)
    if not inner:
        return None
    if is_sure:
        return found("setting changed", "void", n_changes=len(inner), first_s=inner[0])
    return found("output may have changed", "doubt", n_changes=len(inner), first_s=inner[0])


def uneven_output(scatter_frac: float | None, *, is_power: bool) -> Finding | None:
    """Whether output wandered inside the window, without any one change.

    Parameters
    ----------
    scatter_frac : float or None
        From ``steady.output_scatter``.
    is_power : bool
        Output is power, which may scatter more.

    Examples
    --------
    >>> uneven_output(0.12, is_power=False).code["scatter_pct"]
    12.0
    """
    limit = STEADY_POWER_FRAC if is_power else STEADY_SPEED_FRAC
    if scatter_frac is None or scatter_frac <= limit:
        return None
    return found("uneven output", "doubt", scatter_pct=100 * scatter_frac, limit_pct=100 * limit)


def uneven_heart_rate(drift: HeartRateDrift) -> Finding | None:
    """Whether heart rate wandered so much about its line that no drift can be told.

    Examples
    --------
    >>> t = np.arange(3600.0)
    >>> from coachlib.measures.drift_test.drift import heart_rate_drift
    >>> waves = heart_rate_drift(t, 150 + 15 * np.sin(t / 200), t >= 0, start_s=0, stop_s=3600)
    >>> uneven_heart_rate(waves).severity
    'void'
    """
    half = (drift.drift_high_pct - drift.drift_low_pct) / 2
    return found("uneven heart rate", "void", half_interval_pct=half) if half > WIDEST_PCT else None


def warm_up(window: Stretch, settled_from_s: float) -> Finding | None:
    """Whether heart rate had time to settle at the setting of the test before the window.

    Parameters
    ----------
    window : stretch
        The window.
    settled_from_s : float
        When the setting of the test, or the run after a long pause, began. [s]

    Examples
    --------
    >>> warm_up(Span(start_s=900, stop_s=4500), 900.0).code["added_pct"]
    1.17
    """
    minutes = max(window.start_s - settled_from_s, 0.0) / 60
    if minutes >= SETTLING_S / 60 - 0.5:
        return None
    stretch = (REFERENCE_WINDOW_S / (window.stop_s - window.start_s)) ** SETTLING_POWER
    added = float(np.interp(minutes, SETTLING_MIN, SETTLING_PCT)) * stretch
    severity: Severity = "doubt" if added >= 0.3 else "note"
    return found("warm-up", severity, minutes=minutes, needed_min=SETTLING_S / 60, added_pct=added)


def pause_inside(
    window: Stretch, pauses: Iterable[Stretch], left_out: Iterable[Stretch] = ()
) -> Finding | None:
    """Whether the athlete stopped inside the window, and whether the recovery after it still counts.

    Examples
    --------
    >>> pause_inside(Span(start_s=900, stop_s=4500), [Span(start_s=2000, stop_s=2060)]).severity
    'doubt'
    """
    inner = [p for p in pauses if p.stop_s > window.start_s and p.start_s < window.stop_s]
    if not inner:
        return None
    seconds = float(sum(min(p.stop_s, window.stop_s) - max(p.start_s, window.start_s) for p in inner))
    gone = tuple(left_out)
    if max(p.stop_s - p.start_s for p in inner) > LONG_PAUSE_S:
        return found("long pause inside", "doubt", pause_s=seconds, settling_min=SETTLING_S / 60)
    if any(not _left_out(p.stop_s, min(p.stop_s + AFTER_PAUSE_S, window.stop_s), gone) for p in inner):
        return found("pause inside", "doubt", pause_s=seconds, after_min=AFTER_PAUSE_S / 60)
    return found("pause left out", "note", pause_s=seconds)


def left_out(drift: HeartRateDrift) -> Finding | None:
    """Whether too much of the window carries no usable heart rate.

    Examples
    --------
    >>> t = np.arange(3600.0)
    >>> from coachlib.measures.drift_test.drift import heart_rate_drift
    >>> left_out(heart_rate_drift(t, 150 + np.sin(t), t % 4 > 0, start_s=0, stop_s=3600)).severity
    'doubt'
    """
    if drift.used_pct >= DOUBTFUL_USED_PCT:
        return None
    if drift.used_pct < LEAST_USED_PCT:
        return found("too much left out", "void", left_out_pct=100 - drift.used_pct)
    return found("much left out", "doubt", left_out_pct=100 - drift.used_pct)


def heat(drift: HeartRateDrift, temperature_c: float | None) -> Finding | None:
    """How much of the drift heat may have added.

    Examples
    --------
    >>> t = np.arange(3600.0)
    >>> from coachlib.measures.drift_test.drift import heart_rate_drift
    >>> heat(heart_rate_drift(t, 150 + np.sin(t), t >= 0, start_s=0, stop_s=3600), 26.0).code["added_pct"]
    2.0
    """
    if temperature_c is None or temperature_c <= REFERENCE_C:
        return None
    added = scaled_criterion_pct(HEAT_PCT_PER_C * (temperature_c - REFERENCE_C), drift.stop_s - drift.start_s)
    severity: Severity = "doubt" if added >= 0.5 else "note"
    return found("heat", severity, temperature_c=temperature_c, cool_c=REFERENCE_C, added_pct=added)


def odd_drift(drift: HeartRateDrift) -> Finding | None:
    """Whether the drift is one that steady work hardly gives: surely negative, or above 10 % in an hour.

    Examples
    --------
    >>> t = np.arange(3600.0)
    >>> from coachlib.measures.drift_test.drift import heart_rate_drift
    >>> odd_drift(heart_rate_drift(t, 150 - t / 300, t >= 0, start_s=0, stop_s=3600)).name
    'negative drift'
    """
    minutes = (drift.stop_s - drift.start_s) / 60
    if drift.drift_high_pct < 0:
        return found("negative drift", "doubt", fall_pct=-drift.drift_pct, minutes=minutes)
    if drift.drift_pct > scaled_criterion_pct(HIGHEST_PCT, drift.stop_s - drift.start_s):
        return found("high drift", "doubt", drift_pct=drift.drift_pct, minutes=minutes)
    return None


def window_sensitivity(
    time_s: np.ndarray,
    hr_bpm: np.ndarray,
    used: np.ndarray,
    *,
    window: Stretch,
    reach: Stretch,
    interval_pct: float,
) -> Finding | None:
    """Whether the answer hangs on where exactly the window begins and ends.

    Parameters
    ----------
    time_s, hr_bpm, used : ndarray, shape (n,)
        As for ``drift.heart_rate_drift``.
    window : stretch
        The window; each end is moved by ``MOVE_S`` both ways.
    reach : stretch
        The stretch at one setting, which no moved end leaves.
    interval_pct : float
        Width of the drift's own interval; a spread within it is no more than a note. [percentage points]

    Returns
    -------
    Finding or None
        ``low_pct`` and ``high_pct`` bound the drifts, each brought to the window's own length.

    Examples
    --------
    >>> t = np.arange(4200.0)
    >>> whole = Span(start_s=0, stop_s=4200)
    >>> window = Span(start_s=300, stop_s=3900)
    >>> even = window_sensitivity(t, 150 + t / 600, t >= 0, window=window, reach=whole, interval_pct=1.6)
    >>> even is None
    True
    """
    moves = np.array([-MOVE_S, 0.0, MOVE_S])
    starts, stops = window.start_s + moves, window.stop_s + moves
    starts, stops = starts[starts >= reach.start_s], stops[stops <= reach.stop_s]
    drifts = drift_map(time_s, hr_bpm, used, starts_s=starts, stops_s=stops)
    scaled = drifts * (window.stop_s - window.start_s) / (stops[None, :] - starts[:, None])
    known = scaled[np.isfinite(scaled)]
    if known.size < 2 or np.ptp(known) <= SPREAD_PCT:
        return None
    values = {"moved_min": MOVE_S / 60, "low_pct": float(known.min()), "high_pct": float(known.max())}
    if np.ptp(known) > interval_pct:
        return found("window decides", "doubt", **values)
    return found("window matters little", "note", **values)


def strap(window: Stretch, suggestions: Iterable[Span], *, like_cadence: bool = False) -> Finding | None:
    """Whether the sensor itself is doubtful: static and dropouts, or heart rate on the cadence.

    Examples
    --------
    >>> static = Span(start_s=1000, stop_s=1400, reason="static")
    >>> strap(Span(start_s=900, stop_s=4500), [static]).code["bad_pct"]
    11.1
    """
    if like_cadence:
        return found("like cadence", "doubt", within_bpm=LOCK_BPM)
    bad = sum(
        max(0.0, min(s.stop_s, window.stop_s) - max(s.start_s, window.start_s))
        for s in suggestions
        if s.reason in ("static", "dropout", "cadence lock")
    )
    share = 100 * bad / (window.stop_s - window.start_s)
    return found("strap", "doubt", bad_pct=share) if share > STRAP_PCT else None


def open_suggestions(suggestions: Iterable[Span]) -> Finding | None:
    """Whether stretches nobody has answered yet would move the drift.

    Parameters
    ----------
    suggestions : iterable of Span
        Unanswered ones, with ``effect_pct``.

    Examples
    --------
    >>> open_suggestions([Span(start_s=0, stop_s=60, reason="rise", effect_pct=0.3)]).code["moved_pct"]
    0.3
    """
    effects = [s.effect_pct for s in suggestions if s.effect_pct]
    moved = sum(abs(e) for e in effects)
    if moved < OPEN_EFFECT_PCT:
        return None
    return found("unanswered", "doubt" if moved >= 1 else "note", n_stretches=len(effects), moved_pct=moved)


def _left_out(start_s: float, stop_s: float, gone: tuple[Stretch, ...]) -> bool:
    """Whether most of a stretch is left out."""
    covered = sum(max(0.0, min(stop_s, g.stop_s) - max(start_s, g.start_s)) for g in gone)
    return covered >= 0.5 * (stop_s - start_s)
