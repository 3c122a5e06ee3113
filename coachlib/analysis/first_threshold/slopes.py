"""How heart rate follows output: the usual slope, and the athlete's own from tests at known settings."""

from collections.abc import Sequence
from dataclasses import dataclass

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.recording.output import usual_heart_rate_slope
from coachlib.measures.first_threshold.heart_rate_line import (
    DEMAND_SLOPE,
    DEMAND_SLOPE_SD,
    POWER_SLOPE,
    POWER_SLOPE_SD,
    HeartRateLine,
    demand_on_treadmill,
    heart_rate_line,
)
from coachlib.measures.output.energy import LEVEL_VO2_PER_MPS
from coachlib.measures.output.slopes import (
    CYCLING_SLOPE,
    OWN_CYCLING_SD,
    OWN_RUNNING_SD,
    RUNNING_SLOPE,
    HeartRateSlope,
    joined_slope,
)

#: An own slope needs so many different settings.  Own choice.
LEAST_SETTINGS = 3
#: So many times as unsure as usual is a slope about which nothing is taken as known.
_VAGUE = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Slope:
    """Heart rate for each unit of output, how unsure that is where known, and whether this athlete is in it."""

    value: float
    sd: float | None = None
    is_own: bool


def usual_slope(sport: str, unit: str) -> Slope | None:
    """The slope to begin with: by watt, by running or by walking speed; None for other sports.

    Source
    ------
    ``analysis.recording.output.usual_heart_rate_slope``.

    Examples
    --------
    >>> usual_slope("cycling", "W").value, usual_slope("running", "m/s").value
    (0.35, 25.5)
    >>> usual_slope("rowing", "m/s") is None
    True
    """
    usual = usual_heart_rate_slope(sport, unit)
    return None if usual is None else Slope(value=usual.mean, sd=usual.sd, is_own=False)


def own_slope(
    tests: Sequence[SeriesTest], sport: str, unit: str, *, hr_max_bpm: float | None = None
) -> Slope | None:
    """The usual slope joined with the athlete's own, where tests at three or more settings tell one.

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
    ``measures.first_threshold.heart_rate_line`` with nothing taken as known about the slope, joined as in
    ``measures.output.slopes``.

    Examples
    --------
    >>> own_slope([], "running", "m/s").is_own
    False
    """
    usual = usual_heart_rate_slope(sport, unit)
    told = settings_of(tests, unit)
    if usual is None or len({round(setting, 1) for setting, _ in told}) < LEAST_SETTINGS:
        return usual_slope(sport, unit)
    share = usual.mean / (CYCLING_SLOPE if unit == "W" else RUNNING_SLOPE).mean
    line = line_of_tests(tests, unit, hr_max_bpm=hr_max_bpm, vague=True)
    by_demand, floor = (
        (1.0, OWN_CYCLING_SD) if unit == "W" else (LEVEL_VO2_PER_MPS * share, OWN_RUNNING_SD * share)
    )
    joined = joined_slope(
        usual,
        HeartRateSlope(line.slope * by_demand, line.slope_sd * by_demand),
        own_floor_sd=floor,
    )
    return Slope(value=joined.mean, sd=joined.sd, is_own=True)


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
    tests: Sequence[SeriesTest], unit: str, *, hr_max_bpm: float | None = None, vague: bool = False
) -> HeartRateLine:
    """The athlete's line of heart rate on power, or on oxygen demand; ``vague`` takes nothing as known of its slope.

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
        prior_slope_sd=slope_sd * (_VAGUE if vague else 1.0), hr_max_bpm=hr_max_bpm, temperature_c=[t.air_c for _, t in told],
    )  # fmt: skip
