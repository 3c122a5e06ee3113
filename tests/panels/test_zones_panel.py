"""Zones on the demo roster: whole beats, what moves, and the sheet that is written."""

import shutil
from pathlib import Path

import pytest

from coachlib.errors import BadArgument
from coachlib.files.folder import open_roster
from coachlib.panels.zones import zone_plan, zones_panel
from coachlib.sheets import ZONES_FILE

DEMO = Path(__file__).parent.parent.parent / "athletes_demo"


@pytest.fixture(scope="module")
def roster(tmp_path_factory):
    folder = tmp_path_factory.mktemp("zones") / "roster"
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("reports", ".coachlib"))
    return folder


def test_limits_move_by_what_the_thresholds_moved(roster):
    folder = open_roster(roster)
    own = folder.athlete("ilva")
    plan = zone_plan(folder, own)
    old, _, new = (t.hr_bpm for t in sorted(own.athlete().thresholds, key=lambda t: t.on))
    (before,) = plan.compared
    steady = next(m for m in before.result.moves if m.name == "steady")
    assert steady.by_bpm == new - old
    assert sum(before.result.seconds_before) == pytest.approx(sum(before.result.seconds_after))


def test_a_watchs_limits_stand_beside_the_zones(roster):
    folder = open_roster(roster)
    plan = zone_plan(folder, folder.athlete("ilva"), watch_lows_bpm="110, 130, 150, 170")
    assert [c.name for c in plan.compared] == ["before", "of the watch"]
    with pytest.raises(BadArgument, match='found "110; 130"'):
        zone_plan(folder, folder.athlete("ilva"), watch_lows_bpm="110; 130")


def test_what_a_scale_lacks_is_said_on_the_panel(roster):
    panel = zones_panel(roster, "wenna")
    assert panel.plan is None
    assert "need first threshold" in panel.status.value
    panel.athlete.value = "ilva"
    assert panel.plan is not None
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
