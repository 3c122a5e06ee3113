"""The season's figures say what the season says, leave out what says nothing, and draw gaps as gaps."""

import os
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from report.season_drawn import BETTER, LEVEL, better, ordinary, plain, season, week, with_call
from season_parts import anna, day, reading, readings_of, session, wears

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.measures.common.constants import Z90
from coachlib.records.athlete import Block, Reference, Threshold
from coachlib.records.diary import DiaryRow
from coachlib.report.letter.numbers import numbers
from coachlib.report.letter.season_trend import output_figure, title_of
from coachlib.report.letter.season_view import season_figures

TESTS = Path(__file__).parents[2]


def drawn(built):
    return plain(output_figure(built))


def shown(built, criterion_pct=5.0):
    return plain(season_figures(built, criterion_pct))


def drawn_lines(figure, colour="accent"):
    """Paths drawn as a line in one colour: how many unbroken strokes each has."""
    strokes = re.findall(rf'<path [^>]*class="s-{colour}"[^>]*>', figure)
    return [re.search(r' d="([^"]*)"', stroke)[1].count("M") for stroke in strokes]


def words_in(figure):
    """The texts written in a drawing."""
    return re.findall(r"<text[^>]*>([^<]*)</text>", figure)


def titles(page):
    return re.findall(r"<h3>([^<]*)</h3>", page)


def test_the_line_breaks_over_weeks_without_readings():
    whole = drawn(season(readings=readings_of(LEVEL)))
    assert drawn_lines(whole) == [1]
    kept = [r for r in readings_of(LEVEL) if r.on < day(8) or r.on >= day(11)]
    assert drawn_lines(drawn(season(readings=kept))) == [2]


def test_a_week_between_two_gaps_still_shows_its_band():
    kept = [r for r in readings_of(LEVEL) if r.on < day(8) or day(10) <= r.on < day(11) or r.on >= day(13)]
    figure = drawn(season(readings=kept))
    assert re.search(r'<line [^>]*stroke-width="8"[^>]*class="s-field"', figure)


def test_too_few_weeks_with_readings_are_not_drawn():
    assert output_figure(season(readings=readings_of(LEVEL[:3]))) is None
    assert output_figure(season(readings=[r for r in readings_of(LEVEL) if r.on >= day(13)])) is None
    assert output_figure(season()) is None


def test_temperature_runs_beneath_with_its_first_and_last_value():
    figure = drawn(better())
    assert [said for said in words_in(figure) if "°C" in said] == ["16 °C", "5 °C"]
    assert drawn_lines(figure, "grey") == [1]
    assert "Grey: mean temperature." in figure


def test_without_temperatures_there_is_no_lane():
    figure = drawn(season(readings=readings_of(LEVEL)))
    assert not [said for said in words_in(figure) if "°C" in said]
    assert "mean temperature" not in figure


def test_days_apart_are_grey_fields_with_their_name():
    blocks = (
        Block(start_on=day(9), stop_on=day(10, 6), kind="ill"),
        Block(start_on=day(2), stop_on=day(3), kind="travel"),
    )
    figure = drawn(season(ordinary(), readings_of(LEVEL), anna(blocks=blocks)))
    assert "ill" in words_in(figure)
    assert "travel" not in words_in(figure), "a block before the weeks drawn has no field"
    assert figure.count("f-rule") == 1
    assert drawn_lines(figure) == [2]
    assert "ill from 5 Oct" in figure


def test_accepted_thresholds_are_written_at_their_lines():
    later = Threshold(which="first", on=day(8), hr_bpm=154, hr_low_bpm=150, hr_high_bpm=158)
    second = Threshold(which="second", on=day(9), hr_bpm=172)
    gone = Threshold(which="second", on=day(10), hr_bpm=190, withdrawn=True)
    who = anna(thresholds=(*anna().thresholds, later, second, gone))
    figure = drawn(season(ordinary(), readings_of(LEVEL), who))
    said = [w for w in words_in(figure) if "bpm" in w]
    assert said == ["first 154 bpm", "second 172 bpm"], "in order; withdrawn and earlier ones are not drawn"
    rows = [
        re.search(r"translate\([\d.-]+,([\d.-]+)\)[^>]*>" + words, figure)[1]
        for words in ("first 154 bpm", "second 172 bpm")
    ]
    assert rows[0] != rows[1], "two labels a week apart stand in two rows"


def test_a_new_reference_is_marked_and_said():
    old = readings_of(LEVEL[:8])
    new = [
        replace(r, gear=wears(watch="B"), on=day(8 + i // 3, 2 * (i % 3)))
        for i, r in enumerate(readings_of(LEVEL[:8]))
    ]
    figure = drawn(season(readings=old + new))
    assert "another watch" in words_in(figure)
    assert "Another watch since 28 September 2026: earlier readings cannot be compared with these" in figure
    assert "compared" not in drawn(season(readings=readings_of(LEVEL))).partition("</figcaption>")[2]


def test_weeks_set_by_the_coach_are_marked_and_said():
    moved = anna(references=(Reference(start_on=day(6), stop_on=day(9, 6), because="moved"),))
    figure = drawn(season(readings=readings_of(LEVEL), athlete=moved))
    assert "compared from here" in words_in(figure)
    assert "Compared with 14 September 2026 to 11 October 2026, as set by the coach." in figure


def test_before_the_first_look_it_is_too_early_to_tell():
    late = season(readings=[r for r in readings_of(LEVEL) if r.on >= day(12)])
    assert titles(drawn(late)) == ["At 140 bpm 11.2 km/h so far, too early to tell a change"]


def test_the_caption_says_then_and_now_and_what_was_taken_out():
    assert re.search(
        r"At 140 bpm you ran 1\d.\d km/h in August and 1\d.\d now, hills and heat taken out. Pale band: how sure we are.",
        drawn(better()),
    )


def test_controlled_tests_in_the_trend_are_counted_in_words():
    told = SeriesTest(on=day(5), first_half_bpm=140.0, drift_pct=1.0, se_pct=0.5, minutes=60.0)
    tests = [
        replace(r, test=told, output=replace(r.output, test_sd_bpm=2.6))
        for r in (reading(day(5, 6)), reading(day(9, 6)))
    ]
    assert "two controlled tests count too" in drawn(season(readings=readings_of(LEVEL) + tests))
    assert "controlled" not in drawn(season(readings=readings_of(LEVEL)))


def test_a_call_is_told_with_its_interval():
    built = better()
    latest = built.main_trend.trend.latest
    size = built.main_trend.change * 3.6
    reach = Z90 * latest.change_sd_output * 3.6
    expected = f"At 140 bpm you are {size:.1f} km/h faster ({size - reach:.1f} to {size + reach:.1f}): clear"
    assert plain(title_of(built.main_trend)) == expected
    slower = season(ordinary(), readings_of(6.0 - BETTER, noise=0.06)).main_trend
    low, high = re.search(r"slower \(([\d.]+) to ([\d.]+)\): clear", plain(title_of(slower))).groups()
    assert float(low) < abs(slower.change) * 3.6 < float(high)


def test_a_change_inside_ordinary_scatter_is_no_news():
    flat = season(ordinary(), readings_of(LEVEL, noise=0.02))
    assert flat.main_trend.call == "cannot tell"
    assert title_of(flat.main_trend) == "At 140 bpm a change cannot be told from ordinary scatter"
    assert titles(shown(flat))[0].startswith("About 2 h 00 a week")
    possible = with_call(better(), "possible")
    assert title_of(possible.main_trend).endswith("is possible, no more than that")
    assert titles(shown(possible))[0].startswith("About 2 h 00 a week")
    assert titles(shown(better()))[0].startswith("At 140 bpm you are")


def test_sleep_health_and_load_stand_beside_a_call():
    sleep = [DiaryRow(on=day(w, 2), sleep_h=6.0 if w >= 14 else 7.5) for w in range(16)]
    ill = [DiaryRow(on=day(15, 3), health="ill")]
    figure = drawn(season(ordinary(trimp=60.0), readings_of(BETTER, noise=0.06), diary=[*sleep, *ill]))
    assert (
        "The last two weeks (the six before): sleep 6.0 h (7.5), unwell on one day, load a week 120 (120)"
        in figure
    )
    assert "(the six before): never unwell" in drawn(better()), "what nobody wrote down is not told"
    assert "last two weeks" in drawn(with_call(better(), "possible"))
    flat = season(ordinary(), readings_of(LEVEL, noise=0.02))
    assert "last two weeks" not in drawn(flat)


def test_load_is_drawn_in_an_unusual_week_only():
    usual = shown(season(ordinary()))
    assert not [t for t in titles(usual) if "load" in t]
    heavy = [replace(s, trimp=300.0) if s.on >= day(15) else s for s in ordinary()]
    page = shown(season(heavy))
    assert titles(page)[0] == "This week&#x27;s load lies above your own range"
    assert "usual for you" in words_in(page)


def test_hours_are_named_by_what_was_known():
    first_only = shown(season(ordinary()))
    assert "Hours a week, below and above the first threshold of the time." in first_only
    assert "between" not in words_in(first_only)


def test_drift_is_counted_against_the_rosters_criterion():
    steady = [session(day(w, 1), drift_pct=1.0 if w < 13 else 3.0) for w in range(4, 16)]
    page = shown(season(steady), 2.0)
    assert "In 9 of 12 steady sessions drift was below 2 % an hour" in titles(page)
    page = shown(season(steady))
    assert "In all 12 steady sessions drift was below 5 % an hour" in titles(page)


def test_figure_table_and_numbers_count_the_same_drifts():
    """Short and unsure windows have no hourly figure; nine of 45 min or more have, two of them above."""
    long = [session(day(w, 1), drift_pct=1.5 if w > 13 else 0.5, drift_minutes=60) for w in range(7, 16)]
    short = [session(day(w, 3), drift_pct=4.0, drift_minutes=30) for w in range(7, 16)]
    built = season([*long, *short])
    page = shown(built, 1.0)
    assert "In 7 of 9 steady sessions drift was below 1 % an hour" in titles(page)
    figure = next(f for f in page.split("<figure") if "drift an hour" in f)
    hourly = [float(x) for x in re.findall(r"<td>([\d.]+) % \(", figure)]
    assert (len(hourly), sum(x < 1 for x in hourly)) == (9, 7)
    kept = numbers(week(ordinary()), built).values["season"]["drifts_compared"]
    assert (kept["criterion_pct"], kept["n"], kept["n_below"], len(kept["hourly"])) == (5.0, 9, 9, 9)


def test_an_hour_of_a_45_minute_window_is_four_thirds_of_it():
    told = [session(day(w, 1), drift_pct=1.5, drift_minutes=45) for w in range(10, 16)]
    assert "<td>2.0 % (" in shown(season(told))


def test_a_season_without_anything_is_no_section():
    assert shown(season()) == ""


@pytest.mark.parametrize("zone", ["Pacific/Auckland", "America/Los_Angeles"])
def test_days_are_drawn_where_they_are_whatever_the_machines_time_zone(zone):
    script = "from report.season_drawn import better\nfrom coachlib.report.letter.season_trend import output_figure\n"
    found = [
        subprocess.run(
            [sys.executable, "-c", script + "print(output_figure(better()))"],
            env={**os.environ, "TZ": name, "PYTHONPATH": f"{TESTS}:{TESTS.parent}"},
            capture_output=True, text=True, check=True,
        ).stdout
        for name in ("UTC", zone)
    ]  # fmt: skip
    assert found[0] == found[1]
