import pytest

from coachlib.errors import BadArgument
from coachlib.measures.season.controlled_reading import reading_of_test
from coachlib.measures.season.heat import Heat


def read(first_half_bpm=146.0, drift_pct=2.0, output=3.0, **changes):
    return reading_of_test(first_half_bpm, drift_pct, output, **({"minutes": 60.0, "heat": Heat()} | changes))


@pytest.mark.parametrize("minutes", [30.0, 60.0, 90.0])
def test_the_tests_own_drift_brings_it_to_the_minutes_of_ordinary_sessions(minutes):
    """Heart rate rises evenly by 0.1 bpm a minute and is 144 in the middle of minutes 10 to 25."""
    first = 144.0 + 0.1 * (15.0 + minutes / 4 - 17.5)
    second = first + 0.1 * minutes / 2
    found = read(first, 100 * (second - first) / first, minutes=minutes)
    assert found.hr_bpm == pytest.approx(144.0)
    assert found.output == 3.0


def test_heat_is_allowed_for_as_in_ordinary_sessions():
    cool, hot = read(drift_pct=0.0), read(146.0 + 1.1 * 5, 0.0, heat=Heat(above_c=5.0))
    assert hot.hr_bpm == pytest.approx(cool.hr_bpm)
    assert hot.heat.above_c == 5.0


def test_a_test_brings_its_own_spread():
    assert read().test_sd_bpm == 2.6


def test_refusals_say_what_was_given():
    with pytest.raises(BadArgument, match="output and length above 0; 0 and 60 were given"):
        read(output=0.0)
