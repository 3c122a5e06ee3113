"""The settings of the next drift test: what heart rate to aim for, and which settings should give it.

Source
------
Aim: this project's own choice, the best guess of the threshold, but not more than 12 bpm above the last
test and not above 92 % of the maximal heart rate; in simulation it brackets the threshold with fewer tests
than raising speed or grade by habit (``tests/benchmarks/threshold_series.py``).
Settings on the machine there is: ``measures.first_threshold.machine_settings``.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy

from coachlib.errors import BadArgument
from coachlib.measures.common.codes import Code, code
from coachlib.measures.first_threshold.drift_series import DriftSeries
from coachlib.measures.first_threshold.estimate import FirstThreshold, FittedSeries
from coachlib.measures.first_threshold.heart_rate_line import HeartRateLine
from coachlib.measures.first_threshold.machine_settings import (
    Settings,
    settings_by_power,
    settings_on_treadmill,
)

METHOD = "next test 2"
#: Not more than this above the last test. [1/min]  Own choice: a kind step that still informs.
LONGEST_STEP_BPM = 12.0
#: Not above this share of the maximal heart rate.  Own choice: an hour there is no test but a race.
TOP_SHARE_OF_MAX = 0.92
#: Where another test would narrow the 90 % interval by less than this, enough is known. [1/min]  Own choice.
ENOUGH_BPM = 1.0
#: Standard error expected of the next test. [%]  Own choice: an hour with ordinary noise.
EXPECTED_SE_PCT = 0.5
#: Day-to-day scatter of drift at one setting. [%]  Own choice, a little above the median of ``walking``.
PLANNED_DAY_SD_PCT = 1.2
#: Days to leave after a test.  Own choice: an hour at or above the threshold costs fluid and sleep, and both
#: move heart rate for a day or two; what they do to drift was not measured.
REST_DAYS, REST_DAYS_AFTER_HARD, HARD_DRIFT_PCT = 2, 3, 8.0


#: Weeks until the next test, for what it would do.  Own choice.
WEEKS_UNTIL = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class NextTest:
    """What the next test should be, and what it would do.

    ``settings`` is None outdoors: then ``target_bpm`` itself is to be held in the first half.
    ``width_now_bpm`` and ``width_after_bpm`` are 90 % interval widths before and, as expected, after it.
    ``target_from``, ``rest_from`` and ``caveats`` are codes.
    """

    target_bpm: float
    target_from: Code
    settings: Settings | None
    width_now_bpm: float
    width_after_bpm: float
    enough: bool
    rest_days: int
    rest_from: Code
    method: str
    caveats: tuple[Code, ...]


def target_heart_rate(
    threshold: FirstThreshold, *, last_bpm: float, hr_max_bpm: float | None = None
) -> tuple[float, Code]:
    """The heart rate [1/min] to aim for in the first half, and which rule set it.

    Parameters
    ----------
    threshold : FirstThreshold
        The estimate.
    last_bpm : float
        First-half mean of the last test. [1/min]
    hr_max_bpm : float, optional
        A maximum that may be used: none under medicine that slows the heart. [1/min]

    Source
    ------
    This project's own choice, see the module's docstring.

    Examples
    --------
    >>> from coachlib.measures.first_threshold.estimate import estimate_first_threshold
    >>> found = estimate_first_threshold([141.0], [0.5], [0.5], hr_max_bpm=190)
    >>> target, rule = target_heart_rate(found, last_bpm=141.0, hr_max_bpm=190)
    >>> target, rule.name
    (153.0, 'aim one step up')
    """
    guess = code(
        "aim at the best guess" if threshold.has_best_guess else "aim at the middle of what is possible"
    )
    rules = [
        (threshold.hr_bpm, guess),
        (last_bpm + LONGEST_STEP_BPM, code("aim one step up", step_bpm=LONGEST_STEP_BPM)),
    ]
    if hr_max_bpm is not None:
        rules.append(
            (TOP_SHARE_OF_MAX * hr_max_bpm, code("aim below the maximum", share_pct=100 * TOP_SHARE_OF_MAX))
        )
    return min(rules, key=lambda rule: rule[0])


def propose_next_test(
    fitted: FittedSeries,
    *,
    line: HeartRateLine | None = None,
    speeds_mps: np.ndarray | Sequence[float] | None = None,
    grades: np.ndarray | Sequence[float] | None = None,
    last_speed_mps: float | None = None,
    last_grade: float | None = None,
    powers_w: np.ndarray | Sequence[float] | None = None,
) -> NextTest:
    """Say at which settings the next test should be done, what it would teach, and when.

    Two tests that merely contradict each other are repeated at the setting of the one that drifted more.

    Parameters
    ----------
    fitted : FittedSeries
        The tests so far with what they leave possible.
    line : HeartRateLine, optional
        The athlete's line; without it (outdoors) only a heart rate is proposed.
    speeds_mps, grades, last_speed_mps, last_grade : optional
        What the treadmill can be set to, and what it was set to last. [m/s], [rise over run]
    powers_w : array of float, optional
        What the ergometer can be set to; ``line`` is then on power. [W]

    Raises
    ------
    BadArgument
        Where a treadmill is there but not what it was set to last.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> from coachlib.measures.first_threshold.drift_series import drift_series
    >>> plan = propose_next_test(
    ...     FittedSeries(drift_series([142, 151, 159], [0.2, 0.8, 2.5], [0.5] * 3, hr_max_bpm=190)))
    >>> bool(159 < plan.target_bpm <= 171), plan.enough, plan.rest_days
    (True, False, 2)
    """
    series, threshold = fitted.series, fitted.threshold
    target, target_from = _target(fitted)
    settings = None
    if line is not None and powers_w is not None:
        settings = settings_by_power(line, target_bpm=target, powers_w=powers_w)
    elif line is not None and speeds_mps is not None and grades is not None:
        if last_speed_mps is None or last_grade is None:
            raise BadArgument("treadmill settings need the last test's belt speed and grade; type them in.")
        settings = settings_on_treadmill(
            line, target_bpm=target, speeds_mps=speeds_mps, grades=grades,
            last_speed_mps=last_speed_mps, last_grade=last_grade,
        )  # fmt: skip
    after = fitted.width_after(
        target, _possible_drifts(fitted, target), se_pct=EXPECTED_SE_PCT, weeks=WEEKS_UNTIL
    )
    rest_days, rest_from = _rest(series.drift_pct[-1])
    return NextTest(
        target_bpm=target, target_from=target_from, settings=settings,
        width_now_bpm=threshold.width_bpm, width_after_bpm=after,
        enough=threshold.has_best_guess and threshold.width_bpm - after < ENOUGH_BPM,
        rest_days=rest_days, rest_from=rest_from, method=METHOD, caveats=_settings_caveats(settings, target),
    )  # fmt: skip


def usable_maximum(series: DriftSeries) -> float | None:
    """The maximum that a cap may be made from: none under medicine that slows the heart."""
    return None if series.medicine else series.hr_max_bpm


def _target(fitted: FittedSeries) -> tuple[float, Code]:
    """What to aim at, and why."""
    threshold, hr_bpm = fitted.threshold, fitted.tests.hr_bpm
    if threshold.is_unresolved and threshold.contradiction is not None:
        more = fitted.series.order.index(threshold.contradiction[0])
        return float(hr_bpm[more]), code("aim at the contradiction")
    return target_heart_rate(threshold, last_bpm=float(hr_bpm[-1]), hr_max_bpm=usable_maximum(fitted.series))


def _possible_drifts(fitted: FittedSeries, target_bpm: float, *, n_futures: int = 7) -> np.ndarray:
    """Drifts [%] that one more test at the target may show, evenly spread over what is possible."""
    curves = fitted.drift_at(np.array([target_bpm]))[:, 0]
    levels = (np.arange(n_futures) + 0.5) / n_futures
    scatter = np.hypot(EXPECTED_SE_PCT, PLANNED_DAY_SD_PCT) * scipy.special.ndtri(levels)
    return np.asarray(np.quantile(np.add.outer(curves, scatter), levels))


def _rest(last_drift_pct: float) -> tuple[int, Code]:
    """Days to leave before the next test, and why."""
    if last_drift_pct > HARD_DRIFT_PCT:
        return REST_DAYS_AFTER_HARD, code(
            "rest after a hard test", days=REST_DAYS_AFTER_HARD, drift_pct=last_drift_pct
        )
    return REST_DAYS, code("rest after a test", days=REST_DAYS)


def _settings_caveats(settings: Settings | None, target_bpm: float) -> tuple[Code, ...]:
    """Whether the machine can meet the target at all."""
    if settings is None or settings.predicted_bpm is None or abs(settings.predicted_bpm - target_bpm) <= 3.0:
        return ()
    return (code("machine misses the aim", predicted_bpm=settings.predicted_bpm, target_bpm=target_bpm),)
