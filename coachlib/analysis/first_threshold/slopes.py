"""How heart rate follows output: the usual slope, and the athlete's own from tests at known settings."""

from collections.abc import Sequence
from dataclasses import dataclass

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.recording.output import RUNNING_SPORTS, WALKING_SPORTS
from coachlib.measures.first_threshold.heart_rate_line import (
    DEMAND_SLOPE,
    DEMAND_SLOPE_SD,
    POWER_SLOPE,
    POWER_SLOPE_SD,
    HeartRateLine,
    demand_on_treadmill,
    heart_rate_line,
)
from coachlib.measures.output.slopes import CYCLING_SLOPE, RUNNING_SLOPE

#: One ml/kg/min of oxygen demand is so many m/s of level running (ACSM: 12 ml/kg/min per m/s).
DEMAND_PER_MPS = 12.0
#: An own slope needs so many different settings.  Own choice.
LEAST_SETTINGS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Slope:
    """Heart rate for each unit of output, and whether it was learnt from this athlete."""

    value: float
    is_own: bool


def usual_slope(sport: str, unit: str) -> Slope | None:
    """The slope to begin with: by watt, by running or by walking speed; None for other sports.

    Source
    ------
    Running and power: ``measures.output.slopes``.  Walking: this project's own choice, half of running,
    as in the ACSM equations (0.1 against 0.2 ml/kg/min for each m/min).

    Examples
    --------
    >>> usual_slope("cycling", "W").value, usual_slope("running", "m/s").value
    (0.35, 25.5)
    >>> usual_slope("rowing", "m/s") is None
    True
    """
    if unit == "W":
        return Slope(value=CYCLING_SLOPE.mean, is_own=False)
    if sport in RUNNING_SPORTS:
        return Slope(value=RUNNING_SLOPE.mean, is_own=False)
    return Slope(value=RUNNING_SLOPE.mean / 2, is_own=False) if sport in WALKING_SPORTS else None


def own_slope(
    tests: Sequence[SeriesTest], sport: str, unit: str, *, hr_max_bpm: float | None = None
) -> Slope | None:
    """The athlete's own slope from tests at three or more settings, else the usual one.

    Parameters
    ----------
    tests : sequence of SeriesTest
        Tests of the sport on a belt or an ergometer.  Running outdoors cannot teach a slope: the error of measured
        speed flattens it by an unknown amount.
    sport, unit : str
        What the slope is for; "W" or "m/s".
    hr_max_bpm : float, optional
        The athlete's maximum. [1/min]

    Source
    ------
    ``measures.first_threshold.heart_rate_line``.

    Examples
    --------
    >>> own_slope([], "running", "m/s").is_own
    False
    """
    usual = usual_slope(sport, unit)
    told = settings_of(tests, unit)
    if usual is None or len({round(setting, 1) for setting, _ in told}) < LEAST_SETTINGS:
        return usual
    line = line_of_tests(tests, unit, hr_max_bpm=hr_max_bpm)
    by_demand = 1.0 if unit == "W" else DEMAND_PER_MPS * usual.value / RUNNING_SLOPE.mean
    return Slope(value=line.slope * by_demand, is_own=True)


def settings_of(tests: Sequence[SeriesTest], unit: str) -> list[tuple[float, SeriesTest]]:
    """The tests whose settings are known: power [W], or oxygen demand of belt speed and grade [ml/kg/min].

    Examples
    --------
    >>> settings_of([], "W")
    []
    """
    if unit == "W":
        return [(t.power_w, t) for t in tests if t.power_w is not None]
    told = [t for t in tests if t.speed_mps is not None]
    demand = demand_on_treadmill([t.speed_mps or 0.0 for t in told], [t.grade or 0.0 for t in told])
    return list(zip(demand.tolist(), told, strict=True))


def line_of_tests(
    tests: Sequence[SeriesTest], unit: str, *, hr_max_bpm: float | None = None
) -> HeartRateLine:
    """The athlete's line of heart rate on power, or on oxygen demand.

    Raises
    ------
    TooLittleData
        Where no test has settings of this unit.

    Source
    ------
    ``measures.first_threshold.heart_rate_line``.
    """
    told = settings_of(tests, unit)
    slope, slope_sd = (POWER_SLOPE, POWER_SLOPE_SD) if unit == "W" else (DEMAND_SLOPE, DEMAND_SLOPE_SD)
    return heart_rate_line(
        [setting for setting, _ in told], [t.first_half_bpm for _, t in told], prior_slope=slope,
        prior_slope_sd=slope_sd, hr_max_bpm=hr_max_bpm, temperature_c=[t.air_c for _, t in told],
    )  # fmt: skip
