"""Whether two recordings are one session: the same bytes, the same values, or two devices at once."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from coachlib.measures.common.sampling import LONGEST_STEP_S
from coachlib.records.activity import Activity

#: Two recordings of one session share at least this much of the shorter one.
MIN_OVERLAP_FRAC = 0.80
#: Two devices on one body agree at least so well at the best lag.
MIN_CORRELATION = 0.95
#: Devices smooth differently: heart rate may lag by up to this.
LONGEST_LAG_S = 20
#: Fewer common seconds of heart rate tell nothing.  This project's own choice.
MIN_COMMON_S = 120

Sameness = Literal["same bytes", "same values", "two devices", "same time"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Duplicate:
    """How two recordings resemble one another.

    ``overlap_frac`` is the common time as a share of the shorter; ``hr_correlation`` at ``lag_s`` is None
    where heart rate is missing in one.  "same time" says only that one athlete cannot have done both.
    """

    sameness: Sameness
    overlap_frac: float
    hr_correlation: float | None
    lag_s: float | None


def duplicate_of(one: Activity, other: Activity) -> Duplicate | None:
    """Compare two recordings of one athlete.

    Returns
    -------
    Duplicate or None
        None where they are two sessions.

    Source
    ------
    This project's own choice, from recordings of one ride by two devices (correlation of heart rate 0.986
    without lag, 0.997 at 14 s) and from re-exports, whose values are equal though their bytes differ.
    """
    overlap = _overlap_frac(one, other)
    if one.sha256 == other.sha256:
        return Duplicate(sameness="same bytes", overlap_frac=overlap, hr_correlation=None, lag_s=None)
    if overlap < MIN_OVERLAP_FRAC:
        return None
    if _has_same_values(one, other):
        return Duplicate(sameness="same values", overlap_frac=overlap, hr_correlation=None, lag_s=None)
    correlation, lag_s = _best_correlation(one, other)
    alike = correlation is not None and correlation >= MIN_CORRELATION
    return Duplicate(
        sameness="two devices" if alike else "same time",
        overlap_frac=overlap,
        hr_correlation=correlation,
        lag_s=lag_s,
    )


def _overlap_frac(one: Activity, other: Activity) -> float:
    """Common elapsed time as a share of the shorter recording."""
    shift_s = (other.started_at - one.started_at).total_seconds()
    common_s = min(one.elapsed_s, shift_s + other.elapsed_s) - max(0.0, shift_s)
    shorter_s = min(one.elapsed_s, other.elapsed_s)
    return max(0.0, common_s / shorter_s) if shorter_s > 0 else 0.0


def _has_same_values(one: Activity, other: Activity) -> bool:
    """Whether the columns that both recordings fill, times and at least one more, are equal throughout."""
    if one.started_at != other.started_at or len(one.samples) != len(other.samples):
        return False
    columns = [c for c in one.samples if one.samples[c].notna().any() and other.samples[c].notna().any()]
    return len(columns) > 1 and all(
        np.array_equal(one.samples[c].to_numpy(), other.samples[c].to_numpy(), equal_nan=True)
        for c in columns
    )


def _best_correlation(one: Activity, other: Activity) -> tuple[float | None, float | None]:
    """Correlation of heart rate at the best lag, and that lag (positive: the second device is later) [s]."""
    shift_s = (other.started_at - one.started_at).total_seconds()
    seconds = np.arange(max(0.0, shift_s), min(one.elapsed_s, shift_s + other.elapsed_s))
    first = _hr_at(one, seconds)
    found = [
        (_correlation(first, _hr_at(other, seconds - shift_s + lag)), float(lag))
        for lag in range(-LONGEST_LAG_S, LONGEST_LAG_S + 1)
    ]
    known = [(r, lag) for r, lag in found if r is not None]
    return max(known, key=lambda k: (k[0], -abs(k[1]))) if known else (None, None)


def _hr_at(activity: Activity, seconds: np.ndarray) -> np.ndarray:
    """Heart rate at elapsed seconds, not reaching across gaps; NaN where there is none."""
    hr_bpm = activity.samples["hr_bpm"].to_numpy()
    there = np.isfinite(hr_bpm)
    if there.sum() < 2:
        return np.full(seconds.shape, np.nan)
    time_s = activity.samples["time_s"].to_numpy()[there]
    following = np.clip(np.searchsorted(time_s, seconds, side="right"), 1, time_s.size - 1)
    gap_s = time_s[following] - time_s[following - 1]
    values = np.interp(seconds, time_s, hr_bpm[there], left=np.nan, right=np.nan)
    return np.where(gap_s <= LONGEST_STEP_S, values, np.nan)


def _correlation(one: np.ndarray, other: np.ndarray) -> float | None:
    """Pearson's correlation over common seconds; None where they are few or a series is flat."""
    both = np.isfinite(one) & np.isfinite(other)
    if both.sum() < MIN_COMMON_S or np.ptp(one[both]) == 0 or np.ptp(other[both]) == 0:
        return None
    return float(np.corrcoef(one[both], other[both])[0, 1])
