"""A season's readings week by week: ordinary sessions, controlled tests, and the level behind them.

A controlled test is surer than an ordinary session and brings its own spread; a week's mean weighs each reading
by how sure it is.  Tests done elsewhere than the sessions (a belt against the road) may all be off by one unknown
offset, which is learnt from the weeks that hold both: they tell changes, not levels.  Heart rate and output stay
apart until a slope is given, since every look brings its own.

Source
------
Means by precision, errors that hang together: any textbook of linear models.  The spreads are this project's own
choice, see ``measures.season.trend``.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from coachlib.measures.season.output_reading import OutputReading

#: Spread of one session's reading before this athlete's own is known, and for how many it counts. [1/min]
SESSION_SD_BPM, SESSION_SD_WEIGHT = 3.5, 8.0
#: Spread of a controlled test's reading: what heart rate at the same settings varies by in ordinary conditions.
#: [1/min]  Own choice; Lamberts et al. (2004), J Strength Cond Res 18:641-645: 1.1 to 1.4 % when controlled.
TEST_SD_BPM = 2.6
#: How far a belt and the road, or two ergometers, may differ for the same output. [1/min]  Own choice: belts and
#: the cost of a grade are good to about 5 to 10 % of a speed worth 70 to 80 bpm.
ELSEWHERE_SD_BPM = 6.0
#: Offset that a whole week shares (tiredness, heat, illness), as a variance. [1/min^2]
WEEK_VARIANCE = 1.5
#: What a reading tells, in the order of the sums: heart rate, output, typed heat, hills, unknown heat.
HR, OUTPUT, HEAT, HILLS, UNKNOWN_HEAT = range(5)


@dataclass(frozen=True, slots=True, kw_only=True)
class TrendReading:
    """A reading and the week it lies in.

    ``is_elsewhere`` marks a test done elsewhere than the sessions; ``sensor`` names what heart rate came from, ""
    unknown.
    """

    week: int
    reading: OutputReading
    is_elsewhere: bool = False
    sensor: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WeeklyReadings:
    """What each week holds, weeks along the last axis.

    ``ordinary_sum`` are sums of what sessions tell (first axis: see ``HR`` and the others), ``scatter`` the sums of
    products of heart rate and output about the week's mean (bpm times bpm, bpm times output, output times output).
    ``n_unknown_heat`` counts readings without temperature; ``is_sensor_named`` says whether all sessions up to a
    week name one and the same heart-rate sensor (tests, where there is no session).  Tests are summed by precision, those done elsewhere than the sessions apart.
    """

    n_ordinary: np.ndarray
    n_unknown_heat: np.ndarray
    is_sensor_named: np.ndarray
    ordinary_sum: np.ndarray
    scatter: np.ndarray
    n_tests: np.ndarray
    test_precision: np.ndarray
    test_sum: np.ndarray
    elsewhere_precision: np.ndarray
    elsewhere_sum: np.ndarray

    @property
    def n_readings(self) -> np.ndarray:
        """Ordinary sessions and tests of each week."""
        return self.n_ordinary + self.n_tests

    def until(self, n_weeks: int) -> "WeeklyReadings":
        """Only the first weeks: what was known then."""
        return WeeklyReadings(**{name: getattr(self, name)[..., :n_weeks] for name in _FIELDS})

    def session_variance(self, slope: float) -> float:
        """Variance [1/min^2] of one ordinary session, drawn towards the usual one."""
        freedom = np.maximum(self.n_ordinary - 1, 0).sum()
        of_hr, of_both, of_output = self.scatter.sum(axis=-1)
        own = max(float(slope**2 * of_output - 2 * slope * of_both + of_hr), 0.0)
        return float((SESSION_SD_WEIGHT * SESSION_SD_BPM**2 + own) / (SESSION_SD_WEIGHT + freedom))

    def values(self, session_variance: float) -> "Values":
        """What is followed: one value a week and place, with the covariance of their errors."""
        here = self.n_ordinary / session_variance + self.test_precision
        precision = np.concatenate((here, self.elsewhere_precision))
        told = np.hstack((self.ordinary_sum / session_variance + self.test_sum, self.elsewhere_sum))
        seen = np.flatnonzero(precision)
        week, is_elsewhere = seen % here.size, seen >= here.size
        covariance = np.diag(1.0 / precision[seen])
        # what a whole week shares is shared by its tests too
        covariance += WEEK_VARIANCE * np.equal.outer(week, week)
        covariance += ELSEWHERE_SD_BPM**2 * np.logical_and.outer(is_elsewhere, is_elsewhere)
        return Values(
            week=week, told=told[:, seen] / precision[seen], precision=precision[seen], covariance=covariance
        )


_FIELDS = tuple(field.name for field in fields(WeeklyReadings))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Values:
    """One value a week and place: what is told there, how surely, and how errors hang together."""

    week: np.ndarray
    told: np.ndarray
    precision: np.ndarray
    covariance: np.ndarray

    def in_beats(self, slope: float, hr_reference_bpm: float) -> np.ndarray:
        """Output at the reference heart rate in bpm-equivalents."""
        return slope * self.told[OUTPUT] - (self.told[HR] - hr_reference_bpm)

    def differ(self, weights: np.ndarray) -> np.ndarray:
        """How far the two sides of a difference lie apart in everything told, shape (5,)."""
        sure = 1.0 / self.covariance.diagonal()
        return (self.told - (self.told @ sure / sure.sum())[:, None]) @ weights

    def weekly(self, beats: np.ndarray, n_weeks: int) -> np.ndarray:
        """Mean of all values of each week by precision; NaN where a week has none."""
        precision = np.bincount(self.week, self.precision, n_weeks)
        total = np.bincount(self.week, self.precision * beats, n_weeks)
        return np.divide(total, precision, out=np.full(n_weeks, np.nan), where=precision > 0)


def into_weeks(readings: Sequence[TrendReading], n_weeks: int) -> WeeklyReadings:
    """Sort readings into weeks."""
    weeks = np.array([r.week for r in readings], dtype=int)
    told = np.array([
        (r.reading.hr_bpm, r.reading.output, r.reading.heat.above_c * (not r.reading.heat.unknown),
         r.reading.hills_pct, r.reading.heat.unknown)
        for r in readings
    ]).T  # fmt: skip
    is_test = np.array([r.reading.test_sd_bpm is not None for r in readings])
    precision = np.array([(r.reading.test_sd_bpm or np.inf) ** -2.0 for r in readings])
    elsewhere = np.array([r.is_elsewhere for r in readings])

    def sums(chosen: np.ndarray, values: np.ndarray) -> np.ndarray:
        return np.array([
            np.bincount(weeks[chosen], row[chosen], n_weeks).astype(float) for row in np.atleast_2d(values)
        ])  # fmt: skip

    counts = np.bincount(weeks[~is_test], minlength=n_weeks)
    ordinary_sum = sums(~is_test, told)
    means = np.divide(ordinary_sum, counts, out=np.zeros_like(ordinary_sum), where=counts > 0)
    off_hr, off_output = told[[HR, OUTPUT]] - means[[HR, OUTPUT]][:, weeks]
    here, there = is_test & ~elsewhere, is_test & elsewhere
    unknown = told[UNKNOWN_HEAT] > 0
    return WeeklyReadings(
        n_ordinary=counts,
        n_unknown_heat=np.bincount(weeks[unknown], minlength=n_weeks),
        is_sensor_named=_named(readings, n_weeks),
        ordinary_sum=ordinary_sum,
        scatter=sums(~is_test, np.array([off_hr**2, off_hr * off_output, off_output**2])),
        n_tests=np.bincount(weeks[is_test], minlength=n_weeks),
        test_precision=sums(here, precision)[0],
        test_sum=sums(here, precision * told),
        elsewhere_precision=sums(there, precision)[0],
        elsewhere_sum=sums(there, precision * told),
    )


def _named(readings: Sequence[TrendReading], n_weeks: int) -> np.ndarray:
    """Whether all sessions up to each week name one and the same sensor; tests count where there is no session."""
    first = {True: n_weeks, False: n_weeks}
    odd = dict(first)
    names: dict[bool, str] = {}
    for r in sorted(readings, key=lambda r: r.week):
        is_test = r.reading.test_sd_bpm is not None
        first[is_test] = min(first[is_test], r.week)
        if not r.sensor or names.setdefault(is_test, r.sensor) != r.sensor:
            odd[is_test] = min(odd[is_test], r.week)
    week = np.arange(n_weeks)
    return np.where(week >= first[False], week < odd[False], (week >= first[True]) & (week < odd[True]))
