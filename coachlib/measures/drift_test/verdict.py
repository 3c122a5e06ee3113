"""A drift test in the sentences a coach can say aloud."""

from collections.abc import Iterable

from coachlib.measures.common.words import capital, number, plural
from coachlib.measures.drift_test.drift import HeartRateDrift, against_criterion, scaled_criterion_pct
from coachlib.measures.drift_test.validity import Finding

#: As far from the criterion as this a usual test cannot tell the side. [percentage points]
NEAR_PCT = 1.8


def verdict(drift: HeartRateDrift, findings: Iterable[Finding], *, criterion_pct: float) -> str:
    """What a coach can say aloud: what was seen, what it means, what speaks against it.

    Parameters
    ----------
    drift : HeartRateDrift
        Drift of the window.
    findings : iterable of Finding
        What was found about the test.
    criterion_pct : float
        Criterion of a 60-minute window. [%]

    Source
    ------
    This project's own choice of words; the criterion is common practice, no source.

    Examples
    --------
    >>> import numpy as np
    >>> t = np.arange(3600.0)
    >>> from coachlib.measures.drift_test.drift import heart_rate_drift
    >>> flat = heart_rate_drift(t, np.where(t < 1800, 160.0, 162.0), t >= 0, start_s=0, stop_s=3600)
    >>> verdict(flat, (), criterion_pct=5.0)[:50]
    'Heart rate rose 1.3 % (0.3 to 2.2) over 60 min. Th'
    """
    found = tuple(findings)
    seen = f"{_seen(drift)}."
    void = [f for f in found if f.severity == "void"]
    if any(f.name == "uneven heart rate" for f in void):
        seen = f"Heart rate was uneven over these {(drift.stop_s - drift.start_s) / 60:.0f} min."
    if void:
        return f"{seen} This is no valid test: {void[0].sentence}. {capital(void[0].consequence)}."
    doubts = [f for f in found if f.severity == "doubt"]
    said = f"{seen} {_meaning(drift, criterion_pct)}"
    if not doubts:
        return said
    return f"{said} But {doubts[0].sentence}: {doubts[0].consequence}." + (
        f" {capital(plural(len(doubts) - 1, 'further doubt is', 'further doubts are'))} listed below."
        if len(doubts) > 1
        else ""
    )


def _seen(drift: HeartRateDrift) -> str:
    verb = "rose" if drift.drift_pct >= 0.05 else "fell" if drift.drift_pct <= -0.05 else "changed"
    turned = -1 if verb == "fell" else 1
    low, high = sorted((turned * drift.drift_low_pct, turned * drift.drift_high_pct))
    return (
        f"Heart rate {verb} {number(abs(drift.drift_pct))} % ({number(low)} to {number(high)}) over "
        f"{(drift.stop_s - drift.start_s) / 60:.0f} min"
    )


def _meaning(drift: HeartRateDrift, criterion_pct: float) -> str:
    limit = scaled_criterion_pct(criterion_pct, drift.stop_s - drift.start_s)
    line = f"{limit:.1f} %, the share of {criterion_pct:g} % for this length"
    if abs(limit - criterion_pct) < 0.1:
        line = f"{criterion_pct:g} %"
    where = against_criterion(drift, criterion_pct=criterion_pct)
    if where == "near":
        close = "is near" if abs(drift.drift_pct - limit) < NEAR_PCT else "cannot be told from"
        return f"That {close} {line}: with ordinary day-to-day scatter one test does not show the side. Repeat it."
    side = "above" if where == "below" else "below"
    return (
        f"That is {where} {line}, also with ordinary day-to-day scatter: the first threshold, read from drift, "
        f"lies {side} {drift.first_half_bpm:.0f} bpm."
    )
