"""Whether a drift test says what it seems to say: each doubt with its number and its consequence.

Source
------
Limits are this project's own choice where nothing else is said; the sizes of effects come from simulated
runs (unfinished settling) and from the literature (heat), see the constants.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from coachlib.measures.common.spans import Span, Stretch
from coachlib.measures.common.words import clock, number, plural
from coachlib.measures.drift_test.drift import (
    REFERENCE_WINDOW_S,
    HeartRateDrift,
    drift_map,
    scaled_criterion_pct,
)
from coachlib.measures.recording.steady import (
    AFTER_PAUSE_S,
    LONG_PAUSE_S,
    SETTLING_S,
    STEADY_POWER_FRAC,
    STEADY_SPEED_FRAC,
)

Severity = Literal["note", "doubt", "void"]

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
#: Above this heat adds to drift. [degrees Celsius, percentage points an hour for each]  Conservative against
#: Lafrenz et al. (2008), Med Sci Sports Exerc 40:1065-1071: +2 % at 22 and +11 % at 35 degrees.
COOL_C, HEAT_PCT_PER_C = 21.0, 0.4
#: Used share of a window below which a test is doubtful, and below which it is none.
DOUBTFUL_USED_PCT, LEAST_USED_PCT = 80.0, 60.0
#: Drift over 60 min above which something else than physiology is looked for first. [%]
HIGHEST_PCT = 10.0
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing about a test: what was found, in a number, and what follows.

    A "note" is good to know, a "doubt" makes the result weaker, and with a "void" there is no result.
    """

    name: str
    number: float
    unit: str
    sentence: str
    consequence: str
    severity: Severity


def window_length(drift: HeartRateDrift, *, criterion_pct: float) -> Finding | None:
    """Whether the window is shorter than the hour to which the criterion belongs.

    Examples
    --------
    >>> t = np.arange(1800.0)
    >>> from coachlib.measures.drift_test.drift import heart_rate_drift
    >>> half_hour = heart_rate_drift(t, 150 + np.sin(t), t >= 0, start_s=0, stop_s=1800)
    >>> window_length(half_hour, criterion_pct=5.0).consequence
    'hold the drift against 2.5 %, not 5 %'
    """
    length_s = drift.stop_s - drift.start_s
    if length_s >= REFERENCE_WINDOW_S - 60:
        return None
    minutes = length_s / 60
    share = scaled_criterion_pct(criterion_pct, length_s)
    if length_s < LEAST_WINDOW_S:
        return Finding(
            name="short window",
            number=minutes,
            unit="min",
            sentence=f"the window is {minutes:.0f} min; a drift test needs at least {LEAST_WINDOW_S / 60:.0f}",
            consequence="take a longer window or repeat the test",
            severity="void",
        )
    return Finding(
        name="short window",
        number=minutes,
        unit="min",
        sentence=f"the window is {minutes:.0f} min; {criterion_pct:g} % belongs to 60",
        consequence=f"hold the drift against {share:.1f} %, not {criterion_pct:g} %",
        severity="note",
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
    >>> setting_changed(Span(start_s=900, stop_s=4500), [900.0, 2700.0]).sentence
    'the setting changed once inside the window, at 0:45'
    """
    inner = sorted(c for c in changes_s if window.start_s + EDGE_S < c < window.stop_s - EDGE_S)
    if not inner:
        return None
    what = "the setting" if is_sure else "speed or power"
    times = "once" if len(inner) == 1 else f"{len(inner)} times"
    consequence = "the drift says nothing about one setting: choose a window between changes"
    return Finding(
        name="setting changed",
        number=float(len(inner)),
        unit="changes",
        sentence=f"{what} changed {times} inside the window, {'first ' * (len(inner) > 1)}at {clock(inner[0])}",
        consequence=consequence
        if is_sure
        else "if the effort changed there, choose a window between changes",
        severity="void" if is_sure else "doubt",
    )


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
    >>> uneven_output(0.12, is_power=False).sentence
    'output varied by 12 % from minute to minute'
    """
    limit = STEADY_POWER_FRAC if is_power else STEADY_SPEED_FRAC
    if scatter_frac is None or scatter_frac <= limit:
        return None
    return Finding(
        name="uneven output",
        number=100 * scatter_frac,
        unit="%",
        sentence=f"output varied by {100 * scatter_frac:.0f} % from minute to minute",
        consequence=f"drift is told at one setting; up to {100 * limit:.0f} % is steady",
        severity="doubt",
    )


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
    if half <= WIDEST_PCT:
        return None
    return Finding(
        name="uneven heart rate",
        number=half,
        unit="percentage points",
        sentence="heart rate rose and fell too much for a drift to be told",
        consequence="take a stretch at one setting, or repeat the test",
        severity="void",
    )


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
    >>> found = warm_up(Span(start_s=900, stop_s=4500), 900.0)
    >>> found.consequence
    'about 1.2 points of the drift may be settling'
    """
    minutes = max(window.start_s - settled_from_s, 0.0) / 60
    if minutes >= SETTLING_S / 60 - 0.5:
        return None
    stretch = (REFERENCE_WINDOW_S / (window.stop_s - window.start_s)) ** SETTLING_POWER
    added = float(np.interp(minutes, SETTLING_MIN, SETTLING_PCT)) * stretch
    return Finding(
        name="warm-up",
        number=minutes,
        unit="min",
        sentence=(
            f"the setting was held for {minutes:.0f} min before the window; {SETTLING_S / 60:.0f} let heart rate settle"
        ),
        consequence=f"about {added:.1f} points of the drift may be settling",
        severity="doubt" if added >= 0.3 else "note",
    )


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
    seconds = sum(min(p.stop_s, window.stop_s) - max(p.start_s, window.start_s) for p in inner)
    longest = max(p.stop_s - p.start_s for p in inner)
    gone = tuple(left_out)
    open_ones = [
        p for p in inner if not _left_out(p.stop_s, min(p.stop_s + AFTER_PAUSE_S, window.stop_s), gone)
    ]
    if longest > LONG_PAUSE_S:
        consequence = "heart rate settled anew after it: start the window 15 min after the pause"
    elif open_ones:
        consequence = f"leave the pause and {AFTER_PAUSE_S / 60:.0f} min after it out"
    else:
        consequence = "what follows the pause is left out"
    return Finding(
        name="pause inside",
        number=float(seconds),
        unit="s",
        sentence=f"pauses of {seconds:.0f} s lie inside the window",
        consequence=consequence,
        severity="doubt" if longest > LONG_PAUSE_S or open_ones else "note",
    )


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
    void = drift.used_pct < LEAST_USED_PCT
    return Finding(
        name="left out",
        number=100 - drift.used_pct,
        unit="%",
        sentence=f"{100 - drift.used_pct:.0f} % of the window is left out or missing",
        consequence="too little is left to judge: repeat the test" if void else "what is left decides alone",
        severity="void" if void else "doubt",
    )


def heat(drift: HeartRateDrift, temperature_c: float | None) -> Finding | None:
    """How much of the drift heat may have added.

    Examples
    --------
    >>> t = np.arange(3600.0)
    >>> from coachlib.measures.drift_test.drift import heart_rate_drift
    >>> heat(heart_rate_drift(t, 150 + np.sin(t), t >= 0, start_s=0, stop_s=3600), 26.0).consequence
    'about 2.0 points of the drift may be heat'
    """
    if temperature_c is None or temperature_c <= COOL_C:
        return None
    added = scaled_criterion_pct(HEAT_PCT_PER_C * (temperature_c - COOL_C), drift.stop_s - drift.start_s)
    return Finding(
        name="heat",
        number=temperature_c,
        unit="degrees Celsius",
        sentence=f"it was {temperature_c:.0f} degrees Celsius; above {COOL_C:.0f} heart rate drifts more",
        consequence=f"about {added:.1f} points of the drift may be heat",
        severity="doubt" if added >= 0.5 else "note",
    )


def odd_drift(drift: HeartRateDrift) -> Finding | None:
    """Whether the drift is one that steady work hardly gives: surely negative, or above 10 %.

    Examples
    --------
    >>> t = np.arange(3600.0)
    >>> from coachlib.measures.drift_test.drift import heart_rate_drift
    >>> odd_drift(heart_rate_drift(t, 150 - t / 300, t >= 0, start_s=0, stop_s=3600)).name
    'negative drift'
    """
    hour = drift.drift_pct * REFERENCE_WINDOW_S / (drift.stop_s - drift.start_s)
    look = "look for a changed setting, strap static or a missing warm-up before you believe it"
    if drift.drift_high_pct < 0:
        name, sentence = "negative drift", f"heart rate fell by {-drift.drift_pct:.1f} % over the window"
    elif hour > HIGHEST_PCT:
        name, sentence = "high drift", f"heart rate rose at a rate of {hour:.1f} % an hour"
    else:
        return None
    return Finding(
        name=name, number=drift.drift_pct, unit="%", sentence=sentence, consequence=look, severity="doubt"
    )


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
        The number is the spread of drift, each brought to the window's own length. [percentage points]

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
    wider = np.ptp(known) > interval_pct
    return Finding(
        name="window sensitive",
        number=float(np.ptp(known)),
        unit="percentage points",
        sentence=(
            f"with its ends moved by {MOVE_S / 60:.0f} min the window says {number(known.min())} to "
            f"{number(known.max())} %"
        ),
        consequence=(
            "take the drift as no surer than that range"
            if wider
            else "the interval already allows for as much"
        ),
        severity="doubt" if wider else "note",
    )


def strap(window: Stretch, suggestions: Iterable[Span], *, like_cadence: bool = False) -> Finding | None:
    """Whether the sensor itself is doubtful: static and dropouts, or heart rate on the cadence.

    Examples
    --------
    >>> static = Span(start_s=1000, stop_s=1400, reason="static")
    >>> strap(Span(start_s=900, stop_s=4500), [static]).sentence
    '11 % of the window is static or without a reading'
    """
    if like_cadence:
        return Finding(
            name="like cadence",
            number=3.0,
            unit="bpm",
            sentence="heart rate lies within 3 bpm of cadence for much of the recording",
            consequence="a sensor that counts steps cannot be ruled out: repeat with a strap, or at another cadence",
            severity="doubt",
        )
    bad = sum(
        max(0.0, min(s.stop_s, window.stop_s) - max(s.start_s, window.start_s))
        for s in suggestions
        if s.reason in ("static", "dropout", "cadence lock")
    )
    share = 100 * bad / (window.stop_s - window.start_s)
    if share <= STRAP_PCT:
        return None
    return Finding(
        name="strap",
        number=share,
        unit="%",
        sentence=f"{share:.0f} % of the window is static or without a reading",
        consequence="wet or renew the strap before the next test",
        severity="doubt",
    )


def open_suggestions(suggestions: Iterable[Span]) -> Finding | None:
    """Whether stretches nobody has answered yet would move the drift.

    Parameters
    ----------
    suggestions : iterable of Span
        Unanswered ones, with ``effect_pct``.

    Examples
    --------
    >>> open_suggestions([Span(start_s=0, stop_s=60, reason="rise", effect_pct=0.3)]).number
    0.3
    """
    effects = [s.effect_pct for s in suggestions if s.effect_pct]
    moved = sum(abs(e) for e in effects)
    if moved < OPEN_EFFECT_PCT:
        return None
    return Finding(
        name="unanswered",
        number=moved,
        unit="percentage points",
        sentence=(
            f"{plural(len(effects), 'suggested stretch waits', 'suggested stretches wait')} for an answer"
        ),
        consequence=f"leaving them out would move the drift by up to {moved:.1f} points",
        severity="doubt" if moved >= 1 else "note",
    )


def _left_out(start_s: float, stop_s: float, gone: tuple[Stretch, ...]) -> bool:
    """Whether most of a stretch is left out."""
    covered = sum(max(0.0, min(stop_s, g.stop_s) - max(start_s, g.start_s)) for g in gone)
    return covered >= 0.5 * (stop_s - start_s)
