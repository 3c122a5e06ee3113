"""Errors that all sessions of one side share and that no number of them averages out: slope, heat, hills, sensor.

A change is a sum of weekly means with weights; what those weights make of any other weekly mean is how far the two
sides differ in it.  The change stays, its spread grows where the sides differ.

Source
------
Error propagation through linear weights: any textbook.  The sizes are this project's own choice, set on simulated
seasons and held against fresh ones (``tests/benchmarks/season_calls.py``).
"""

from dataclasses import dataclass

import numpy as np

from coachlib.measures.common.codes import Code, code
from coachlib.measures.common.constants import Z90
from coachlib.measures.season.heat import HEAT_SD
from coachlib.measures.season.weekly_readings import HEAT, HILLS, HR, UNKNOWN_HEAT, Values

#: Doubt of the slope that learning leaves, as a share of it: riding, running with one named sensor, running else.
SLOPE_DOUBT_RIDING, SLOPE_DOUBT_NAMED, SLOPE_DOUBT_RUNNING = 0.10, 0.30, 0.20
#: What a per cent more spread of grade may hide. [1/min per %]
HILLS_SD = 0.8
#: What weather nobody wrote down may hide, with a sensor not named and with one named; for how long it lasts.
#: [1/min], [weeks]
WEATHER_SD_BPM, WEATHER_SD_NAMED_BPM, WEATHER_WEEKS = 3.0, 3.3, 8.0
#: What another sensor may add where none is named. [1/min]
SENSOR_SD_BPM = 1.2


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedErrors:
    """Variances [1/min^2] of a change that its sides share, and how far they differ.

    ``easier_bpm`` is heart rate of the reference side less that of the later one, ``hillier_pct`` and ``hotter_c``
    the later side's spread of grade and typed heat less the reference's.
    """

    slope: float
    heat: float
    hills: float
    weather: float
    sensor: float
    easier_bpm: float
    hotter_c: float
    hillier_pct: float

    @property
    def total(self) -> float:
        """Their sum. [1/min^2]"""
        return self.slope + self.heat + self.hills + self.weather + self.sensor


def shared_errors(
    weights: np.ndarray,
    values: Values,
    differ: np.ndarray,
    *,
    slope_doubt_frac: float,
    is_cycling: bool,
    is_sensor_named: bool,
) -> SharedErrors:
    """How much of a change could be slope, heat, hills, weather or sensor.

    Parameters
    ----------
    weights : ndarray, shape (k,)
        What each value weighs in the change; about 0 in sum.
    values : Values
        The values themselves.
    differ : ndarray, shape (5,)
        How far the two sides differ in what values tell, ``Values.differ`` of the same weights.
    slope_doubt_frac : float
        Standard deviation of the slope over the slope.
    is_cycling : bool
        Whether output is power on a bicycle.
    is_sensor_named : bool
        Whether all sessions name one and the same heart-rate sensor.

    Source
    ------
    See the module's docstring.
    """
    running = SLOPE_DOUBT_NAMED if is_sensor_named else SLOPE_DOUBT_RUNNING
    doubt = np.hypot(slope_doubt_frac, SLOPE_DOUBT_RIDING if is_cycling else running)
    unknown = weights * values.told[UNKNOWN_HEAT]
    lasting = np.exp(-abs(np.subtract.outer(values.week, values.week)) / WEATHER_WEEKS)
    weather_sd = WEATHER_SD_NAMED_BPM if is_sensor_named else WEATHER_SD_BPM
    return SharedErrors(
        slope=float(doubt * differ[HR]) ** 2, heat=float(HEAT_SD * differ[HEAT]) ** 2,
        hills=float(HILLS_SD * differ[HILLS]) ** 2,
        weather=max(float(unknown @ lasting @ unknown), 0.0) * weather_sd**2,
        sensor=0.0 if is_sensor_named else SENSOR_SD_BPM**2,
        easier_bpm=float(-differ[HR]), hotter_c=float(differ[HEAT]), hillier_pct=float(differ[HILLS]),
    )  # fmt: skip


def largest_doubt(
    shared: SharedErrors, scatter: float, *, likely_at: float, n_unknown: int, n_readings: int
) -> Code | None:
    """The largest shared error, where it is larger than the scatter of a change.

    Parameters
    ----------
    shared : SharedErrors
        Of the change.
    scatter : float
        The change's own variance. [1/min^2]
    likely_at : float
        How many spreads make a change likely.
    n_unknown, n_readings : int
        Readings without temperature, and all.
    """
    largest = max(("slope", "heat", "hills", "weather", "sensor"), key=lambda name: getattr(shared, name))
    if getattr(shared, largest) <= scatter:
        return None
    if largest == "weather":
        enough = likely_at * np.sqrt(scatter + shared.total - shared.weather)
        return code(
            "temperatures not known", n_unknown=n_unknown, n_readings=n_readings,
            reach_bpm=float(Z90 * np.sqrt(shared.weather)), enough_bpm=float(enough),
        )  # fmt: skip
    if largest == "slope":
        return code("change rests on slope", easier_bpm=shared.easier_bpm)
    if largest == "sensor":
        return code("sensor not named", reach_bpm=float(Z90 * SENSOR_SD_BPM))
    if largest == "heat":
        return code("change rests on heat", hotter_c=shared.hotter_c)
    return code("change rests on hills", hillier_pct=shared.hillier_pct)
