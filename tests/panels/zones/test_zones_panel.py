"""Zones on the demo roster: whole beats, what moves, and the sheet that is written."""

import pytest

from coachlib.errors import BadArgument
from coachlib.files.roster.folder import open_roster
from coachlib.jobs.sheets import ZONES_FILE
from coachlib.panels.zones.page import read_known, zone_plan
from coachlib.panels.zones.panel import zones_panel


@pytest.fixture(scope="module")
def roster(tmp_path_factory, demo_copy):
    return demo_copy(tmp_path_factory.mktemp("zones") / "roster")


def test_limits_move_by_what_the_thresholds_moved(roster):
    folder = open_roster(roster)
    own = folder.athlete("ilva")
    plan = zone_plan(read_known(folder, own))
    old, _, new = (t.hr_bpm for t in sorted(own.athlete().thresholds, key=lambda t: t.on))
    (before,) = plan.compared
    steady = next(m for m in before.result.moves if m.name == "steady")
    assert steady.by_bpm == new - old
    assert sum(before.result.seconds_before) == pytest.approx(sum(before.result.seconds_after))


def test_a_watchs_limits_stand_beside_the_zones(roster):
    folder = open_roster(roster)
    known = read_known(folder, folder.athlete("ilva"))
    plan = zone_plan(known, watch_lows_bpm="110, 130, 150, 170")
    assert [c.of_watch for c in plan.compared] == [False, True]
    with pytest.raises(BadArgument, match='found "110; 130"'):
        zone_plan(known, watch_lows_bpm="110; 130")


def test_what_a_scale_lacks_is_said_on_the_panel(roster):
    panel = zones_panel(roster, "wenna")
    assert panel.plan.zones is None
    missing = "need resting heart rate, first threshold, second threshold and maximum heart rate."
    assert missing in panel.page.value
    assert "whole sentences" in panel.page.value  # what can be done without limits
    panel.keep_button.click()
    assert "this scale gives no zones" in panel.status.value
    panel.athlete.value = "ilva"
    assert panel.plan.zones is not None
    panel.scale.value = "share of maximum"
    assert panel.plan.zones.scale == "share of maximum"
    assert panel.errors == []


def test_the_sheet_is_written_and_holds_every_limit(roster):
    panel = zones_panel(roster, "tobin")
    panel.sheet_button.click()
    assert panel.errors == []
    page = (roster / "tobin" / "reports" / ZONES_FILE).read_text("utf-8")
    for zone in panel.plan.zones.zones[1:]:
        assert str(zone.low_bpm) in page
    assert "<script" not in page


def test_another_scale_is_compared_with_the_one_kept_so_far_and_can_be_kept(tmp_path, demo_copy):
    demo_copy(tmp_path / "roster")
    profile = tmp_path / "roster" / "tobin" / "athlete.toml"
    before = profile.read_text("utf-8")
    panel = zones_panel(tmp_path / "roster", "tobin")
    panel.scale.value = "heart-rate reserve"
    (so_far,) = panel.plan.compared
    assert so_far.zones.scale == "two thresholds"
    panel.keep_button.click()
    assert panel.errors == []
    assert "Kept: zones by heart-rate reserve" in panel.status.value
    kept = open_roster(tmp_path / "roster").athlete("tobin").athlete()
    assert kept.zones == "heart-rate reserve"
    comments = [line for line in before.splitlines() if line.startswith("#")]
    assert all(line in profile.read_text("utf-8") for line in comments)


def test_an_athlete_that_cannot_be_read_leaves_no_zones_of_another_on_the_page(tmp_path, demo_copy):
    demo_copy(tmp_path / "roster")
    panel = zones_panel(tmp_path / "roster", "tobin")
    (tmp_path / "roster" / "ilva" / "athlete.toml").write_text("name = ", "utf-8")
    panel.athlete.value = "ilva"
    assert panel.plan is None
    assert panel.page.value == ""
    panel.scale.value = "share of maximum"
    assert panel.page.value == ""
    panel.sheet_button.click()
    assert "there are no zones on this page yet" in panel.status.value


@pytest.mark.parametrize("slug", ["ilva", "nadja", "tobin"])
def test_no_limit_on_a_demo_sheet_contradicts_the_trial_or_what_is_accepted(roster, slug):
    folder = open_roster(roster)
    known = read_known(folder, folder.athlete(slug))
    (trial,) = [m for m in known.measured if m.kind == "trial"]
    plan = zone_plan(known)
    tops = {z.name: (z.high_bpm, o.high) for z, o in zip(plan.zones.zones, plan.outputs, strict=True)}
    first, second = (t.power_w or t.speed_mps for t in plan.thresholds)
    assert tops["steady"][1] == pytest.approx(second)
    assert tops["steady"][1] <= trial.output * 1.005  # whole watts and tenths of km/h
    if plan.output.unit == "W":
        assert tops["easy"][1] == pytest.approx(first)
    assert tops["very easy"][1] < tops["easy"][1] < tops["steady"][1] < tops["hard"][1]
