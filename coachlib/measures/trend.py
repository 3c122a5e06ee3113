"""Does the season show a change?  A level that wanders from week to week, and calls that are slow to speak.

Readings are output at a reference heart rate, in bpm-equivalents (+ is fitter), so that runners, riders
and controlled tests share one scale.  Variances are fixed, because 12 to 16 weekly means cannot tell them:
estimated, they collapse to zero in most seasons without change.

Source
------
Local-level model, its smoother written as one linear solve: for instance Durbin & Koopman (2012), Time
Series Analysis by State Space Methods, chapter 2 (from memory).  The variances and the levels of the calls
are this project's own choice, calibrated for weekly looking on simulated seasons
(``tests/benchmarks/season_calls.py``): a look a week at 1.645 would cry wolf in a quarter to a half of them.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.detectable import WORDS

METHOD = "weekly level 1"
#: Spread of one session's reading before this athlete's own is known, and for how many it counts. [1/min]
SESSION_SD_BPM, SESSION_SD_WEIGHT = 3.5, 8.0
#: Offset that a whole week shares (tiredness, heat, illness), as a variance. [1/min^2]
WEEK_VARIANCE = 1.5
#: How far the level may wander in a week. [1/min]
WANDER_BPM = 2.0
#: Prior spread of the level: wide enough not to matter. [1/min]
DIFFUSE_SD_BPM = 1000.0
#: Change over its spread at which a change is possible, likely, clear; in two looks in a row.
CALL_AT = (1.15, 1.8, 2.1)
#: The first weeks that later ones are compared with, and how many readings they need.
N_REFERENCE_WEEKS, LEAST_REFERENCE_READINGS = 4, 4
#: No call before the end of this week. (count)
FIRST_CALL_WEEK = 6
Z90 = 1.645


@dataclass(frozen=True, slots=True, kw_only=True)
class TrendWeek:
    """One week of a trend, as it was known at that week's end.

    ``level_bpm`` with its 90 % interval is drawn; ``change_bpm`` is against the reference weeks; ``call``
    one of *cannot tell*, *possible*, *likely*, *clear* with ``direction`` "up", "down" or "".
    ``has_readings`` is False where last week's call is only repeated.
    """

    week: int
    n_readings: int
    mean_bpm: float | None
    level_bpm: float
    level_low_bpm: float
    level_high_bpm: float
    change_bpm: float | None
    change_sd_bpm: float | None
    call: str
    direction: str
    has_readings: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """A season's trend.  Levels are those of the last look; calls are those made at each week's end."""

    weeks: tuple[TrendWeek, ...]
    reference_weeks: tuple[int, ...]
    session_sd_bpm: float
    n_readings: int
    method: str
    caveats: tuple[str, ...]

    @property
    def latest(self) -> TrendWeek:
        """The last week."""
        return self.weeks[-1]


def weekly_trend(
    week: np.ndarray | Sequence[int],
    reading_bpm: np.ndarray | Sequence[float],
    *,
    n_weeks: int | None = None,
    reference_weeks: Sequence[int] = tuple(range(N_REFERENCE_WEEKS)),
) -> Trend:
    """Follow the level from week to week and call changes against the reference weeks.

    Parameters
    ----------
    week : array of int, shape (n,)
        Week of each reading, counted from 0.
    reading_bpm : array of float, shape (n,)
        Output at the reference heart rate in bpm-equivalents, + is fitter. [1/min]
    n_weeks : int, optional
        Weeks of the season so far; the last week with a reading where not given.
    reference_weeks : sequence of int
        Weeks that later ones are compared with.

    Returns
    -------
    Trend
        One entry a week, weeks without readings included.

    Raises
    ------
    TooLittleData
        Without any reading.
    BadArgument
        Where weeks or readings do not fit together.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> weeks = np.repeat(np.arange(12), 3)
    >>> trend = weekly_trend(weeks, np.where(weeks < 4, 0.0, 12.0) + np.tile([-2.0, 0.0, 2.0], 12))
    >>> trend.latest.call, trend.latest.direction
    ('clear', 'up')
    """
    weeks, readings = np.asarray(week, dtype=int), np.asarray(reading_bpm, dtype=float)
    n = _checked_length(weeks, readings, n_weeks, reference_weeks)
    counts = np.bincount(weeks, minlength=n)
    means = np.divide(np.bincount(weeks, readings, minlength=n), counts, out=np.zeros(n), where=counts > 0)
    squares = np.bincount(weeks, (readings - means[weeks]) ** 2, minlength=n)
    reference = [w for w in reference_weeks if w < n]
    n_reference = int(counts[reference].sum())
    calls = _calls(means, counts, squares, reference, allowed=n_reference >= LEAST_REFERENCE_READINGS)
    session_variance = _session_variance(counts, squares)
    level, covariance = local_level(means, _week_variance(counts, session_variance))
    spread = np.sqrt(np.diag(covariance))
    rows = tuple(
        TrendWeek(
            week=w, n_readings=int(counts[w]), mean_bpm=float(means[w]) if counts[w] else None,
            level_bpm=float(level[w]), level_low_bpm=float(level[w] - Z90 * spread[w]),
            level_high_bpm=float(level[w] + Z90 * spread[w]),
            change_bpm=calls[w].change, change_sd_bpm=calls[w].sd, call=calls[w].word,
            direction=calls[w].direction, has_readings=bool(counts[w]),
        )
        for w in range(n)
    )  # fmt: skip
    caveats: tuple[str, ...] = ()
    if n_reference < LEAST_REFERENCE_READINGS:
        caveats = (
            f"the reference weeks hold {n_reference} readings; {LEAST_REFERENCE_READINGS} are needed "
            "before a change "
            "is called",
        )
    return Trend(
        weeks=rows, reference_weeks=tuple(reference), session_sd_bpm=float(np.sqrt(session_variance)),
        n_readings=int(counts.sum()),
        method=METHOD, caveats=caveats,
    )  # fmt: skip


def local_level(
    mean_bpm: np.ndarray, variance: np.ndarray, *, wander_bpm: float = WANDER_BPM
) -> tuple[np.ndarray, np.ndarray]:
    """Smoothed level of each week and the covariance of its error, in one linear solve.

    Parameters
    ----------
    mean_bpm : ndarray, shape (n,)
        Weekly means; anything where the variance is infinite. [1/min]
    variance : ndarray, shape (n,)
        Variance of each mean, infinite where a week has none. [1/min^2]
    wander_bpm : float
        Standard deviation of the level's step from week to week. [1/min]

    Returns
    -------
    level : ndarray, shape (n,)
        [1/min]
    covariance : ndarray, shape (n, n)
        [1/min^2]

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> level, covariance = local_level(np.array([1.0, 1.0, 1.0]), np.array([4.0, np.inf, 4.0]))
    >>> level
    array([1., 1., 1.])
    """
    n = mean_bpm.size
    seen = np.isfinite(variance)
    centre = float(np.average(mean_bpm[seen], weights=1.0 / variance[seen]))
    number = np.arange(1, n + 1)
    prior = DIFFUSE_SD_BPM**2 + wander_bpm**2 * (np.minimum.outer(number, number) - 1.0)
    total = prior[np.ix_(seen, seen)] + np.diag(variance[seen])
    gain = np.linalg.solve(total, prior[seen])
    level = centre + gain.T @ (mean_bpm[seen] - centre)
    return level, prior - prior[:, seen] @ gain


@dataclass(frozen=True, slots=True, kw_only=True)
class _Look:
    word: str = WORDS[0]
    direction: str = ""
    change: float | None = None
    sd: float | None = None


def _calls(
    means: np.ndarray, counts: np.ndarray, squares: np.ndarray, reference: Sequence[int], *, allowed: bool
) -> list[_Look]:
    """The call at each week's end, from what was known then."""
    calls: list[_Look] = []
    previous = 0.0
    for w in range(means.size):
        if not allowed or w < FIRST_CALL_WEEK - 2 or w <= max(reference):
            calls.append(_Look())
            continue
        if not counts[w]:
            calls.append(calls[-1])
            continue
        known = slice(0, w + 1)
        variance = _week_variance(counts[known], _session_variance(counts[known], squares[known]))
        level, covariance = local_level(means[known], variance)
        contrast = np.zeros(w + 1)
        contrast[reference] = -1.0 / len(reference)
        contrast[w] += 1.0
        change, sd = float(contrast @ level), float(np.sqrt(contrast @ covariance @ contrast))
        z = change / sd
        steady = min(abs(z), abs(previous)) if z * previous > 0 and w >= FIRST_CALL_WEEK - 1 else 0.0
        reached = sum(steady > limit for limit in CALL_AT)
        direction = ("up" if z > 0 else "down") if reached else ""
        calls.append(_Look(word=WORDS[reached], direction=direction, change=change, sd=sd))
        previous = z
    return calls


def _session_variance(counts: np.ndarray, squares: np.ndarray) -> float:
    """Variance [1/min^2] of one session, drawn towards the usual one."""
    freedom = np.maximum(counts - 1, 0).sum()
    return float((SESSION_SD_WEIGHT * SESSION_SD_BPM**2 + squares.sum()) / (SESSION_SD_WEIGHT + freedom))


def _week_variance(counts: np.ndarray, session_variance: float) -> np.ndarray:
    """Variance [1/min^2] of each weekly mean; infinite where a week has no reading."""
    with np.errstate(divide="ignore"):
        return np.where(counts > 0, session_variance / counts + WEEK_VARIANCE, np.inf)


def _checked_length(
    weeks: np.ndarray, readings: np.ndarray, n_weeks: int | None, reference_weeks: Sequence[int]
) -> int:
    """Number of weeks, after refusing what cannot be followed."""
    if not weeks.size:
        raise TooLittleData("a trend needs at least 1 reading; 0 were given. Record steady sessions first.")
    if weeks.shape != readings.shape or not np.isfinite(readings).all() or weeks.min() < 0:
        raise BadArgument(
            f"a trend needs a week from 0 on and a finite reading each; {weeks.size} weeks and "
            f"{readings.size} readings "
            f"were given, the first week is {weeks.min()}. Leave out sessions without a reading."
        )
    n = int(weeks.max()) + 1 if n_weeks is None else n_weeks
    if n <= weeks.max():
        raise BadArgument(
            f"the season has {n} weeks, but a reading lies in week {weeks.max()}. Count weeks from 0."
        )
    if not len(reference_weeks) or min(reference_weeks) < 0:
        raise BadArgument(f"a trend needs reference weeks from 0 on; {tuple(reference_weeks)} were given.")
    return n
