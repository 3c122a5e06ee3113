"""How steeply heart rate follows output: the one table of slopes.

Source
------
Running: 24.2 bpm per m/s in "Identification of heart rate dynamics during moderate-to-vigorous treadmill exercise"
(2015), BioMed Eng OnLine 14, doi 10.1186/s12938-015-0112-7; 27 to 30 in open graded tests, 178 persons, standard
deviation 7.2.  Cycling: open step tests, 168 persons 0.36 with standard deviation 0.10, 20 others 0.33 with 0.07.
The value and spread between the sources is this project's own choice.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class HeartRateSlope:
    """Heart rate for each unit of output, and how unsure that is. [1/min per m/s, or per W]"""

    mean: float
    sd: float


#: On the flat. [1/min per m/s]
RUNNING_SLOPE = HeartRateSlope(25.5, 8.0)
#: [1/min per W]
CYCLING_SLOPE = HeartRateSlope(0.35, 0.10)
#: A slope learnt from one person is never surer than this: it differs that much from test to test. [as the slopes]
#: Open repeated tests.
OWN_RUNNING_SD, OWN_CYCLING_SD = 4.0, 0.046


def joined_slope(usual: HeartRateSlope, own: HeartRateSlope, *, own_floor_sd: float) -> HeartRateSlope:
    """A person's own slope and the usual one, each by how sure it is.

    Parameters
    ----------
    usual : HeartRateSlope
        Mean and spread between persons.
    own : HeartRateSlope
        What was learnt from this person, with its standard error.
    own_floor_sd : float
        Spread of one person's slope from test to test, added to that error.

    Source
    ------
    Weighting by inverse variance (any textbook).

    Examples
    --------
    >>> joined = joined_slope(RUNNING_SLOPE, HeartRateSlope(20.0, 2.0), own_floor_sd=OWN_RUNNING_SD)
    >>> joined.mean, joined.sd
    (21.3095, 3.90360)
    """
    usual_weight, own_weight = usual.sd**-2, 1.0 / (own.sd**2 + own_floor_sd**2)
    total = usual_weight + own_weight
    return HeartRateSlope((usual_weight * usual.mean + own_weight * own.mean) / total, total**-0.5)
