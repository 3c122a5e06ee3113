"""The page of two tests: what stands on it, and what does not where it is not known."""

import html
import re
import shutil
from datetime import date
from pathlib import Path

import pytest
from rosters import make_roster

from coachlib.errors import RosterProblem
from coachlib.files.roster.folder import open_roster
from coachlib.jobs.two_tests import name_of, read_pair, save_pair
from coachlib.panels.two_tests.panel import two_tests_panel

DEMO = Path(__file__).parents[3] / "athletes_demo"


@pytest.fixture(scope="module")
def roster(tmp_path_factory):
    folder = tmp_path_factory.mktemp("pair") / "roster"
    folder.mkdir()
    shutil.copy(DEMO / "roster.toml", folder)
    for slug in ("ilva", "wenna"):
        shutil.copytree(DEMO / slug, folder / slug, ignore=shutil.ignore_patterns("reports"))
    return open_roster(folder)


def words(page):
    text = re.sub(r"<style.*?</style>|<[^>]+>", " ", str(page), flags=re.DOTALL)
    return " ".join(html.unescape(text).split())


def test_the_two_newest_tests_stand_beside_each_other_and_pass_the_door(roster):
    own = roster.athlete("ilva")
    shown = read_pair(roster, own)
    path = save_pair(roster, own, shown)
    assert path.name == "tests_2026-10-31_and_2026-11-07.html"
    text = path.read_text()
    told = words(text)
    assert "Brought to the same setting heart rate was 4 bpm higher than on 31 October" in told
    assert "one day differs from another by as much" in told
    assert text.count("<svg") == 2
    assert "≠ footwear or machine" in told
    assert path.stat().st_mode & 0o077 == 0


def test_a_typed_test_has_numbers_and_no_trace(roster):
    own = roster.athlete("ilva")
    shown = read_pair(roster, own, "typed in, 2026-08-30", "2026-10-03_treadmill")
    assert shown.earlier is None
    panel = two_tests_panel(roster.path, "ilva", recording="typed in, 2026-08-30", interactive=False)
    assert "known by its two half means only" in words(panel.page)


def test_the_panel_offers_every_test_and_writes_the_page(roster):
    panel = two_tests_panel(roster.path, "ilva")
    assert panel.errors == []
    names = list(panel.one.options)
    assert (panel.one.value, panel.other.value) == (names[0], names[1])
    panel.other.value = names[2]
    assert name_of(panel.shown.found.earlier) == names[2]
    panel.write()
    assert "Written: ilva/reports/tests_" in panel.status.value
    panel.other.value = panel.one.value
    assert "this is one and the same" in panel.status.value
    assert panel.page.value == ""


def test_who_has_no_two_tests_is_told_what_to_do(roster, tmp_path):
    with pytest.raises(RosterProblem, match="wenna has no steady tests; two of one sport are needed"):
        read_pair(roster, roster.athlete("wenna"))
    folder = make_roster(tmp_path / "one", "mira")
    (folder / "mira" / "athlete.toml").write_text(
        'schema = 1\nname = "Mira"\n[[typed_test]]\non = 2026-10-01\nfirst_half_bpm = 140\nsecond_half_bpm = 145\n'
        f"minutes = 60\n[[typed_test]]\non = {date(2026, 10, 8)}\nfirst_half_bpm = 141\nsecond_half_bpm = 146\nminutes = 60\n"
    )
    one = open_roster(folder)
    shown = read_pair(one, one.athlete("mira"))
    assert shown.found.hr_not_told.name == "setting of a test not known"
    with pytest.raises(
        RosterProblem, match="has no steady test “nowhere”; there are: typed in, 2026-10-01 and"
    ):
        read_pair(one, one.athlete("mira"), "nowhere")
