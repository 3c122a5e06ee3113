"""The season review: what it says, what it leaves open, two sheets of paper."""

import html
import re
import shutil
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from rosters import fit_data, make_roster, put, wandering

from coachlib.analysis.season.review import review
from coachlib.analysis.week.calendar import first_day, week_of
from coachlib.errors import BadArgument, RosterProblem
from coachlib.files.roster.folder import open_roster
from coachlib.jobs.history import latest_week
from coachlib.jobs.season import read_review, save_review, write_reviews
from coachlib.records.thresholds import Threshold
from coachlib.report.season.page import blocks

DEMO = Path(__file__).parents[3] / "athletes_demo"


@pytest.fixture(scope="module")
def roster(tmp_path_factory):
    folder = tmp_path_factory.mktemp("season") / "roster"
    folder.mkdir()
    shutil.copy(DEMO / "roster.toml", folder)
    shutil.copytree(DEMO / "ilva", folder / "ilva", ignore=shutil.ignore_patterns("reports"))
    profile = folder / "ilva" / "athlete.toml"
    profile.write_text(
        profile.read_text()
        + '\n[[block]]\nfrom = 2026-09-28\nto = 2026-09-30\nkind = "travel"\nnote = "secret of the coach"\n'
        '[[event]]\non = 2026-11-15\nname = "Hill relay"\nkind = "race"\n'
    )
    return open_roster(folder)


@pytest.fixture(scope="module")
def found(roster):
    return read_review(roster, roster.athlete("ilva"), last="2026-W47")


def words(pieces):
    text = re.sub(r"<style.*?</style>|<[^>]+>", " ", "".join(map(str, pieces)), flags=re.DOTALL)
    return " ".join(html.unescape(text).split())


def test_the_months_add_up_to_the_season(found):
    told = found.review
    assert sum(m.moving_s for m in told.months) == pytest.approx(told.moving_s)
    assert sum(m.n_sessions for m in told.months) == told.n_sessions
    assert sum(w.moving_s for w in told.season.weeks) == pytest.approx(told.moving_s)
    assert [m.first_on.month for m in told.months] == [9, 10, 11]


def test_a_threshold_moved_by_both_doubts(found):
    """145 (136 to 154) and 157 (153 to 161): 12 bpm, its half width the root of both squares, 9 and 4."""
    (move,) = (m for m in found.review.moves if m.which == "first")
    half = (9**2 + 4**2) ** 0.5
    assert (move.change_bpm, move.call) == (12, "likely")
    assert (move.change_low_bpm, move.change_high_bpm) == (pytest.approx(12 - half), pytest.approx(12 + half))


def test_the_page_says_what_is_sure_and_what_is_not(found):
    told = words(blocks(found.review, coach="Maren"))
    assert (
        "The first threshold in running is accepted 12 bpm higher than on 14 June 2026 (2 to 22): likely."
        in told
    )
    assert "Whether the second threshold in running moved: it was accepted once." in told
    for each in ("By month", "October 2026", "145 bpm (136 to 154)", "race: Hill relay", "travel", "steady"):
        assert each in told
    assert "secret" not in told


def test_a_bound_and_a_threshold_without_interval_are_no_change(found):
    bound = Threshold(which="first", on=date(2026, 10, 1), sport="running", hr_bpm=150, bounded="above")
    bare = Threshold(which="second", on=date(2026, 11, 1), sport="running", hr_bpm=172)
    athlete = found.review.athlete
    changed = athlete.model_copy(update={"thresholds": (*athlete.thresholds[:2], bound, bare)})
    told = review(found.review.season, (), changed)
    moves = {m.which: m for m in told.moves}
    assert moves["first"].change_bpm is None
    assert (moves["second"].change_bpm, moves["second"].change_low_bpm) == (3, None)
    said = words(blocks(replace(told, n_sessions=1, moving_s=60.0)))
    assert "how sure that is cannot be told, one of the two has no interval" in said


@pytest.mark.browser
def test_it_passes_the_door_and_prints_on_two_sheets(roster, found):
    path = save_review(roster, roster.athlete("ilva"), found)
    assert path.name == "season_2026-W38_to_2026-W47.html"
    browsers = pytest.importorskip("playwright.sync_api")
    if not Path("/usr/bin/chromium").exists():
        pytest.skip("needs Chromium")
    flags = [
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-quic",
        "--disable-background-networking",
    ]
    with browsers.sync_playwright() as started:
        browser = started.chromium.launch(executable_path="/usr/bin/chromium", args=flags)
        page = browser.new_page()
        page.goto(path.as_uri())
        printed = page.pdf(prefer_css_page_size=True, print_background=True)
        browser.close()
    assert len(re.findall(rb"/Type\s*/Page[^s]", printed)) == 2


@pytest.mark.parametrize(
    ("weeks", "told"),
    [
        ({"first": "2026-W47", "last": "2026-W40"}, "lies before the first"),
        ({"first": "2026-W46", "last": "2026-W47"}, "two weeks are asked for; a review needs 4 to 160"),
        ({"first": "2010-W01", "last": "2026-W47"}, "a review needs 4 to 160"),
    ],
)
def test_a_range_that_cannot_be_is_refused(roster, weeks, told):
    with pytest.raises(BadArgument, match=told):
        read_review(roster, roster.athlete("ilva"), **weeks)


def test_one_recording_only_makes_a_page_that_claims_nothing(tmp_path):
    folder = make_roster(tmp_path / "roster", "mira", "tom")
    put(folder / "mira", "run.fit", fit_data(wandering(1200)))
    roster = open_roster(folder)
    last = latest_week(roster)
    first = week_of(first_day(last) - timedelta(weeks=5))
    told = words(blocks(read_review(roster, roster.athlete("mira"), first=first, last=last).review))
    for each in ("One session in", "No change can be told", "Nothing that is sure."):
        assert each in told
    with pytest.raises(RosterProblem, match="tom recorded nothing in these weeks"):
        read_review(roster, roster.athlete("tom"), first=first, last=last)
    assert write_reviews(roster, first=first, last=last) == 1
