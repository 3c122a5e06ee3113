"""The zone sheet on built zones: limits that meet, single limits marked, and words that fit the numbers."""

import html
import re
from datetime import date
from itertools import pairwise

import numpy as np
import pytest

from coachlib.measures.output.calibration import calibration_line
from coachlib.measures.zones.scales import five_bands, maximum_zones, reserve_zones
from coachlib.measures.zones.zone_table import compare_zones, zone_outputs, zone_shares, zones_from_limits
from coachlib.report.page.page import CONTENT_POLICY
from coachlib.report.zones.zone_plan import Compared, ZonePlan
from coachlib.report.zones.zone_sheet import zone_sheet

BANDS = five_bands(hr_rest_bpm=50, first_bpm=150, second_bpm=170, hr_max_bpm=190)
WIDER = five_bands(hr_rest_bpm=50, first_bpm=160, second_bpm=170, hr_max_bpm=190)
#: 30 beats for each m/s: 120 bpm at 2.333 m/s, 150 at 3.333, 170 at 4.0, 180 at 4.333.
RUNS = calibration_line(np.array([2.0, 3.0, 4.0]), np.array([110.0, 140.0, 170.0]))
RIDES = calibration_line(np.array([100.0, 150.0, 200.0]), np.array([110.0, 140.0, 170.0]))


def plan(zones=BANDS, *, line=None, unit="m/s", rest=50.0, **changes):
    known = {
        "athlete": "Mira Example",
        "coach": "",
        "on": date(2026, 11, 8),
        "zones": zones,
        "shares": zone_shares(zones, hr_max_bpm=190, hr_rest_bpm=rest),
        "outputs": zone_outputs(zones, line) if line else (),
        "unit": unit if line else "",
        "outputs_from": "3 drift tests" if line else "",
        "tested_low": line.output_low if line else 0.0,
        "tested_high": line.output_high if line else 0.0,
        "why_no_output": "" if line else "No speed is known yet.",
        "thresholds": (),
        "hr_max_bpm": 190.0,
        "hr_max_from": "measured",
        "hr_rest_bpm": rest,
        "medicine": False,
        "compared": (),
    }
    return ZonePlan(**{**known, **changes})


def compared(other, zones, *, of_watch=False):
    seconds = np.zeros(200)
    seconds[[110, 145, 155, 175]] = 600, 1200, 1800, 400
    result = compare_zones(other, zones, seconds)
    return Compared(
        name="watch" if of_watch else "before",
        of_watch=of_watch,
        zones=other,
        result=result,
        training="Four sessions of the last four weeks",
    )


def text_of(page):
    page = html.unescape(page)
    return re.sub(r"\s+", " ", re.sub("<[^>]+>", " ", re.sub("<style>.*?</style>", "", page)))


def column(page, name):
    """The cells of one column of the table to type in."""
    table = re.search(r"<table><caption>Type in.*?</table>", page).group()
    names = re.findall(r'scope="col">([^<]*)<', table)
    rows = re.findall(r"<tr>(<th scope=\"row\">.*?)</tr>", table)
    return [re.findall(r">([^<>]+)</t[hd]>", row)[names.index(name)] for row in rows]


@pytest.mark.parametrize(
    "zones", [BANDS, maximum_zones(hr_max_bpm=190), reserve_zones(hr_rest_bpm=50, hr_max_bpm=190)]
)
@pytest.mark.parametrize("name", ["bpm", "% HRmax", "% HRR"])
def test_what_is_typed_in_has_no_gap_and_no_overlap(zones, name):
    cells = column(zone_sheet(plan(zones)), name)
    assert len(cells) == 5  # a watch has five zones; what lies below the scale is none of them
    ends = [[int(n) for n in re.findall(r"\d+", cell)] for cell in cells]
    assert all(after[0] == before[-1] + 1 for before, after in pairwise(ends))
    assert ends[-1][-1] == (190 if name == "bpm" else 100)


def test_whole_per_cents_mean_the_beats_within_their_own_coarseness():
    lows = [int(re.findall(r"\d+", c)[0]) for c in column(zone_sheet(plan()), "% HRmax")][1:]
    for low, zone in zip(lows, BANDS.zones[1:], strict=True):
        assert low / 100 * 190 == pytest.approx(zone.low_bpm, abs=190 / 200)


def test_only_the_limit_outside_the_tested_range_is_marked_and_explained_once():
    page = text_of(zone_sheet(plan(line=RIDES, unit="W")))
    # 120, 150 and 170 bpm lie within the stages of 110 to 170 bpm; 180 bpm, at 217 W, does not
    for said in ("up to 117 W", "117 to 167 W", "167 to 200 W", "200 to ~217 W", "~217 W and more"):
        assert said in page
    assert page.count("A limit marked ~ lies outside what you were tested at, 100 to 200 W.") == 1


def test_without_a_limit_outside_there_is_no_mark_and_no_explanation():
    whole = calibration_line(np.array([100.0, 200.0, 300.0]), np.array([110.0, 150.0, 190.0]))
    page = text_of(zone_sheet(plan(line=whole, unit="W")))
    assert "~" not in page
    assert "marked" not in page


def test_speed_and_pace_meet_and_a_line_of_running_says_nothing_about_walking():
    page = text_of(zone_sheet(plan(line=RUNS)))
    for said in ("up to 8.4 km/h", "7:09 per km or slower", "8.4 to 12.0 km/h", "7:09 to 5:00 per km"):
        assert said in page
    steep = calibration_line(np.array([2.5, 3.0, 3.5]), np.array([140.0, 150.0, 160.0]))
    slow = text_of(zone_sheet(plan(line=steep)))  # 120 bpm at 1.5 m/s, which nobody runs
    assert "walking" in slow
    assert "5.4" not in slow
    walker = calibration_line(np.array([0.8, 1.2, 1.6]), np.array([120.0, 150.0, 180.0]))
    assert text_of(zone_sheet(plan(line=walker))).count("walking") == 4
    assert "running" in text_of(zone_sheet(plan(line=walker)))


def test_the_lead_says_what_to_remember_and_what_is_new():
    page = text_of(zone_sheet(plan(WIDER, compared=(compared(BANDS, WIDER),))))
    assert "Easy ends at 160 bpm, hard begins at 171." in page
    assert "Easy ends 10 bpm higher than before." in page
    assert "Limits are up to 10 bpm higher than before" in page
    # of 4000 s, 1800 lie at 110 and 145 bpm and as many at 155, which the new first threshold makes easy
    assert "90 % of the last weeks' training was easy or very easy; by the limits before it was 45 %" in page
    assert "steady 170 170 0" in page


def test_a_watch_is_compared_without_calling_its_zones_easy():
    watch = zones_from_limits([110, 130, 150, 165], source="typed in")
    page = text_of(zone_sheet(plan(compared=(compared(watch, BANDS, of_watch=True),))))
    assert "Limits are up to 21 bpm higher than those of your watch" in page
    assert "your watch puts 15 % into its lowest two zones" in page
    assert "than before" not in page


def test_a_watch_with_fewer_zones_stands_beside_them_only():
    watch = zones_from_limits([120, 150], source="typed in")
    page = text_of(zone_sheet(plan(compared=(compared(watch, BANDS, of_watch=True),))))
    assert "Beside your watch's own zones" in page
    assert "The sets have 3 and 5 zones" in page


def test_what_per_cents_need_is_said():
    assert "your maximum, 190 bpm, and, for HRR" in text_of(zone_sheet(plan()))
    no_rest = text_of(zone_sheet(plan(rest=None)))
    assert "HRR" not in no_rest
    assert "predicted from age" in text_of(zone_sheet(plan(hr_max_from="predicted")))
    bare = text_of(zone_sheet(plan(shares=(), hr_max_bpm=None)))
    assert "your maximum heart rate would have to be known" in bare
    assert "181 and more" in bare


def test_medicine_is_said_before_the_zones():
    page = text_of(zone_sheet(plan(medicine=True)))
    assert page.index("You take medicine that changes heart rate") < page.index("1 very easy")


def test_the_sheet_loads_nothing():
    page = zone_sheet(plan(line=RUNS, compared=(compared(WIDER, BANDS),)))
    assert "script" not in page
    assert "url(" not in page
    assert "'none'" in CONTENT_POLICY


def test_a_published_scale_has_no_day_of_its_own():
    page = text_of(zone_sheet(plan(maximum_zones(hr_max_bpm=190), on=None)))
    assert "valid from" not in page
    assert "Five zones by share of maximum." in page
    assert "Zones by share of maximum: Seiler 2010." in page
