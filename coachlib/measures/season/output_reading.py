"""One session's place in a season: heart rate and output in comparable conditions, and output at a heart rate.

The level of minutes 10 to 25 (``measures.season.output_level``) is freed from heat; what the conditions may still
hide is kept beside it, since all sessions of a fortnight may share it.  Output at a reference heart rate lies along
a **slope**: a ratio of output to heart rate moves with the intensity that was chosen and hides part of a true change.

Source
------
This project's own choice; what it errs by was found with simulated sessions (``tests/benchmarks/season_calls.py``).
"""

from dataclasses import dataclass

import numpy as np

from coachlib.errors import BadArgument
from coachlib.measures.common.codes import Code, code
from coachlib.measures.drift_test.drift import INFLATION
from coachlib.measures.season.heat import HEAT_SD, Heat
from coachlib.measures.season.output_level import OutputLevel

METHOD = "output at a heart rate 2"
#: A reading is refused further than this from the reference heart rate. [1/min]  Own choice: a tighter limit
#: throws away the very sessions in which a fitter athlete holds the old pace.
FURTHEST_BPM = 15.0
#: A reading that is by itself less sure than this is left out of trends. [1/min]  Own choice.
WORST_NOISE_BPM = 6.0
#: Day-to-day offset, what stays unexplained (running, cycling). [1/min]  Lamberts et al. 2004; own choice.
DAY_SD_BPM, REST_SD_RUNNING_BPM, REST_SD_CYCLING_BPM = 2.55, 1.2, 1.5
#: Error of measured output that a whole session shares.  Own choice.
OUTPUT_ERROR_FRAC = 0.011
#: Spread of one-minute speed on level ground; what lies above it tells of hills nobody recorded. [%]  Own choice.
LEVEL_SCATTER_PCT = 2.5


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputReading:
    """Heart rate and output of one session or test, heat taken out.

    ``heat`` is what was taken out and what is left unknown.  ``hills_pct`` is the spread of grade, or what one-minute
    speed tells of it; ``is_flat`` whether they were taken out, or there are none.  ``noise_sd_bpm`` is one session's own spread, day included; ``test_sd_bpm`` that of a controlled
    test, None for ordinary sessions.
    """

    hr_bpm: float
    output: float
    heat: Heat
    hills_pct: float
    noise_sd_bpm: float
    is_flat: bool = True
    test_sd_bpm: float | None = None
    method: str = METHOD


def output_reading(
    level: OutputLevel,
    *,
    slope: float,
    is_cycling: bool,
    is_indoor: bool,
    is_set: bool = False,
    heat: Heat,
) -> OutputReading:
    """Free a session's level from heat and say what conditions may still hide.

    Parameters
    ----------
    level : OutputLevel
        Without a refusal.
    slope : float
        Heart rate for each unit of output, for the session's own spread. [1/min per m/s or W]
    is_cycling, is_indoor : bool
        Whether output is power on a bicycle; whether there was a roof.
    is_set : bool
        Whether output is a typed-in setting: then its scatter tells nothing of hills.
    heat : Heat
        Of the session, ``measures.season.heat``.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> from coachlib.measures.season.output_level import output_level
    >>> t = np.arange(2400.0)
    >>> level = output_level(t, np.full(2400, 145.0), np.full(2400, 3.0), t >= 0, is_cycling=False)
    >>> found = output_reading(level, slope=25.5, is_cycling=False, is_indoor=False, heat=Heat(above_c=5.0))
    >>> found.hr_bpm, found.output
    (139.5, 3.0)
    """
    if level.hr_bpm is None or level.output is None:
        raise BadArgument(
            f"a reading needs the level of a session that can be compared; this one has {level.used_s / 60:.0f} usable "
            "minutes. Leave it out."
        )
    is_flat = is_cycling or is_indoor or is_set
    minutes = np.array(level.minute_bpm) - slope * np.array(level.minute_output)
    variance = (
        _within_variance(minutes, level.used_s)
        + DAY_SD_BPM**2
        + (OUTPUT_ERROR_FRAC * slope * level.output) ** 2
        + (HEAT_SD * heat.above_c) ** 2
        + (REST_SD_CYCLING_BPM if is_cycling else REST_SD_RUNNING_BPM) ** 2
    )
    return OutputReading(
        hr_bpm=level.hr_bpm - heat.added_bpm, output=level.output, heat=heat,
        hills_pct=0.0 if is_flat else _hills_pct(level),
        is_flat=is_flat or level.grade_sd is not None,
        noise_sd_bpm=float(np.sqrt(variance)),
    )  # fmt: skip


def refusal_at(reading: OutputReading, *, hr_reference_bpm: float) -> Code | None:
    """Why a reading cannot be brought to a reference heart rate; None where it can.

    The slope's doubt counts for the change, not for the reading: all sessions share it.

    Source
    ------
    This project's own choice, see ``FURTHEST_BPM`` and ``WORST_NOISE_BPM``.

    Examples
    --------
    >>> seen = OutputReading(hr_bpm=160.0, output=3.0, heat=Heat(), hills_pct=0, noise_sd_bpm=3.0)
    >>> refusal_at(seen, hr_reference_bpm=140.0).name
    'far from the reference'
    """
    if abs(reading.hr_bpm - hr_reference_bpm) > FURTHEST_BPM:
        return code(
            "far from the reference", hr_bpm=reading.hr_bpm, hr_reference_bpm=hr_reference_bpm, within_bpm=FURTHEST_BPM
        )  # fmt: skip
    if reading.noise_sd_bpm > WORST_NOISE_BPM:
        return code("reading not sure", noise_sd_bpm=reading.noise_sd_bpm, worst_bpm=WORST_NOISE_BPM)
    return None


def _hills_pct(level: OutputLevel) -> float:
    """Spread of grade [%]; without altitude what one-minute speed scatters beyond level ground."""
    if level.grade_sd is not None:
        return 100.0 * level.grade_sd
    return max(0.0, 100.0 * (level.scatter_frac or 0.0) - LEVEL_SCATTER_PCT)


def _within_variance(minutes: np.ndarray, used_s: float) -> float:
    """Variance [1/min^2] of the mean of an autocorrelated residual, from its minute means."""
    k = minutes.size
    number = np.arange(k)
    left = minutes - np.polyval(np.polyfit(number, minutes, 1), number)
    power = float(left[:-1] @ left[:-1])
    raw = float(left[1:] @ left[:-1]) / power if power > 1e-12 else 0.0
    phi = float(np.clip(raw + (1.0 + 4.0 * raw) / k, -0.2, 0.9))
    innovation = float(((left[1:] - phi * left[:-1]) ** 2).sum()) / max(k - 3, 1)
    long_run = 60.0 * innovation / (1.0 - phi) ** 2
    return INFLATION**2 * long_run / used_s
