"""The zone sheet on built zones: limits that meet, single limits marked, and words that fit the numbers."""

import html
import re
from datetime import date
from itertools import pairwise

import numpy as np
import pytest

from coachlib.analysis.zones.measured import OutputLine
from coachlib.analysis.zones.plan import Compared, ZonePlan
from coachlib.measures.common.codes import code
from coachlib.measures.output.monotone import monotone_line
from coachlib.measures.zones.scales import five_bands, maximum_zones, reserve_zones
from coachlib.measures.zones.zone_table import compare_zones, zone_outputs, zone_shares, zones_from_limits
from coachlib.report.page.page import CONTENT_POLICY
from coachlib.report.zones.zone_sheet import zone_sheet

BANDS = five_bands(hr_rest_bpm=50, first_bpm=150, second_bpm=170, hr_max_bpm=190)
WIDER = five_bands(hr_rest_bpm=50, first_bpm=160, second_bpm=170, hr_max_bpm=190)
#: 30 beats for each m/s: 120 bpm at 2.333 m/s, 150 at 3.333, 170 at 4.0, 180 at 4.333.
RUNS = ([2.0, 3.0, 4.0], [110.0, 140.0, 170.0], 30.0)
RIDES = ([100.0, 150.0, 200.0], [110.0, 140.0, 170.0], 0.6)


def output_line(made, unit):
    output, hr, slope = made
    return OutputLine(
        line=monotone_line(hr, output, slope=slope),
        unit=unit,
        low=min(output),
        high=max(output),
        day_pct=4.2,
        made_from=code("outputs made from", n_tests=3, n_stages=0, n_trials=0, n_accepted=0),
        doubts=(),
    )


def plan(zones=BANDS, *, line=None, unit="m/s", rest=50.0, **changes):
    output = output_line(line, unit) if line else None
    known = {
        "athlete": "Mira Example",
        "coach": "",
        "on": date(2026, 11, 8),
        "sport": None,
        "zones": zones,
        "refused": (),
        "doubts": (),
        "shares": zone_shares(zones, hr_max_bpm=190, hr_rest_bpm=rest) if zones else (),
        "outputs": zone_outputs(zones, output.line) if output else (),
        "output": output,
        "no_output": None if output else code("too few outputs", least=3),
        "thresholds": (),
        "hr_max_bpm": 190.0,
        "hr_max_from": "measured",
        "hr_rest_bpm": rest,
        "compared": (),
    }
    return ZonePlan(**{**known, **changes})


def compared(other, zones, *, of_watch=False):
    seconds = np.zeros(200)
    seconds[[110, 145, 155, 175]] = 600, 1200, 1800, 400
    result = compare_zones(other, zones, seconds)
    return Compared(
        of_watch=of_watch,
        zones=other,
        result=result,
        n_sessions=4,
        n_weeks=4,
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
    whole = ([100.0, 200.0, 300.0], [110.0, 150.0, 190.0], 0.4)
    page = text_of(zone_sheet(plan(line=whole, unit="W")))
    assert "~" not in page
    assert "marked" not in page


def test_speed_and_pace_meet_and_a_line_of_running_says_nothing_about_walking():
    page = text_of(zone_sheet(plan(line=RUNS)))
    for said in ("up to 8.4 km/h", "7:09 per km or slower", "8.4 to 12.0 km/h", "7:09 to 5:00 per km"):
        assert said in page
    steep = ([2.5, 3.0, 3.5], [140.0, 150.0, 160.0], 20.0)
    slow = text_of(zone_sheet(plan(line=steep)))  # 120 bpm at 1.5 m/s, which nobody runs
    assert "walking" in slow
    assert "5.4" not in slow
    walker = ([0.8, 1.2, 1.6], [120.0, 150.0, 180.0], 75.0)
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


def test_with_medicine_there_are_no_beats_but_talk_and_effort_and_it_is_said_once():
    page = text_of(zone_sheet(plan(None, refused=(code("no heart-rate limits under medicine"),))))
    assert page.count("medicine that slows the heart") == 1
    assert "whole sentences" in page
    assert "effort 2 to 3" in page
    assert not re.search(r"\d+ (to \d+ )?bpm|% HRmax", page)


def test_what_is_not_sure_stands_on_the_sheet():
    doubts = (
        code("thresholds overlap", first_high_bpm=165.0, second_low_bpm=160.0),
        code("narrow between thresholds", gap_bpm=5.0, least_bpm=6.0),
    )
    page = text_of(zone_sheet(plan(doubts=doubts)))
    assert "may lie as high as 165 and the second as low as 160 bpm" in page
    assert "The thresholds lie 5 bpm apart" in page
    assert "Not sure yet" not in text_of(zone_sheet(plan()))


def test_zones_have_names_and_no_numbers():
    for zones in (BANDS, maximum_zones(hr_max_bpm=190), reserve_zones(hr_rest_bpm=50, hr_max_bpm=190)):
        rows = re.findall(r'<span class="name">([^<]*)<|scope="row">([^<]*)<', zone_sheet(plan(zones)))
        names = [a or b for a, b in rows]
        assert len(names) >= 10
        assert not any(re.search(r"\d|zone", name) for name in names)


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
