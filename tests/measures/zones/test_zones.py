import pytest
from hypothesis import given
from hypothesis import strategies as st

from coachlib.errors import BadArgument
from coachlib.measures.zones import scales as zones
from coachlib.measures.zones.zone_table import zones_from_limits


def joined(found):
    """Every whole beat lies in exactly one zone."""
    assert found.zones[0].low_bpm == 0
    assert found.zones[-1].high_bpm is None
    for one, following in zip(found.zones, found.zones[1:], strict=False):
        assert one.high_bpm is not None
        assert following.low_bpm == one.high_bpm + 1
        assert one.high_bpm >= one.low_bpm - 1


@given(rest=st.floats(35, 75), first=st.floats(100, 160), above=st.floats(2, 25), left=st.floats(2, 30))
def test_no_gap_and_no_overlap_whatever_the_thresholds(rest, first, above, left):
    known = {
        "hr_rest_bpm": rest,
        "first_bpm": first,
        "second_bpm": first + above,
        "hr_max_bpm": first + above + left,
    }
    for scale in ("two thresholds", "heart-rate reserve", "share of maximum"):
        joined(zones.zone_set(scale, **known))


def test_a_beat_on_a_threshold_lies_below_it():
    found = zones.five_bands(hr_rest_bpm=50, first_bpm=150, second_bpm=170, hr_max_bpm=190)
    assert [z.name for z in found.zones if z.low_bpm <= 150 <= (z.high_bpm or 999)] == ["easy"]
    assert [z.high_bpm for z in found.zones] == [120, 150, 170, 180, None]


def test_five_zones_of_maximum_as_published():
    # Seiler 2010, lower edges 60, 72, 82, 88, 94 % at 190 bpm: 114, 136.8, 155.8, 167.2, 178.6
    found = zones.maximum_zones(hr_max_bpm=190)
    assert [z.low_bpm for z in found.zones[1:]] == [114, 137, 156, 168, 179]


def test_reserve_classes_as_published():
    # Garber et al. 2011: 30, 40, 60, 90 % of the reserve; rest 60, maximum 190: 99, 112, 138, 177
    found = zones.reserve_zones(hr_rest_bpm=60, hr_max_bpm=190)
    assert [z.low_bpm for z in found.zones[1:]] == [99, 112, 138, 177]


def test_seconds_are_counted_once():
    seconds = [1.0] * 230
    found = zones.maximum_zones(hr_max_bpm=190)
    assert sum(zones.seconds_in_zones(seconds, found)) == 230


def test_limits_move_by_what_the_threshold_moved():
    old = zones_from_limits([151, 171], source="a watch")
    new = zones_from_limits([155, 169], source="a watch")
    assert [m.by_bpm for m in zones.moved_limits(old, new)] == [4, -2]


def test_what_is_missing_is_named():
    with pytest.raises(BadArgument, match="need resting heart rate and second threshold"):
        zones.zone_set("two thresholds", first_bpm=150, hr_max_bpm=190)


def test_thresholds_out_of_order_are_refused():
    with pytest.raises(
        BadArgument, match="second threshold above the first threshold; found 145 and 150 bpm"
    ):
        zones.five_bands(hr_rest_bpm=50, first_bpm=150, second_bpm=145, hr_max_bpm=190)


def test_an_unknown_scale_is_refused_with_those_that_exist():
    with pytest.raises(
        BadArgument, match='two thresholds, heart-rate reserve, share of maximum; found "three"'
    ):
        zones.zone_set("three")
