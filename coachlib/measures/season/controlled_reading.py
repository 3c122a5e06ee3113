"""A controlled test as one reading of a season's trend: output at the reference heart rate, from known settings.

Ordinary sessions are read in minutes 10 to 25.  A drift test tells the mean heart rate of its first half, which
lies later and has drifted further; its own drift brings it back to the same minutes, so that tests and sessions
may stand in one series.

Source
------
This project's own choice.
"""

import numpy as np

from coachlib.errors import BadArgument
from coachlib.measures.recording.steady import SETTLING_S
from coachlib.measures.season.output_reading import (
    HEAT_BPM_PER_C,
    HEAT_SD,
    REFERENCE_C,
    START_S,
    STOP_S,
    OutputReading,
    refuse_far,
    slope_error,
)
from coachlib.measures.season.weekly_readings import TEST_SD_BPM

METHOD = "output of a controlled test 1"


def output_of_test(
    first_half_bpm: float,
    drift_pct: float,
    output: float,
    *,
    minutes: float,
    hr_reference_bpm: float,
    slope: float,
    slope_is_own: bool,
    is_cycling: bool,
    temperature_c: float | None,
) -> OutputReading:
    """Output at the reference heart rate from a steady test at known settings.

    Parameters
    ----------
    first_half_bpm : float
        Mean heart rate of the first half of the test's window. [1/min]
    drift_pct : float
        Drift of the window's halves. [%]
    output : float
        What was set: flat-equivalent speed [m/s] or power [W].
    minutes : float
        Length of the window, which begins 15 minutes after the settings were reached. [min]
    hr_reference_bpm, slope, slope_is_own, is_cycling, temperature_c
        As in ``measures.season.output_reading.output_at_heart_rate``.

    Returns
    -------
    OutputReading
        ``se_bpm`` is that of a controlled test, and more the further it has to be brought and the hotter it was.

    Raises
    ------
    UnfitTest
        Where heart rate was too far from the reference.
    BadArgument
        Where output, slope or length are not above 0.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> found = output_of_test(146.0, 2.0, 3.0, minutes=60, hr_reference_bpm=140.0, slope=24.2,
    ...     slope_is_own=True, is_cycling=False, temperature_c=21.0)
    >>> round(found.hr_bpm, 2), round(found.output, 3)
    (144.78, 2.802)
    """
    if not (output > 0 and slope > 0 and minutes > 0):
        raise BadArgument(
            f"a controlled test needs output, slope and length above 0; {output:g}, {slope:g} and {minutes:g} "
            "were given."
        )
    half_s = minutes * 60.0 / 2
    per_s = first_half_bpm * drift_pct / 100.0 / half_s
    later_s = SETTLING_S + half_s / 2 - (START_S + STOP_S) / 2
    heat = 0.0 if temperature_c is None else max(0.0, temperature_c - REFERENCE_C)
    mean_hr = first_half_bpm - per_s * later_s - HEAT_BPM_PER_C * heat
    distance = mean_hr - hr_reference_bpm
    refuse_far(mean_hr, distance)
    doubt = slope_error(slope_is_own=slope_is_own, is_cycling=is_cycling) * distance
    return OutputReading(
        output=output - distance / slope, reading_bpm=slope * output - distance,
        se_bpm=float(np.sqrt(TEST_SD_BPM**2 + doubt**2 + (HEAT_SD * heat) ** 2)),
        hr_bpm=mean_hr, mean_output=output, distance_bpm=distance, hr_reference_bpm=hr_reference_bpm,
        slope=slope, slope_is_own=slope_is_own, temperature_c=temperature_c, used_s=minutes * 60.0,
        method=METHOD, caveats=(),
    )  # fmt: skip
