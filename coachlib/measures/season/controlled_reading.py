"""A controlled test as one reading of a season's trend: heart rate at known settings, brought to the same minutes.

Ordinary sessions are read in minutes 10 to 25.  A drift test tells the mean heart rate of its first half, which
lies later and has drifted further; its own drift brings it back to the same minutes, so that tests and sessions
may stand in one series.

"""

from coachlib.errors import BadArgument
from coachlib.measures.recording.steady import SETTLING_S
from coachlib.measures.season.heat import Heat
from coachlib.measures.season.output_level import START_S, STOP_S
from coachlib.measures.season.output_reading import OutputReading
from coachlib.measures.season.weekly_readings import TEST_SD_BPM

METHOD = "output of a controlled test 2"


def reading_of_test(
    first_half_bpm: float,
    drift_pct: float,
    output: float,
    *,
    minutes: float,
    heat: Heat,
) -> OutputReading:
    """Heart rate and output of a steady test at known settings, as an ordinary session's reading has them.

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
    heat : Heat
        Of the test, ``measures.season.heat``.

    Raises
    ------
    BadArgument
        Where output or length are not above 0.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> found = reading_of_test(146.0, 2.0, 3.0, minutes=60, heat=Heat())
    >>> round(found.hr_bpm, 2), found.output, found.test_sd_bpm
    (144.78, 3.0, 2.6)
    """
    if not (output > 0 and minutes > 0):
        raise BadArgument(
            f"a controlled test needs output and length above 0; {output:g} and {minutes:g} were given."
        )
    half_s = minutes * 60.0 / 2
    per_s = first_half_bpm * drift_pct / 100.0 / half_s
    later_s = SETTLING_S + half_s / 2 - (START_S + STOP_S) / 2
    return OutputReading(
        hr_bpm=first_half_bpm - per_s * later_s - heat.added_bpm, output=output, heat=heat, hills_pct=0.0,
        noise_sd_bpm=TEST_SD_BPM, test_sd_bpm=TEST_SD_BPM, method=METHOD,
    )  # fmt: skip
