import numpy as np
import pytest

from coachlib.errors import BadArgument
from coachlib.measures.output.monotone import monotone_line
from coachlib.measures.zones.scales import five_bands, maximum_zones, reserve_zones
from coachlib.measures.zones.zone_table import compare_zones, zone_outputs, zone_shares, zones_from_limits

BANDS = five_bands(hr_rest_bpm=50, first_bpm=150, second_bpm=170, hr_max_bpm=190)
LINE = monotone_line([110.0, 140.0, 170.0], [2.0, 3.0, 4.0], slope=30.0)


def test_shares_are_those_of_the_limits():
    shares = zone_shares(BANDS, hr_max_bpm=190, hr_rest_bpm=50)
    assert shares[1].high_max_pct == pytest.approx(100 * 150 / 190)
    assert shares[1].high_reserve_pct == pytest.approx(100 * 100 / 140)
    assert shares[0].low_reserve_pct == 0.0  # below rest there is no reserve
    assert (shares[-1].high_max_pct, shares[-1].high_reserve_pct) == (None, None)


def test_without_rest_there_is_no_share_of_the_reserve():
    assert {s.low_reserve_pct for s in zone_shares(BANDS, hr_max_bpm=190)} == {None}


def test_published_lower_edges_come_back_as_shares():
    """Whole beats lie at most one beat above the published edge."""
    shares = zone_shares(maximum_zones(hr_max_bpm=190), hr_max_bpm=190)
    assert [s.low_max_pct for s in shares[1:]] == pytest.approx([60, 72, 82, 88, 94], abs=100 / 190)
    reserve = zone_shares(reserve_zones(hr_rest_bpm=60, hr_max_bpm=190), hr_max_bpm=190, hr_rest_bpm=60)
    assert [s.low_reserve_pct for s in reserve[1:]] == pytest.approx([30, 40, 60, 90], abs=100 / 130)


def test_output_limits_meet_without_gap_and_lie_on_the_line():
    found = zone_outputs(BANDS, LINE)
    assert [z.high for z in found[:-1]] == [z.low for z in found[1:]]
    assert found[1].high == pytest.approx(2 + 40 / 30)
    # the stages went from 110 to 170 bpm: of the limits 120, 150, 170 and 180 bpm only the last lies outside
    assert [z.high_prolonged for z in found] == [False, False, False, True, False]
    assert [z.low_prolonged for z in found] == [False, False, False, False, True]


def test_a_line_never_gives_a_speed_below_zero():
    low = zones_from_limits([41, 171], source="a watch")
    assert zone_outputs(low, LINE)[0].high == 0.0


def test_typed_in_limits_are_compared_with_new_zones():
    watch = zones_from_limits([125, 145, 165, 178], source="the watch's own guess")
    seconds = np.zeros(200)
    seconds[[130, 148, 160]] = 600, 300, 100
    found = compare_zones(watch, BANDS, seconds)
    assert [m.by_bpm for m in found.moves] == [-4, 6, 6, 3]
    assert found.seconds_before == (0, 600, 400, 0, 0)
    assert found.seconds_after == (0, 900, 100, 0, 0)
    assert found.caveats == ()


def test_sets_of_different_size_are_compared_by_time_only():
    found = compare_zones(zones_from_limits([151, 171], source="a watch"), BANDS, np.ones(200))
    assert found.moves == ()
    assert sum(found.seconds_before) == sum(found.seconds_after) == 200
    assert [(c.name, c["n_before"], c["n_after"]) for c in found.caveats] == [
        ("sets of different size", 3, 5)
    ]


@pytest.mark.parametrize("lows", [[], [150, 140], [150, 150], [140.5], [0, 120]])
def test_limits_must_rise_in_whole_beats(lows):
    with pytest.raises(BadArgument, match="first beat of each zone from the second on, rising; found"):
        zones_from_limits(lows, source="typed")


def test_shares_need_a_maximum():
    with pytest.raises(BadArgument, match="maximum heart rate above 0 bpm; found 0"):
        zone_shares(BANDS, hr_max_bpm=0)
