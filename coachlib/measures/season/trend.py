"""Does the season show a change?  A level that wanders from week to week, and calls that are slow to speak.

Readings are output at a reference heart rate, in bpm-equivalents (+ is fitter), so that runners, riders
and controlled tests share one scale.  Variances are fixed, because 12 to 16 weekly means cannot tell them:
estimated, they collapse to zero in most seasons without change.

Source
------
Local-level model: ``measures.season.local_level``.  The variances and the levels of the calls are this project's own
choice, calibrated for weekly looking on simulated seasons (``tests/benchmarks/season_calls.py``): a look a week
at 1.645 would cry wolf in a quarter to a half of them.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.season.detectable import WORDS
from coachlib.measures.season.weekly_readings import WeeklyReadings, into_weeks

METHOD = "weekly level 2"
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
    ``n_tests`` of the ``n_readings`` are controlled tests.  ``has_readings`` is False where last week's call is
    only repeated.
    """

    week: int
    n_readings: int
    n_tests: int
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
    """A season's trend.  Levels are those of the last look; calls are those made at each week's end.

    ``session_sd_bpm`` is the spread of this athlete's ordinary sessions, controlled tests left aside.
    """

    weeks: tuple[TrendWeek, ...]
    reference_weeks: tuple[int, ...]
    session_sd_bpm: float
    n_readings: int
    n_tests: int
    method: str
    caveats: tuple[str, ...]

    @property
    def first_call_week(self) -> int:
        """The first week at whose end a change can be called: the second look after the reference weeks."""
        return first_call_week(self.reference_weeks)

    @property
    def latest(self) -> TrendWeek:
        """The last week."""
        return self.weeks[-1]


def weekly_trend(
    week: np.ndarray | Sequence[int],
    reading_bpm: np.ndarray | Sequence[float],
    *,
    test_sd_bpm: np.ndarray | Sequence[float | None] | None = None,
    elsewhere: np.ndarray | Sequence[bool] | None = None,
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
    test_sd_bpm : array of float, shape (n,), optional
        Spread of each controlled test (``weekly_readings.TEST_SD_BPM``); NaN or None marks an ordinary session, whose spread is
        estimated from the ordinary sessions.  All are ordinary where not given. [1/min]
    elsewhere : array of bool, shape (n,), optional
        True for tests done elsewhere than the sessions: one unknown offset is common to all of them.
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
    test_sd = np.full(weeks.shape, np.nan) if test_sd_bpm is None else np.asarray(test_sd_bpm, dtype=float)
    apart = np.zeros(weeks.shape, dtype=bool) if elsewhere is None else np.asarray(elsewhere, dtype=bool)
    n = _checked_length(weeks, readings, test_sd, n_weeks, reference_weeks)
    season = into_weeks(weeks, readings, test_sd, apart, n)
    reference = [w for w in reference_weeks if w < n]
    n_reference = int(season.n_readings[reference].sum())
    calls = _calls(season, reference, allowed=n_reference >= LEAST_REFERENCE_READINGS)
    session_variance = season.session_variance()
    means = season.means(session_variance)
    level, covariance = season.level(session_variance)
    spread = np.sqrt(np.diag(covariance))
    rows = tuple(
        TrendWeek(
            week=w, n_readings=int(season.n_readings[w]), n_tests=int(season.n_tests[w]),
            mean_bpm=float(means[w]) if season.n_readings[w] else None,
            level_bpm=float(level[w]), level_low_bpm=float(level[w] - Z90 * spread[w]),
            level_high_bpm=float(level[w] + Z90 * spread[w]),
            change_bpm=calls[w].change, change_sd_bpm=calls[w].sd, call=calls[w].word,
            direction=calls[w].direction, has_readings=bool(season.n_readings[w]),
        )
        for w in range(n)
    )  # fmt: skip
    caveats: tuple[str, ...] = ()
    if n_reference < LEAST_REFERENCE_READINGS:
        caveats = (
            f"the reference weeks hold {n_reference} readings; {LEAST_REFERENCE_READINGS} are needed "
            "before a change is called",
        )
    return Trend(
        weeks=rows, reference_weeks=tuple(reference), session_sd_bpm=float(np.sqrt(session_variance)),
        n_readings=int(season.n_readings.sum()), n_tests=int(season.n_tests.sum()),
        method=METHOD, caveats=caveats,
    )  # fmt: skip


def first_call_week(reference_weeks: Sequence[int]) -> int:
    """The first week, counted from 0, at whose end a change against the reference weeks can be called.

    Two looks are needed, both after the reference weeks, and the season must be so many weeks old.

    Examples
    --------
    >>> first_call_week(range(4)), first_call_week(range(5, 9))
    (5, 10)
    """
    return max(FIRST_CALL_WEEK - 1, max(reference_weeks) + 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Look:
    word: str = WORDS[0]
    direction: str = ""
    change: float | None = None
    sd: float | None = None


def _calls(season: WeeklyReadings, reference: Sequence[int], *, allowed: bool) -> list[_Look]:
    """The call at each week's end, from what was known then."""
    calls: list[_Look] = []
    previous = 0.0
    for w in range(season.n_readings.size):
        if not allowed or w < first_call_week(reference) - 1:
            calls.append(_Look())
            continue
        if not season.n_readings[w]:
            calls.append(calls[-1])
            continue
        known = season.until(w + 1)
        level, covariance = known.level(known.session_variance())
        contrast = np.zeros(w + 1)
        contrast[reference] = -1.0 / len(reference)
        contrast[w] += 1.0
        change, sd = float(contrast @ level), float(np.sqrt(contrast @ covariance @ contrast))
        z = change / sd
        steady = min(abs(z), abs(previous)) if z * previous > 0 else 0.0
        reached = sum(steady > limit for limit in CALL_AT)
        direction = ("up" if z > 0 else "down") if reached else ""
        calls.append(_Look(word=WORDS[reached], direction=direction, change=change, sd=sd))
        previous = z
    return calls


def _checked_length(
    weeks: np.ndarray,
    readings: np.ndarray,
    test_sd: np.ndarray,
    n_weeks: int | None,
    reference_weeks: Sequence[int],
) -> int:
    """Number of weeks, after refusing what cannot be followed."""
    if not weeks.size:
        raise TooLittleData("a trend needs at least 1 reading; 0 were given. Record steady sessions first.")
    if weeks.shape != readings.shape or not np.isfinite(readings).all() or weeks.min() < 0:
        raise BadArgument(
            f"a trend needs a week from 0 on and a finite reading each; {weeks.size} weeks and "
            f"{readings.size} readings were given, the first week is {weeks.min()}. Leave out sessions "
            "without a reading."
        )
    if test_sd.shape != weeks.shape or not (np.isnan(test_sd) | (np.isfinite(test_sd) & (test_sd > 0))).all():
        raise BadArgument(
            f"a trend needs a spread above 0 for each test and none for ordinary sessions; {test_sd.size} values "
            f"for {weeks.size} readings were given. Give None where a session was no test."
        )
    n = int(weeks.max()) + 1 if n_weeks is None else n_weeks
    if n <= weeks.max():
        raise BadArgument(
            f"the season has {n} weeks, but a reading lies in week {weeks.max()}. Count weeks from 0."
        )
    if not len(reference_weeks) or not 0 <= min(reference_weeks) < n:
        raise BadArgument(
            f"a trend of {n} weeks needs reference weeks from 0 to {n - 1}; {tuple(reference_weeks)} were given."
        )
    return n
