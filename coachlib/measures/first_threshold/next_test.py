"""The settings of the next drift test: what heart rate to aim for, and which settings should give it.

Source
------
Aim: this project's own choice, the best guess of the threshold, but not more than 12 bpm above the last
test and not above 92 % of the maximal heart rate; in simulation it brackets the threshold with fewer tests
than raising speed or grade by habit (``tests/benchmarks/threshold_series.py``).
Settings on the machine there is: ``measures.output.machine_settings``.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy

from coachlib.errors import BadArgument
from coachlib.measures.first_threshold.drift_curve import Posterior, SeriesData
from coachlib.measures.first_threshold.drift_series import CRITERION_PCT, series_data
from coachlib.measures.first_threshold.estimate import FirstThreshold, drift_curve, estimate_first_threshold
from coachlib.measures.first_threshold.heart_rate_line import HeartRateLine
from coachlib.measures.output.machine_settings import Settings, settings_by_power, settings_on_treadmill

METHOD = "next test 1"
#: Not more than this above the last test. [1/min]  Own choice: a kind step that still informs.
LONGEST_STEP_BPM = 12.0
#: Not above this share of the maximal heart rate.  Own choice: an hour there is no test but a race.
TOP_SHARE_OF_MAX = 0.92
#: Where another test would narrow the 90 % interval by less than this, enough is known. [1/min]  Own choice.
ENOUGH_BPM = 1.0
#: Standard error expected of the next test. [%]  Own choice: an hour with ordinary noise.
EXPECTED_SE_PCT = 0.5
#: Day-to-day scatter of drift at one setting. [%]  Own choice, a little above the median of ``drift_curve``.
DAY_DRIFT_SD_PCT = 1.2
#: Days to leave after a test.  Own choice: an hour at or above the threshold costs fluid and sleep, and both
#: move heart rate for a day or two; what they do to drift was not measured.
REST_DAYS, REST_DAYS_AFTER_HARD, HARD_DRIFT_PCT = 2, 3, 8.0


@dataclass(frozen=True, slots=True, kw_only=True)
class NextTest:
    """What the next test should be, and what it would do.

    ``settings`` is None outdoors: then ``target_bpm`` itself is to be held in the first half.
    ``width_now_bpm`` and ``width_after_bpm`` are 90 % interval widths before and, as expected, after it.
    """

    target_bpm: float
    target_from: str
    settings: Settings | None
    width_now_bpm: float
    width_after_bpm: float
    enough: bool
    rest_days: int
    rest_reason: str
    method: str
    caveats: tuple[str, ...]


def target_heart_rate(
    threshold: FirstThreshold, *, last_bpm: float, hr_max_bpm: float | None = None
) -> tuple[float, str]:
    """The heart rate [1/min] to aim for in the first half, and in words which rule set it.

    Source
    ------
    This project's own choice, see the module's docstring.

    Examples
    --------
    >>> found = estimate_first_threshold([140.0], [0.5], [0.5], hr_max_bpm=190)
    >>> target_heart_rate(found, last_bpm=140.0, hr_max_bpm=190)
    (152.0, 'not more than 12 bpm above the last test')
    """
    rules = [
        (threshold.hr_bpm, "the best guess of the threshold"),
        (last_bpm + LONGEST_STEP_BPM, f"not more than {LONGEST_STEP_BPM:g} bpm above the last test"),
    ]
    if hr_max_bpm is not None:
        rules.append(
            (TOP_SHARE_OF_MAX * hr_max_bpm, f"not above {100 * TOP_SHARE_OF_MAX:g} % of the maximum")
        )
    return min(rules, key=lambda rule: rule[0])


def propose_next_test(
    first_half_bpm: np.ndarray | Sequence[float],
    drift_pct: np.ndarray | Sequence[float],
    se_pct: np.ndarray | Sequence[float],
    *,
    line: HeartRateLine | None = None,
    speeds_mps: np.ndarray | Sequence[float] | None = None,
    grades: np.ndarray | Sequence[float] | None = None,
    last_speed_mps: float | None = None,
    last_grade: float | None = None,
    powers_w: np.ndarray | Sequence[float] | None = None,
    criterion_pct: float = CRITERION_PCT,
    hr_max_bpm: float | None = None,
    temperature_c: np.ndarray | Sequence[float | None] | None = None,
    conditions_unsure: np.ndarray | Sequence[bool] | None = None,
) -> NextTest:
    """Say at which settings the next test should be done, what it would teach, and when.

    Parameters
    ----------
    first_half_bpm, drift_pct, se_pct : array of float, shape (n,)
        The tests in the order they were done, as in ``first_threshold``.
    line : HeartRateLine, optional
        The athlete's line; without it (outdoors) only a heart rate is proposed.
    speeds_mps, grades, last_speed_mps, last_grade : optional
        What the treadmill can be set to, and what it was set to last. [m/s], [rise over run]
    powers_w : array of float, optional
        What the ergometer can be set to; ``line`` is then on power. [W]
    criterion_pct, hr_max_bpm, temperature_c, conditions_unsure
        As in ``estimate_first_threshold``.

    Raises
    ------
    TooLittleData
        Where there is no test yet.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> plan = propose_next_test([143, 152, 160], [0.2, 0.8, 2.5], [0.5, 0.5, 0.5], hr_max_bpm=190)
    >>> bool(160 < plan.target_bpm <= 172), plan.enough, plan.rest_days
    (True, False, 2)
    """
    threshold = estimate_first_threshold(
        first_half_bpm, drift_pct, se_pct, criterion_pct=criterion_pct, hr_max_bpm=hr_max_bpm,
        temperature_c=temperature_c, conditions_unsure=conditions_unsure,
    )  # fmt: skip
    data = series_data(
        first_half_bpm, drift_pct, se_pct, criterion_pct=criterion_pct, hr_max_bpm=hr_max_bpm,
        temperature_c=temperature_c, conditions_unsure=conditions_unsure,
    )  # fmt: skip
    target, target_from = target_heart_rate(threshold, last_bpm=float(data.hr_bpm[-1]), hr_max_bpm=hr_max_bpm)
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
    posterior = drift_curve.fit(data, criterion_pct=criterion_pct, hr_max_bpm=hr_max_bpm)
    after = _expected_width(posterior, target)
    rest_days, rest_reason = _rest(float(np.asarray(drift_pct, dtype=float)[-1]))
    return NextTest(
        target_bpm=target, target_from=target_from, settings=settings,
        width_now_bpm=threshold.width_bpm, width_after_bpm=after,
        enough=threshold.bounded == "both" and threshold.width_bpm - after < ENOUGH_BPM,
        rest_days=rest_days, rest_reason=rest_reason, method=METHOD,
        caveats=_settings_caveats(settings, target),
    )  # fmt: skip


def _expected_width(posterior: Posterior, target_bpm: float, *, n_futures: int = 7) -> float:
    """Mean 90 % width [1/min] after one more test at the target, over drifts it may show."""
    curves = posterior.drift_at(np.array([target_bpm]))[:, 0]
    levels = (np.arange(n_futures) + 0.5) / n_futures
    scatter = np.hypot(EXPECTED_SE_PCT, DAY_DRIFT_SD_PCT) * scipy.special.ndtri(levels)
    futures = np.quantile(np.add.outer(curves, scatter), levels)
    widths = []
    for drift in futures:
        test = SeriesData(
            np.array([target_bpm]),
            np.array([drift]),
            np.array([EXPECTED_SE_PCT]),
            np.array([drift_curve.DAY_SD_BPM]),
        )
        later = drift_curve.with_tests(posterior, test)
        low, high = drift_curve.quantiles(later.threshold_bpm, later.probability, (0.05, 0.95))
        widths.append(high - low)
    return float(np.mean(widths))


def _rest(last_drift_pct: float) -> tuple[int, str]:
    """Days to leave before the next test, and why."""
    if last_drift_pct > HARD_DRIFT_PCT:
        return REST_DAYS_AFTER_HARD, (
            f"the last test drifted {last_drift_pct:.1f} %, which was hard: leave {REST_DAYS_AFTER_HARD} "
            "easy days, "
            "so that tiredness does not raise the next one (our own rule)"
        )
    return REST_DAYS, (
        f"leave {REST_DAYS} easy days after a test: lost fluid and short sleep move heart rate for a day "
        "or two "
        "(our own rule)"
    )


def _settings_caveats(settings: Settings | None, target_bpm: float) -> tuple[str, ...]:
    """Whether the machine can meet the target at all."""
    if settings is None or settings.predicted_bpm is None or abs(settings.predicted_bpm - target_bpm) <= 3.0:
        return ()
    return (
        f"the nearest settings are expected to give {settings.predicted_bpm:.0f} bpm, not {target_bpm:.0f}: "
        "the machine's range does not reach further, or its steps are coarse",
    )
