"""The demo roster's own letters, as a coach makes them and an athlete opens them."""

import html
import io
import json
import re
from contextlib import redirect_stdout
from datetime import date
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from report.letter_page import words_seen
from report.page.test_browser import opened

from coachlib.files.roster.folder import open_roster
from coachlib.jobs.weeks import write_weeks

DEMO = Path(__file__).parents[2] / "athletes_demo"
ATHLETES = sorted(p.parent.name for p in DEMO.glob("*/athlete.toml"))
WEEK = "2026-W47"


@pytest.fixture(scope="module")
def roster(tmp_path_factory, demo_copy):
    """A copy of the demo with its letters made."""
    folder = demo_copy(tmp_path_factory.mktemp("demo") / "athletes_demo")
    said = io.StringIO()
    with redirect_stdout(said):
        status = write_weeks(open_roster(folder), today=date(2026, 11, 23))
    assert status == 0, said.getvalue()
    return folder


def page_path(roster, slug):
    return roster / slug / "reports" / f"{WEEK}.html"


def words(page):
    """The page's text without markup."""
    return re.sub(r"\s+", " ", html.unescape(re.sub("<[^>]+>", " ", page)))


@pytest.mark.parametrize("slug", ATHLETES)
def test_a_letter_is_small_and_holds_nobody_else(roster, slug):
    page = page_path(roster, slug).read_text("utf-8")
    assert len(page.encode()) < 300_000
    assert 'class="chart card"' not in page
    others = [open_roster(roster).athlete(other).athlete().name for other in ATHLETES if other != slug]
    assert not [name for name in others if name in page]
    assert not re.search(r"\b(nan|NaT|inf)\b", words(page))


@pytest.mark.parametrize("slug", ATHLETES)
def test_the_numbers_beside_a_letter_are_the_letters(roster, slug):
    page = words(page_path(roster, slug).read_text("utf-8"))
    numbers = json.loads(page_path(roster, slug).with_suffix(".json").read_text("utf-8"))
    assert numbers["week"] == WEEK
    for session in numbers["sessions"]:
        if session["hr_mean_bpm"] is not None:
            assert f"{session['hr_mean_bpm']:.0f} bpm" in page


def test_an_undecided_test_is_left_open(roster):
    assert "Your coach has not yet looked at the trace" in words(page_path(roster, "ilva").read_text("utf-8"))


def test_a_new_athlete_is_told_what_comes_first(roster):
    page = words(page_path(roster, "wenna").read_text("utf-8"))
    assert "Your first threshold, the upper end of easy, is not known yet" in page
    assert "15 minutes to settle and 30 minutes steady" in page
    assert "You could talk comfortably at 153 bpm on average: a hint" in page
    assert "cannot tell" not in page.partition("The full account")[0]
    assert "physician" in page


@pytest.mark.browser
@pytest.mark.parametrize("slug", ATHLETES)
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_it_is_shown_whole_and_an_audit_finds_nothing(roster, browser, slug, scheme, width):
    page = opened(browser, page_path(roster, slug), width=width, scheme=scheme)
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    assert page.evaluate("document.documentElement.scrollWidth") == width
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    page.context.close()


@pytest.mark.browser
@pytest.mark.parametrize("slug", ATHLETES)
def test_it_reads_the_same_with_scripts_blocked_and_asks_for_nothing(roster, browser, slug):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(page_path(roster, slug).as_uri())
    assert asked == [page_path(roster, slug).as_uri()]
    assert page.locator("h1").inner_text()
    assert page.locator(".days li").count() >= 1
    context.close()


@pytest.mark.browser
@pytest.mark.parametrize("slug", ATHLETES)
def test_a_letter_is_read_in_three_minutes(roster, browser, slug):
    page = opened(browser, page_path(roster, slug))
    assert len(words_seen(page)) <= 600
    page.context.close()


@pytest.mark.browser
@pytest.mark.parametrize("slug", ATHLETES)
def test_a_week_prints_on_two_pages(roster, browser, slug):
    page = opened(browser, page_path(roster, slug))
    printed = page.pdf(prefer_css_page_size=True, print_background=True)
    assert len(re.findall(rb"/Type\s*/Page\b", printed)) <= 2
    page.context.close()


@pytest.mark.browser
@pytest.mark.parametrize("slug", ATHLETES)
def test_writing_in_drawings_is_large_enough_on_a_phone_and_lies_inside(roster, browser, slug):
    page = opened(browser, page_path(roster, slug))
    sizes = page.evaluate(
        """[...document.querySelectorAll('svg.chart')].map(svg =>
        12 * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width)"""
    )
    assert all(size >= 11 for size in sizes)
    outside = page.evaluate(
        """[...document.querySelectorAll('svg.chart text')].filter(text => {
        const box = text.getBoundingClientRect();
        return box.right > innerWidth || box.left < 0}).map(text => text.textContent)"""
    )
    assert outside == []
    page.context.close()


@pytest.mark.parametrize("slug", ATHLETES)
def test_the_seasons_numbers_are_kept_beside_the_letter(roster, slug):
    kept = json.loads(page_path(roster, slug).with_suffix(".json").read_text("utf-8"))
    assert [w["name"] for w in kept["season"]["weeks"]][-1] == WEEK
    assert "athlete" not in kept["season"]
    page = words(page_path(roster, slug).read_text("utf-8"))
    assert f"Methods {', '.join(kept['methods'])}." in page


@pytest.mark.browser
def test_from_the_call_sheet_a_click_opens_the_letter_and_the_way_back_is_the_browsers(roster, browser):
    sheet = roster / "reports" / f"{WEEK}.html"
    page = browser.new_page()
    page.goto(sheet.as_uri())
    page.get_by_role("link", name="Ilva Thornquist").click()
    page.get_by_role("heading", name="Ilva Thornquist").wait_for()
    assert page.url == page_path(roster, "ilva").as_uri()
    page.go_back()
    page.get_by_role("heading", name="Call sheet").wait_for()
    page.close()


@pytest.mark.parametrize("slug", ATHLETES)
def test_what_the_letters_compare_with_is_kept_and_nothing_else_in_a_profile_changes(roster, slug):
    before = (DEMO / slug / "athlete.toml").read_text("utf-8")
    assert (roster / slug / "athlete.toml").read_text("utf-8") == before
    numbers = json.loads(page_path(roster, slug).with_suffix(".json").read_text("utf-8"))
    called = [t for t in numbers["season"]["trends"] if t["trend"]["weeks"][-1]["change_bpm"] is not None]
    assert before.count('because = "first weeks"') == len(called)
