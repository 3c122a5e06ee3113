import pytest

from coachlib.errors import BadArgument, UnfitTest
from coachlib.measures.season.controlled_reading import output_of_test
from coachlib.measures.season.weekly_readings import TEST_SD_BPM


def read(first_half_bpm=146.0, drift_pct=2.0, output=3.0, **changes):
    fields = {
        "minutes": 60.0,
        "hr_reference_bpm": 140.0,
        "slope": 24.0,
        "slope_is_own": True,
        "is_cycling": False,
        "temperature_c": 20.0,
    }
    return output_of_test(first_half_bpm, drift_pct, output, **(fields | changes))


@pytest.mark.parametrize("minutes", [30.0, 60.0, 90.0])
def test_the_tests_own_drift_brings_it_to_the_minutes_of_ordinary_sessions(minutes):
    """Heart rate rises evenly by 0.1 bpm a minute and is 144 in the middle of minutes 10 to 25."""
    first = 144.0 + 0.1 * (15.0 + minutes / 4 - 17.5)
    second = first + 0.1 * minutes / 2
    found = read(first, 100 * (second - first) / first, minutes=minutes)
    assert found.hr_bpm == pytest.approx(144.0)
    assert found.output == pytest.approx(3.0 - 4.0 / 24.0)
    assert found.reading_bpm == pytest.approx(24.0 * 3.0 - 4.0)


def test_heat_is_allowed_for_as_in_ordinary_sessions():
    cool, hot = read(drift_pct=0.0), read(first_half_bpm=146.0 + 1.1 * 5, drift_pct=0.0, temperature_c=26.0)
    assert hot.output == pytest.approx(cool.output)
    assert hot.se_bpm > cool.se_bpm
    assert read(temperature_c=None).output == read(temperature_c=21.0).output


def test_at_the_reference_only_day_to_day_scatter_is_left():
    assert read(first_half_bpm=140.0, drift_pct=0.0).se_bpm == TEST_SD_BPM
    near, far = read(first_half_bpm=145.0, drift_pct=0.0), read(first_half_bpm=154.0, drift_pct=0.0)
    assert TEST_SD_BPM < near.se_bpm < far.se_bpm
    assert read(slope_is_own=False).se_bpm > read().se_bpm


def test_refusals_say_what_was_given():
    with pytest.raises(UnfitTest, match="needs a session within 15 bpm of it; this one was at 160 bpm"):
        read(first_half_bpm=160.0, drift_pct=0.0)
    with pytest.raises(BadArgument, match="output, slope and length above 0; 0, 24 and 60 were given"):
        read(output=0.0)
