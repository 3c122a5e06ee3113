"""A season's readings week by week: ordinary sessions, controlled tests, and the level behind them.

A controlled test is surer than an ordinary session and brings its own spread; a week's mean weighs each reading
by how sure it is.  Tests done elsewhere than the sessions (a belt against the road) may all be off by one unknown
offset, which is learnt from the weeks that hold both: they tell changes, not levels.

Source
------
Means by precision, errors that hang together: any textbook of linear models.  The spreads are this project's own
choice, see ``measures.season.trend``.
"""

from dataclasses import dataclass

import numpy as np

from coachlib.measures.season.detectable import SEM_USUAL_BPM
from coachlib.measures.season.local_level import level_behind

#: Spread of one session's reading before this athlete's own is known, and for how many it counts. [1/min]
SESSION_SD_BPM, SESSION_SD_WEIGHT = 3.5, 8.0
#: Spread of a controlled test's reading: what heart rate at the same settings varies by. [1/min]
TEST_SD_BPM = SEM_USUAL_BPM
#: How far a belt and the road, or two ergometers, may differ for the same output. [1/min]  Own choice: belts and
#: the cost of a grade are good to about 5 to 10 % of a speed worth 70 to 80 bpm.
ELSEWHERE_SD_BPM = 6.0
#: Offset that a whole week shares (tiredness, heat, illness), as a variance. [1/min^2]
WEEK_VARIANCE = 1.5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WeeklyReadings:
    """What each week holds: ordinary sessions by number, sum and scatter; tests by precision and weighted sum.

    Tests done elsewhere are kept apart from those done where the sessions were.
    """

    n_ordinary: np.ndarray
    ordinary_sum: np.ndarray
    ordinary_squares: np.ndarray
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
        return WeeklyReadings(**{name: getattr(self, name)[:n_weeks] for name in WeeklyReadings.__slots__})

    def session_variance(self) -> float:
        """Variance [1/min^2] of one ordinary session, drawn towards the usual one."""
        freedom = np.maximum(self.n_ordinary - 1, 0).sum()
        scatter = SESSION_SD_WEIGHT * SESSION_SD_BPM**2 + self.ordinary_squares.sum()
        return float(scatter / (SESSION_SD_WEIGHT + freedom))

    def means(self, session_variance: float) -> np.ndarray:
        """Mean of all readings of each week by precision [1/min]; NaN where a week has none."""
        precision = self.n_ordinary / session_variance + self.test_precision + self.elsewhere_precision
        total = self.ordinary_sum / session_variance + self.test_sum + self.elsewhere_sum
        return np.divide(total, precision, out=np.full(precision.size, np.nan), where=precision > 0)

    def level(self, session_variance: float) -> tuple[np.ndarray, np.ndarray]:
        """Level of each week [1/min] and the covariance of its error [1/min^2]."""
        here = self.n_ordinary / session_variance + self.test_precision
        precision = np.concatenate((here, self.elsewhere_precision))
        total = np.concatenate((self.ordinary_sum / session_variance + self.test_sum, self.elsewhere_sum))
        seen = np.flatnonzero(precision)
        week, is_elsewhere = seen % here.size, seen >= here.size
        covariance = np.diag(1.0 / precision[seen])
        # what a whole week shares is shared by its tests too
        covariance += WEEK_VARIANCE * np.equal.outer(week, week)
        covariance += ELSEWHERE_SD_BPM**2 * np.logical_and.outer(is_elsewhere, is_elsewhere)
        return level_behind(week, total[seen] / precision[seen], covariance, n_weeks=here.size)


def into_weeks(
    weeks: np.ndarray, readings: np.ndarray, test_sd: np.ndarray, elsewhere: np.ndarray, n_weeks: int
) -> WeeklyReadings:
    """Sort readings into weeks; ``test_sd`` is NaN for ordinary sessions, whatever ``elsewhere`` says."""
    is_test = np.isfinite(test_sd)
    precision = np.where(is_test, test_sd, np.inf) ** -2.0

    def count(chosen: np.ndarray) -> np.ndarray:
        return np.bincount(weeks[chosen], minlength=n_weeks)

    def sums(chosen: np.ndarray, values: np.ndarray) -> np.ndarray:
        return np.bincount(weeks[chosen], values[chosen], minlength=n_weeks)

    counts, ordinary_sum = count(~is_test), sums(~is_test, readings)
    means = np.divide(ordinary_sum, counts, out=np.zeros(n_weeks), where=counts > 0)
    here, there = is_test & ~elsewhere, is_test & elsewhere
    return WeeklyReadings(
        n_ordinary=counts,
        ordinary_sum=ordinary_sum,
        ordinary_squares=sums(~is_test, (readings - means[weeks]) ** 2),
        n_tests=count(is_test),
        test_precision=sums(here, precision),
        test_sum=sums(here, precision * readings),
        elsewhere_precision=sums(there, precision),
        elsewhere_sum=sums(there, precision * readings),
    )
