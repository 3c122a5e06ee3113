"""The zone sheet as an athlete sees it: on a phone, in the dark, and on one sheet of paper."""

import re

import pytest

from coachlib.files.roster.folder import open_roster
from coachlib.jobs.sheets import save_zone_sheet
from coachlib.panels.zones.page import read_known, zone_plan

playwright = pytest.importorskip("playwright.sync_api", reason="the browser tests need playwright")
axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="looks for what cannot be read")

pytestmark = pytest.mark.browser

#: A runner with speed and pace, and a cyclist with power; both had other zones before.
SLUGS = ("ilva", "nadja")


@pytest.fixture(scope="module")
def sheets(tmp_path_factory, demo_copy):
    """The sheets of the demo's athletes as files, and one compared with a watch."""
    folder = demo_copy(tmp_path_factory.mktemp("sheets") / "roster")
    roster, pages = open_roster(folder), {}
    for slug in SLUGS:
        own = roster.athlete(slug)
        known = read_known(roster, own)
        for name, lows in ((slug, ""), (f"{slug}, watch", "110, 130, 150, 170")):
            path = save_zone_sheet(roster, own, zone_plan(known, watch_lows_bpm=lows))
            pages[name] = path.rename(path.with_name(f"{name}.html"))
    return pages


@pytest.mark.parametrize("slug", SLUGS)
@pytest.mark.parametrize(("width", "scheme"), [(320, "light"), (390, "dark"), (1100, "light")])
def test_nothing_scrolls_sideways_and_everything_can_be_read(browser, sheets, slug, width, scheme):
    page = browser.new_page(viewport={"width": width, "height": 844}, color_scheme=scheme, offline=True)
    page.goto(sheets[f"{slug}, watch"].as_uri())
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    assert page.evaluate("document.documentElement.scrollWidth") == width
    assert axe.Axe().run(page, options={"resultTypes": ["violations"]}).violations_count == 0
    page.close()


def test_beats_are_large_and_never_broken_on_a_phone(browser, sheets):
    page = browser.new_page(viewport={"width": 390, "height": 844})
    page.goto(sheets["ilva"].as_uri())
    heights = page.evaluate("[...document.querySelectorAll('.zones .beats')].map(e => e.offsetHeight)")
    assert len(heights) == 5
    assert max(heights) < 30  # one line each
    page.close()


@pytest.mark.parametrize("slug", SLUGS)
def test_it_is_one_sheet_of_paper(browser, sheets, slug):
    page = browser.new_page()
    page.goto(sheets[slug].as_uri())
    printed = page.pdf(prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page\b", printed)) == 1
    page.close()
