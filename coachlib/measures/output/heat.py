"""How hot it was for a body at work: the wet-bulb globe temperature, estimated from air and humidity.

The measured index also needs the sun and the wind; these estimates know neither.
"""

import math

from coachlib.errors import BadArgument

#: From here hard work in the heat is limited for people who are not used to it. [degC]  Source: Armstrong, L. et al.
#: (2007). Exertional heat illness during training and competition. Med Sci Sports Exerc 39:556, table of actions.
WBGT_LIMITED_C = 27.9
#: From here also for people who are used to it. [degC]  Source: the same table.
WBGT_LIMITED_USED_TO_HEAT_C = 30.1
#: Where humidity is unknown, air from here on counts as hot. [degC]  Own choice.
AIR_HOT_C = 26.0


def wbgt_in_sun(temperature_c: float, humidity_pct: float) -> float:
    """Wet-bulb globe temperature in full sun and light wind; too high under clouds, in wind and at night. [degC].

    Parameters
    ----------
    temperature_c : float
        Air temperature. [degC]
    humidity_pct : float
        Relative humidity, 0 to 100. [%]

    Raises
    ------
    BadArgument
        When the humidity lies outside 0 to 100 %.

    Source
    ------
    American College of Sports Medicine (1984). Prevention of thermal injuries during distance running. Medicine
    and Science in Sports and Exercise 16(5):ix, as national weather bureaus print it.

    Examples
    --------
    >>> round(wbgt_in_sun(30.0, 50.0), 1)
    29.3
    """
    return 0.567 * temperature_c + 0.393 * vapour_pressure_hpa(temperature_c, humidity_pct) + 3.94


def wbgt_in_shade(temperature_c: float, humidity_pct: float) -> float:
    """Wet-bulb globe temperature without sun, as indoors: 0.7 wet bulb and 0.3 air. [degC].

    Raises
    ------
    BadArgument
        When the humidity lies outside 0 to 100 %.

    Source
    ------
    ISO 7243, without solar load; wet bulb by ``wet_bulb``.

    Examples
    --------
    >>> round(wbgt_in_shade(30.0, 50.0), 1)
    24.6
    """
    return 0.7 * wet_bulb(temperature_c, humidity_pct) + 0.3 * temperature_c


def vapour_pressure_hpa(temperature_c: float, humidity_pct: float) -> float:
    """Water vapour pressure. [hPa].

    Raises
    ------
    BadArgument
        When the humidity lies outside 0 to 100 %.

    Source
    ------
    The formula that goes with ``wbgt_in_sun``.

    Examples
    --------
    >>> round(vapour_pressure_hpa(30.0, 50.0), 2)
    21.14
    """
    _check(humidity_pct)
    return humidity_pct / 100 * 6.105 * math.exp(17.27 * temperature_c / (237.7 + temperature_c))


def wet_bulb(temperature_c: float, humidity_pct: float) -> float:
    """Wet-bulb temperature at sea level, within -1 to +0.65 degC for humidity of 5 to 99 % and -20 to 50 degC. [degC].

    Raises
    ------
    BadArgument
        When the humidity lies outside 0 to 100 %.

    Source
    ------
    Stull, R. (2011). Wet-bulb temperature from relative humidity and air temperature. Journal of Applied
    Meteorology and Climatology 50:2267, equation 1.

    Examples
    --------
    >>> round(wet_bulb(20.0, 50.0), 1)
    13.7
    """
    _check(humidity_pct)
    return (
        temperature_c * math.atan(0.151977 * math.sqrt(humidity_pct + 8.313659))
        + math.atan(temperature_c + humidity_pct)
        - math.atan(humidity_pct - 1.676331)
        + 0.00391838 * humidity_pct**1.5 * math.atan(0.023101 * humidity_pct)
        - 4.686035
    )


def _check(humidity_pct: float) -> None:
    if not 0 <= humidity_pct <= 100:
        raise BadArgument(f"humidity is {humidity_pct:g} %; it must lie from 0 to 100 %")
