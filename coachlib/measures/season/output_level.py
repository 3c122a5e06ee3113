"""Heart rate and output of a steady session's minutes 10 to 25: the slow part of a season's reading, once a recording.

Always the same minutes, because both length and start move the answer.  Nothing here knows of a reference heart
rate, a slope or the weather; ``measures.season.output_reading`` brings a kept level to any of them.

Source
------
This project's own choice; what it errs by was found with simulated sessions (``tests/benchmarks/season_calls.py``).
"""

from dataclasses import dataclass

import numpy as np

from coachlib.measures.common.codes import Code, code
from coachlib.measures.common.sampling import time_weights, weighted_mean
from coachlib.measures.recording.artefacts import LOCK_BPM
from coachlib.measures.recording.lag import lagged_output

METHOD = "output level 1"
#: Minutes that count, and how far they may stretch where too few are usable. [s]  Own choice.
START_S, STOP_S, LATEST_STOP_S, LEAST_USED_S = 600.0, 1500.0, 1800.0, 600.0
#: Refused with more of the minutes under suggestions nobody has decided on.  Own choice: 15 or 40 % do as well.
MOST_MASKED_FRAC = 0.25
#: Refused with heart rate within ``LOCK_BPM`` of cadence for more of the minutes: a sensor may have counted steps.
#: Own choice.
MOST_LOCKED_FRAC = 0.5
#: A stretch whose minute means of output vary more is not steady (running, cycling).  Own choice, untested.
UNSTEADY_RUNNING, UNSTEADY_CYCLING = 0.08, 0.20
#: Grade must be known for this share of the minutes before its spread is told.  Own choice.
LEAST_GRADE_FRAC = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputLevel:
    """Minutes 10 to 25 of one session.

    ``output`` is the mean output as heart rate sees it (late); ``minute_bpm`` and ``minute_output`` are the means
    of the minutes behind it, ``scatter_frac`` the spread of the latter over their mean.  ``stop_s`` is 1500, or 1800
    where too few minutes were usable.  ``grade_sd`` is the spread of grade [rise over run], None without altitude.
    ``masked_frac`` is the share under suggestions nobody has decided on, ``locked_frac`` that within 3 bpm of
    cadence.  ``refusal`` says why the session cannot be compared; means are then None where there are too few minutes.
    """

    hr_bpm: float | None
    output: float | None
    used_s: float
    stop_s: float
    minute_bpm: tuple[float, ...]
    minute_output: tuple[float, ...]
    scatter_frac: float | None
    grade_sd: float | None
    masked_frac: float
    locked_frac: float
    refusal: Code | None
    method: str = METHOD


def output_level(
    time_s: np.ndarray,
    hr_bpm: np.ndarray,
    output: np.ndarray,
    used: np.ndarray,
    *,
    is_cycling: bool,
    undecided: np.ndarray | None = None,
    cadence_rpm: np.ndarray | None = None,
    grade: np.ndarray | None = None,
) -> OutputLevel:
    """Mean heart rate and mean output of minutes 10 to 25.

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
    is_cycling : bool
        Whether ``output`` is power on a bicycle, which varies more.
    undecided : ndarray of bool, shape (n,), optional
        True under suggested exclusions nobody has decided on, *flat* ones aside: they do not count.
    cadence_rpm : ndarray, shape (n,), optional
        Steps of both feet, or turns. [1/min]
    grade : ndarray, shape (n,), optional
        Rise over run; NaN where unknown.

    Returns
    -------
    OutputLevel

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> t = np.arange(2400.0)
    >>> found = output_level(t, np.full(2400, 145.0), np.full(2400, 3.0), t >= 0, is_cycling=False)
    >>> found.hr_bpm, found.output, found.used_s, found.refusal
    (145.0, 3.0, 900.0, None)
    """
    near = time_s < LATEST_STOP_S
    time_s, hr_bpm, output = time_s[near], hr_bpm[near], output[near]
    counts = used[near] & np.isfinite(hr_bpm) & np.isfinite(output)
    doubted = np.zeros(time_s.shape, dtype=bool) if undecided is None else undecided[near]
    masked = _share(time_s, counts, doubted)
    locked = (
        0.0 if cadence_rpm is None else _share(time_s, counts, abs(hr_bpm - cadence_rpm[near]) <= LOCK_BPM)
    )
    stop_s, weights = _chosen(time_s, counts & ~doubted)
    used_s = float(weights.sum())
    lagged = lagged_output(time_s, output)
    minute_bpm, minute_output = (_minute_means(time_s, x, weights) for x in (hr_bpm, lagged))
    has_means = used_s >= LEAST_USED_S
    scatter = float(minute_output.std() / max(minute_output.mean(), 1e-9)) if has_means else None
    return OutputLevel(
        hr_bpm=weighted_mean(hr_bpm, weights) if has_means else None,
        output=weighted_mean(lagged, weights) if has_means else None,
        used_s=used_s, stop_s=stop_s, minute_bpm=tuple(minute_bpm.tolist()),
        minute_output=tuple(minute_output.tolist()), scatter_frac=scatter,
        grade_sd=None if grade is None else _grade_sd(grade[near], weights),
        masked_frac=masked, locked_frac=locked,
        refusal=_refusal(masked, locked, used_s, scatter, UNSTEADY_CYCLING if is_cycling else UNSTEADY_RUNNING),
    )  # fmt: skip


def _refusal(
    masked_frac: float, locked_frac: float, used_s: float, scatter_frac: float | None, steady_frac: float
) -> Code | None:
    """Why a session would mislead, whatever it is compared with."""
    if masked_frac > MOST_MASKED_FRAC:
        return code("many odd stretches", masked_frac=masked_frac, most_frac=MOST_MASKED_FRAC)
    if locked_frac > MOST_LOCKED_FRAC:
        return code("heart rate like cadence", locked_frac=locked_frac, within_bpm=LOCK_BPM)
    if scatter_frac is None:
        return code(
            "few usable minutes", used_s=used_s, least_s=LEAST_USED_S, start_s=START_S, stop_s=LATEST_STOP_S
        )
    if scatter_frac > steady_frac:
        return code("minutes not steady", scatter_frac=scatter_frac, most_frac=steady_frac)
    return None


def _chosen(time_s: np.ndarray, counts: np.ndarray) -> tuple[float, np.ndarray]:
    """End and weights of minutes 10 to 25, or to 30 where those hold too little; weights are 0 elsewhere."""
    weights = time_weights(time_s, counts)
    until_25 = np.where((time_s >= START_S) & (time_s < STOP_S), weights, 0.0)
    if until_25.sum() >= LEAST_USED_S:
        return STOP_S, until_25
    return LATEST_STOP_S, np.where(time_s >= START_S, weights, 0.0)


def _share(time_s: np.ndarray, counts: np.ndarray, chosen: np.ndarray) -> float:
    """Share of the minutes' counting samples that are chosen."""
    weights = np.where((time_s >= START_S) & (time_s < STOP_S), time_weights(time_s, counts), 0.0)
    total = float(weights.sum())
    return float(weights[chosen].sum()) / total if total > 0 else 0.0


def _minute_means(time_s: np.ndarray, values: np.ndarray, weights_s: np.ndarray) -> np.ndarray:
    """Means of the minutes of which at least half counts."""
    counts = weights_s > 0
    minute, weights = (time_s[counts] // 60.0).astype(int), weights_s[counts]
    seconds = np.bincount(minute, weights)
    kept = np.flatnonzero(seconds >= 30.0)
    return np.bincount(minute, weights * values[counts])[kept] / seconds[kept]


def _grade_sd(grade: np.ndarray, weights_s: np.ndarray) -> float | None:
    """Spread of grade over the minutes; None where it is not known for most of them."""
    known = np.where(np.isfinite(grade), weights_s, 0.0)
    if not known.sum() > 0 or known.sum() < LEAST_GRADE_FRAC * weights_s.sum():
        return None
    mean = weighted_mean(grade, known)
    return float(np.sqrt(max(weighted_mean((grade - mean) ** 2, known), 0.0)))
