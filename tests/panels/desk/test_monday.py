"""A Monday at the desk from call sheet to letter, with processes killed on the way: nothing is lost."""

import csv
import json
import shutil
import tomllib
from pathlib import Path

import desk_in_browser
import lab_in_browser
import psutil
import pytest

from coachlib.files.roster.athlete_folder import ATHLETE_FILE, DIARY_FILE

axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="the browser tests need axe")

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(
        lab_in_browser.chromium() is None, reason="the browser tests need Chromium; none was found"
    ),
]

DEMO = Path(__file__).parents[3] / "athletes_demo"
#: Who has a test that waits for a decision, and the rest of the roster left out: one season is read, not five.
WHO, TEST, WEEK = "ilva", "2026-11-21_treadmill", "2026-W47"
NOTE = "A steady hour, Ilva: I believe this one. Carry on."


@pytest.fixture(scope="module")
def roster(tmp_path_factory):
    folder = tmp_path_factory.mktemp("monday") / "roster"
    shutil.copytree(DEMO / WHO, folder / WHO, ignore=shutil.ignore_patterns("reports"))
    shutil.copy(DEMO / "roster.toml", folder)
    return folder


@pytest.fixture(scope="module")
def desk(roster, browser):
    with desk_in_browser.desk(roster, roster.parent) as way_in:
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.set_default_timeout(180_000)
        yield desk_in_browser.DeskPage(page, way_in)
        page.close()


def process_of(desk):
    name = json.loads(desk.page.text_content("#jupyter-config-data"))["kernelId"]
    return next(p for p in psutil.process_iter(["cmdline"]) if name in " ".join(p.info["cmdline"] or []))


def axe_finds_nothing(desk):
    found = axe.Axe().run(desk.page).response["violations"]
    assert [(v["id"], [n["target"] for n in v["nodes"]]) for v in found] == []


def open_again(desk):
    page = desk.page
    page.wait_for_selector(".coach-cover")
    axe_finds_nothing(desk)
    page.get_by_role("button", name="Open the page again").click()
    page.wait_for_selector(".coach-cover", state="detached")


def test_the_waiting_test_is_decided_over_a_killed_process(desk, roster):
    page = desk.page
    page.get_by_role("link", name=f"recording: {TEST}").click()
    page.wait_for_selector(desk_in_browser.DRAWN["recording"])
    page.select_option(".coach-editor .kind select", "drift test")
    page.wait_for_function(
        "() => document.querySelector('.coach-editor .saving').innerText.includes('Kind: drift test')"
    )
    process_of(desk).kill()
    open_again(desk)
    page.wait_for_function(
        "() => document.querySelector('.coach-editor .saving')?.innerText.includes('Kind: drift test')"
    )
    page.keyboard.press("Control+s")
    page.wait_for_function(
        "() => document.querySelector('.coach-editor .saving').innerText.includes('Saved')"
    )
    decided = roster / WHO / "recordings" / f"{TEST}.decisions.toml"
    assert 'kind = "drift test"' in decided.read_text("utf-8")


def test_the_threshold_is_accepted_without_scrolling(desk, roster):
    page = desk.page
    page.get_by_role("link", name="First threshold").click()
    page.wait_for_selector(desk_in_browser.DRAWN["first_threshold"])
    fold = page.get_by_role("button", name="An estimate from elsewhere")
    assert not page.get_by_label("Where it is from").is_visible()
    fold.press("Enter")
    page.get_by_label("Where it is from").wait_for()
    page.get_by_label("An estimate").press("Tab")
    page.get_by_role("button", name="Accept the estimate").click()
    page.locator(".letter [role=status]").get_by_text("needs its numbers").wait_for()
    axe_finds_nothing(desk)
    fold.press(" ")
    page.get_by_label("Where it is from").wait_for(state="hidden")
    page.get_by_label("Valid from").fill("2026-11-22")
    page.get_by_role("button", name="Accept this threshold").press("Enter")
    page.locator(".letter [role=status]").get_by_text("Accepted:").wait_for()
    assert page.evaluate("() => scrollY") == 0
    axe_finds_nothing(desk)
    accepted = tomllib.loads((roster / WHO / ATHLETE_FILE).read_text("utf-8"))["threshold"]
    assert "2026-11-22" in [str(t["on"]) for t in accepted if t["which"] == "first"]


def test_note_and_diary_are_typed_over_a_killed_process_and_the_letter_opens(desk, roster):
    page = desk.page
    page.get_by_role("link", name="Letter").click()
    page.wait_for_selector(desk_in_browser.DRAWN["letter"])
    note = page.locator(".coach-kept-note textarea")
    half = len(NOTE) // 2
    note.fill(NOTE[:half])
    page.locator(".letter [role=status]").get_by_text("Note kept.").wait_for()
    process = process_of(desk)
    process.suspend()
    note.press_sequentially(NOTE[half:])
    page.get_by_label("RPE, Tue 17 Nov running").fill("3")
    page.get_by_label("RPE, Thu 19 Nov running").focus()
    process.kill()
    open_again(desk)
    page.wait_for_function(
        "(words) => document.querySelector('.coach-kept-note textarea')?.value === words", arg=NOTE
    )
    page.locator(".note").get_by_text("Carry on.").wait_for()
    page.wait_for_function("() => document.querySelector('.coach-diary .rpe')?.value === '3'")
    page.get_by_role("button", name="Write and open").click()
    page.wait_for_url(f"**/desk/made/{WHO}/{WEEK}.html")
    assert NOTE in page.inner_text("main")
    assert (roster / WHO / "notes" / f"{WEEK}.md").read_text("utf-8") == NOTE
    rows = csv.DictReader((roster / WHO / DIARY_FILE).read_text("utf-8").splitlines())
    assert {row["recording"]: row["rpe"] for row in rows}["2026-11-17_running"] == "3"
    assert desk.outside == []
