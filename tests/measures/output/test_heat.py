"""Heat against printed values: the table of ACSM's formula, Stull's worked example, the limits of 2007."""

import pytest

from coachlib.errors import BadArgument
from coachlib.measures.output.heat import vapour_pressure_hpa, wbgt_in_shade, wbgt_in_sun, wet_bulb


# source: the formula of ACSM (1984) as national weather bureaus print it, worked by hand for three days
@pytest.mark.parametrize(
    ("temperature_c", "humidity_pct", "wbgt_c"), [(20, 50, 19.9), (30, 50, 29.3), (35, 30, 30.4)]
)
def test_full_sun(temperature_c, humidity_pct, wbgt_c):
    assert wbgt_in_sun(temperature_c, humidity_pct) == pytest.approx(wbgt_c, abs=0.05)


def test_vapour_pressure():
    assert vapour_pressure_hpa(30, 50) == pytest.approx(21.14, abs=0.005)


def test_wet_bulb_of_stull():
    """Stull (2011), worked example below equation 1: 20 degC and 50 % give 13.7 degC."""
    assert wet_bulb(20, 50) == pytest.approx(13.7, abs=0.005)


def test_shade_lies_below_the_sun_by_what_the_sun_gives():
    assert wbgt_in_shade(30, 50) == pytest.approx(24.6, abs=0.05)
    assert wbgt_in_sun(30, 50) - wbgt_in_shade(30, 50) == pytest.approx(4.7, abs=0.05)


def test_saturated_air_has_the_wet_bulb_of_its_own_temperature():
    assert wet_bulb(25, 100) == pytest.approx(25.0, abs=0.4)


@pytest.mark.parametrize("humidity_pct", [-1, 101])
def test_humidity_has_bounds(humidity_pct):
    for measure in (wbgt_in_sun, wbgt_in_shade):
        with pytest.raises(BadArgument, match="humidity is"):
            measure(20, humidity_pct)
