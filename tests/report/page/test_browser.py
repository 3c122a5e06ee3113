"""The sample letter in a real browser: phone, desktop, dark, print, and with the network watched."""

import itertools
import re
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page
from report.look.test_text import HOSTILE

from coachlib.report.page.page import CONTENT_POLICY

WIDTHS = [320, 390, 768, 1280]
SCHEMES = ["light", "dark"]

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def file(letter: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample letter as a file on disk."""
    path = tmp_path_factory.mktemp("letters") / "letter.html"
    path.write_text(letter, "utf-8")
    return path


def opened(
    browser: Browser, path: Path, *, width: int = 390, scheme: str = "light", scripts: bool = True
) -> Page:
    """Open a file as a reader without a network would."""
    size = {"width": width, "height": 844}
    context = browser.new_context(
        viewport=size, color_scheme=scheme, java_script_enabled=scripts, offline=True, bypass_csp=False
    )
    page = context.new_page()
    page.goto(path.as_uri())
    return page


@pytest.mark.parametrize(("width", "scheme"), list(itertools.product(WIDTHS, SCHEMES)))
def test_nothing_scrolls_sideways_and_nothing_is_cut_off(browser, file, width, scheme):
    page = opened(browser, file, width=width, scheme=scheme)
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    assert page.evaluate("document.documentElement.scrollWidth") == width
    outside = """[...document.querySelectorAll('main *')].filter(e => {
        const box = e.getBoundingClientRect();
        return box.width && (box.right > innerWidth + 1 || box.left < -1)})
        .map(e => e.outerHTML.slice(0, 80))"""
    assert page.evaluate(outside) == []
    page.context.close()


def test_it_asks_the_network_for_nothing_and_says_no_error(browser, file):
    page = browser.new_page()
    asked, said = [], []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(file.as_uri())
    page.wait_for_load_state("networkidle")
    assert asked == [file.as_uri()]
    assert said == []
    page.close()


def test_it_is_whole_with_scripts_blocked(browser, file):
    page = opened(browser, file, scripts=False)
    assert page.locator("svg.chart").count() == 3
    assert page.locator("details").count() == 1
    page.get_by_text("The numbers").click()
    assert page.get_by_text("Hours in the last two weeks").is_visible()
    page.context.close()


@pytest.mark.parametrize("hostile", HOSTILE)
def test_the_policy_stops_what_an_escape_would_have_missed(browser, letter, tmp_path, hostile):
    path = tmp_path / "letter.html"
    path.write_text(letter.replace("</main>", f"{hostile}</main>"), "utf-8")
    page = browser.new_page()
    answered = []  # a request that the policy stops is reported too, but gets no answer
    page.on("response", lambda response: answered.append(response.url))
    page.goto(path.as_uri())
    page.wait_for_load_state("networkidle")
    page.mouse.move(50, 50)
    assert page.title() != "ran"
    assert answered == [path.as_uri()]
    page.close()


def test_the_policy_is_what_stops_it(browser, letter, tmp_path):
    path = tmp_path / "letter.html"
    open_page = letter.replace(CONTENT_POLICY, "").replace("</main>", f"{HOSTILE[0]}</main>")
    path.write_text(open_page, "utf-8")
    page = browser.new_page()
    page.goto(path.as_uri())
    assert page.title() == "ran"
    page.close()


@pytest.mark.parametrize(("width", "scheme"), list(itertools.product([390, 1280], SCHEMES)))
def test_axe_finds_nothing(browser, file, width, scheme):
    context = browser.new_context(
        viewport={"width": width, "height": 844}, color_scheme=scheme, bypass_csp=True, offline=True
    )
    page = context.new_page()
    page.goto(file.as_uri())
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    found = Axe().run(page)
    assert found.response["violations"] == []
    context.close()


@pytest.mark.parametrize("scheme", SCHEMES)
def test_text_on_a_phone_is_large_and_dark_enough(browser, file, scheme):
    page = opened(browser, file, scheme=scheme)
    sizes = page.evaluate(
        """[...document.querySelectorAll('main p, main li, main figcaption, main td, main small, main span')]
        .filter(e => e.textContent.trim()).map(e => parseFloat(getComputedStyle(e).fontSize))"""
    )
    assert min(sizes) >= 12
    assert page.evaluate("parseFloat(getComputedStyle(document.querySelector('.note p')).fontSize)") == 17
    drawn = """[...document.querySelectorAll('svg.chart')].map(svg =>
        12 * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width)"""
    assert min(page.evaluate(drawn)) >= 11.8
    page.context.close()


def test_lines_are_short_enough_to_read_on_a_desktop(browser, file):
    page = opened(browser, file, width=1280)
    per_line = """(() => { const p = document.querySelector('.note p:nth-of-type(2)');
        const range = document.createRange(); range.selectNodeContents(p);
        const lines = new Set([...range.getClientRects()].map(r => Math.round(r.bottom)));
        return p.textContent.length / lines.size; })()"""
    assert page.evaluate(per_line) < 75
    page.context.close()


def test_colours_in_drawings_follow_the_device(browser, file):
    ink = []
    for scheme in SCHEMES:
        page = opened(browser, file, scheme=scheme)
        ink.append(page.evaluate("getComputedStyle(document.querySelector('.s-accent')).stroke"))
        page.context.close()
    assert ink[0] != ink[1]


@pytest.mark.parametrize("scheme", SCHEMES)
def test_it_prints_on_two_light_pages(browser, file, tmp_path, scheme):
    page = opened(browser, file, scheme=scheme)
    printed = page.pdf(prefer_css_page_size=True, print_background=True, tagged=True)
    assert len(re.findall(rb"/Type\s*/Page\b", printed)) == 2
    page.emulate_media(media="print")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    assert page.evaluate(
        "document.querySelector('details table').checkVisibility({contentVisibilityAuto: true})"
    )
    page.context.close()
