"""Does the season show a change?  A level that wanders from week to week, and calls that are slow to speak.

Readings are followed as output at a reference heart rate, in bpm-equivalents (+ is fitter), so that runners, riders
and controlled tests share one scale.  Variances are fixed, because 12 to 16 weekly means cannot tell them:
estimated, they collapse to zero in most seasons without change.  A change's spread holds what all sessions of one
side share (``measures.season.shared_errors``), and its scatter rises with the number of looks, for every look is
another chance to be wrong.

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
from coachlib.measures.common.codes import Code, code
from coachlib.measures.common.constants import Z90
from coachlib.measures.output.slopes import HeartRateSlope
from coachlib.measures.season.local_level import level_behind, weights_of_change
from coachlib.measures.season.own_slope import slope_of_weeks
from coachlib.measures.season.shared_errors import largest_doubt, shared_errors
from coachlib.measures.season.weekly_readings import (
    HR,
    OUTPUT,
    TrendReading,
    WeeklyReadings,
    into_weeks,
)

METHOD = "weekly level 3"
#: How sure a change is, the weakest first; the same words wherever something is told with its certainty.
WORDS = ("cannot tell", "possible", "likely", "clear")
#: Change over its spread at which a change is possible, likely, clear; in two looks in a row.
CALL_AT = (1.15, 1.8, 2.1)
#: The first weeks that later ones are compared with, and how many readings they need.
N_REFERENCE_WEEKS, LEAST_REFERENCE_READINGS = 4, 4
#: No call before the end of this week. (count)
FIRST_CALL_WEEK = 6
#: After so many looks scatter counts for more, by this share of the logarithm.  Own choice.
LOOKS_FREE, RISE = 10, 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class TrendWeek:
    """One week of a trend, as it was known at that week's end.

    ``level_bpm`` with its 90 % interval is drawn; ``change_bpm`` is against the reference weeks, with its whole
    spread, and ``change_output`` the same in the output's unit; ``call`` one of *cannot tell*, *possible*, *likely*,
    *clear* with ``direction`` "up", "down" or "".  ``doubt`` names what the change rests on where that is more
    than scatter.  ``n_tests`` of the ``n_readings`` are controlled tests.  ``has_readings`` is False where last
    week's call is only repeated.
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
    change_output: float | None
    change_sd_output: float | None
    call: str
    direction: str
    doubt: Code | None
    has_readings: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """A season's trend.  Levels are those of the last look; calls are those made at each week's end.

    ``session_sd_bpm`` is the spread of this athlete's ordinary sessions, controlled tests left aside; ``slope`` what
    heart rate follows output by, as far as learnt at the last look.
    """

    weeks: tuple[TrendWeek, ...]
    reference_weeks: tuple[int, ...]
    session_sd_bpm: float
    slope: HeartRateSlope
    n_readings: int
    n_tests: int
    method: str
    caveats: tuple[Code, ...]

    @property
    def first_call_week(self) -> int:
        """The first week at whose end a change can be called: the second look after the reference weeks."""
        return first_call_week(self.reference_weeks)

    @property
    def latest(self) -> TrendWeek:
        """The last week."""
        return self.weeks[-1]


def weekly_trend(
    readings: Sequence[TrendReading],
    *,
    hr_reference_bpm: float,
    slope: HeartRateSlope,
    is_cycling: bool,
    n_weeks: int | None = None,
    reference_weeks: Sequence[int] = tuple(range(N_REFERENCE_WEEKS)),
    looks_from: int = 0,
) -> Trend:
    """Follow the level from week to week and call changes against the reference weeks.

    Parameters
    ----------
    readings : sequence of TrendReading
        Sessions and tests with their weeks, counted from 0.
    hr_reference_bpm : float
        The heart rate that outputs are compared at, the same for all weeks. [1/min]
    slope : HeartRateSlope
        What is known of how heart rate follows output without these sessions. [1/min per m/s or W]
    is_cycling : bool
        Whether output is power on a bicycle.
    n_weeks : int, optional
        Weeks of the season so far; the last week with a reading where not given.
    reference_weeks : sequence of int
        Weeks that later ones are compared with.
    looks_from : int
        No call is worked out for weeks before this one, which saves time where a trend is long.

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
    >>> from coachlib.measures.season.heat import Heat
    >>> from coachlib.measures.season.output_reading import OutputReading
    >>> seen = [
    ...     TrendReading(week=w, sensor="1", reading=OutputReading(
    ...         hr_bpm=140.0 + off - (12.0 if w > 3 else 0.0), output=3.0, heat=Heat(), hills_pct=0, noise_sd_bpm=3.0))
    ...     for w in range(12) for off in (-2.0, 0.0, 2.0)
    ... ]
    >>> trend = weekly_trend(seen, hr_reference_bpm=140.0, slope=HeartRateSlope(25.5, 8.0), is_cycling=False)
    >>> trend.latest.call, trend.latest.direction, trend.latest.doubt.name
    ('clear', 'up', 'change rests on slope')
    """
    n = _checked_length(readings, slope, n_weeks, reference_weeks)
    season = into_weeks(readings, n)
    reference = [w for w in reference_weeks if w < n]
    n_reference = int(season.n_readings[reference].sum())
    has_reference = n_reference >= LEAST_REFERENCE_READINGS
    look = _Looking(season, reference, hr_reference_bpm, slope, is_cycling)
    calls = look.calls(max(looks_from, first_call_week(reference) - 1)) if has_reference else [_Look()] * n
    now = look.slope_of(season)
    variance = season.session_variance(now.mean)
    values = season.values(variance)
    beats = values.in_beats(now.mean, hr_reference_bpm)
    level, covariance = level_behind(values.week, beats, values.covariance, n_weeks=n)
    means, spread = values.weekly(beats, n), np.sqrt(np.diag(covariance))
    rows = tuple(
        TrendWeek(
            week=w, n_readings=int(season.n_readings[w]), n_tests=int(season.n_tests[w]),
            mean_bpm=float(means[w]) if season.n_readings[w] else None,
            level_bpm=float(level[w]), level_low_bpm=float(level[w] - Z90 * spread[w]),
            level_high_bpm=float(level[w] + Z90 * spread[w]),
            change_bpm=calls[w].change, change_sd_bpm=calls[w].sd,
            change_output=calls[w].in_output(calls[w].change), change_sd_output=calls[w].in_output(calls[w].sd),
            call=calls[w].word, direction=calls[w].direction, doubt=calls[w].doubt,
            has_readings=bool(season.n_readings[w]),
        )
        for w in range(n)
    )  # fmt: skip
    few = code("few readings to compare with", n_readings=n_reference, least=LEAST_REFERENCE_READINGS)
    return Trend(
        weeks=rows, reference_weeks=tuple(reference), session_sd_bpm=float(np.sqrt(variance)), slope=now,
        n_readings=int(season.n_readings.sum()), n_tests=int(season.n_tests.sum()),
        method=METHOD, caveats=() if has_reference else (few,),
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
    """What one look says; ``z`` is the change over its spread."""

    word: str = WORDS[0]
    direction: str = ""
    change: float | None = None
    sd: float | None = None
    slope: float = 1.0
    z: float = 0.0
    doubt: Code | None = None

    def in_output(self, beats: float | None) -> float | None:
        """Beats in the output's unit, by the slope of that look."""
        return None if beats is None else beats / self.slope


@dataclass(frozen=True, slots=True, eq=False)
class _Looking:
    """Looks at a season from the ends of its weeks, each with what was known then."""

    season: WeeklyReadings
    reference: Sequence[int]
    hr_reference_bpm: float
    usual: HeartRateSlope
    is_cycling: bool

    def calls(self, first: int) -> list[_Look]:
        """The call at each week's end; weeks before the first and those without any look behind them have none."""
        n, opens = self.season.n_readings.size, first_call_week(self.reference) - 1
        read = [w for w in range(opens, n) if self.season.n_readings[w]]
        numbers = {w: i + 1 for i, w in enumerate(read)}
        # the look before the first is needed too: a call takes two in a row
        begin = max((i for i, w in enumerate(read) if w <= first), default=0)
        calls, before, latest = [_Look()] * n, 0.0, _Look()
        looked = set(read[max(begin - 1, 0) :])
        for w in range(opens, n):
            if w in looked:
                latest = self.look(w, numbers[w], before)
                before = latest.z
            calls[w] = latest
        return calls

    def look(self, w: int, number: int, before: float) -> _Look:
        """The look at the end of a week, after one that saw ``before`` spreads."""
        known = self.season.until(w + 1)
        slope = self.slope_of(known)
        values = known.values(known.session_variance(slope.mean))
        contrast = np.zeros(w + 1)
        contrast[self.reference] = -1.0 / len(self.reference)
        contrast[w] += 1.0
        weights, scatter = weights_of_change(values.week, values.covariance, contrast)
        differ = values.differ(weights)
        change = float(slope.mean * differ[OUTPUT] - differ[HR])
        shared = shared_errors(
            weights, values, differ, slope_doubt_frac=slope.sd / slope.mean, is_cycling=self.is_cycling,
            is_sensor_named=bool(known.is_sensor_named[-1]),
        )  # fmt: skip
        rise = 1.0 + RISE * np.log(max(1.0, number / LOOKS_FREE))
        z = change / float(np.sqrt(rise**2 * scatter + shared.total))
        steady = min(abs(z), abs(before)) if z * before > 0 else 0.0
        reached = sum(steady > limit for limit in CALL_AT)
        return _Look(
            word=WORDS[reached], direction=("up" if z > 0 else "down") if reached else "", change=change,
            sd=float(np.sqrt(scatter + shared.total)), slope=slope.mean, z=z,
            doubt=largest_doubt(
                shared, scatter, likely_at=CALL_AT[1], n_unknown=int(known.n_unknown_heat.sum()),
                n_readings=int(known.n_readings.sum()),
            ),
        )  # fmt: skip

    def slope_of(self, known: WeeklyReadings) -> HeartRateSlope:
        """The slope as far as it was learnt then."""
        freedom = int(np.maximum(known.n_ordinary - 1, 0).sum())
        return slope_of_weeks(known.scatter.sum(axis=-1), freedom, usual=self.usual)


def _checked_length(
    readings: Sequence[TrendReading],
    slope: HeartRateSlope,
    n_weeks: int | None,
    reference_weeks: Sequence[int],
) -> int:
    """Number of weeks, after refusing what cannot be followed."""
    if not readings:
        raise TooLittleData("a trend needs at least 1 reading; 0 were given. Record steady sessions first.")
    weeks = [r.week for r in readings]
    told = [(r.reading.hr_bpm, r.reading.output) for r in readings]
    if min(weeks) < 0 or not np.isfinite(told).all():
        raise BadArgument(
            f"a trend needs weeks from 0 on and finite readings; the first week is {min(weeks)}, and "
            f"{int((~np.isfinite(told)).any(axis=1).sum())} of {len(weeks)} readings are not finite. Leave out sessions "
            "without a reading."
        )
    if not (slope.mean > 0 and slope.sd > 0):
        raise BadArgument(
            f"a trend needs a slope of heart rate on output above 0 with its doubt; {slope.mean:g} and {slope.sd:g} "
            "were given."
        )
    n = max(weeks) + 1 if n_weeks is None else n_weeks
    if n <= max(weeks):
        raise BadArgument(
            f"the season has {n} weeks, but a reading lies in week {max(weeks)}. Count weeks from 0."
        )
    if not len(reference_weeks) or not 0 <= min(reference_weeks) < n:
        raise BadArgument(
            f"a trend of {n} weeks needs reference weeks from 0 to {n - 1}; {tuple(reference_weeks)} were given."
        )
    return n
