"""The desk as a coach meets it: headless Chromium, the network closed, processes killed on the way."""

import json
import os
import signal
import tomllib

import desk_in_browser
import lab_in_browser
import psutil
import pytest
from panel_roster import write_roster

from coachlib.files.roster.athlete_folder import decisions_path

axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="the browser tests need axe")

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(
        lab_in_browser.chromium() is None, reason="the browser tests need Chromium; none was found"
    ),
]

RECORDING = {"athlete": "mira", "recording": "2026-10-03_treadmill", "week": "2026-W40"}
EDITOR = desk_in_browser.DRAWN["recording"]
WIDTHS = (390, 820, 1280, 1440, 1920)


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    home, roster = tmp_path_factory.mktemp("home"), tmp_path_factory.mktemp("roster")
    fit_path = write_roster(roster)
    with desk_in_browser.desk(roster, home) as way_in:
        yield way_in, roster, fit_path


@pytest.fixture(scope="module")
def desk(served, browser):
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    page.set_default_timeout(120_000)
    yield desk_in_browser.DeskPage(page, served[0])
    page.close()


def kernel_of(desk):
    """The number of the page's process."""
    return json.loads(desk.page.text_content("#jupyter-config-data"))["kernelId"]


def process_of(desk):
    name = kernel_of(desk)
    return next(p for p in psutil.process_iter(["cmdline"]) if name in " ".join(p.info["cmdline"] or []))


def kernels(desk):
    return desk.page.evaluate("() => fetch('/api/kernels').then((answer) => answer.json())")


def unsaved(desk):
    return desk.page.inner_text(".coach-editor .saving")


def saved(fit_path):
    return tomllib.loads(decisions_path(fit_path).read_text(encoding="utf-8"))


def choose_kind(desk, kind, *, until=None):
    desk.page.select_option(".coach-editor .kind select", kind)
    desk.page.wait_for_function(
        "(words) => document.querySelector('.coach-editor .saving').innerText.includes(words)",
        arg=until or f"Kind: {kind}",
    )


def test_it_opens_on_the_call_sheet_and_leads_to_a_recording_and_back(desk):
    page = desk.page
    page.wait_for_selector(desk_in_browser.DRAWN["roster"])
    assert "/desk/roster?week=2026-W40" in page.url
    assert "key=" not in page.url
    assert "token" not in page.url
    assert page.locator("pre, .jp-InputArea").count() == 0, "no code in sight"
    page.locator('.calls a[href*="/desk/recording"]').first.click()
    page.wait_for_selector(EDITOR)
    assert "athlete=mira" in page.url
    assert page.locator('nav [aria-current="page"]').inner_text() == "Recording"
    page.go_back()
    page.wait_for_selector(desk_in_browser.DRAWN["roster"])
    assert "/desk/roster" in page.url
    assert desk.outside == []
    assert desk.errors == []


def test_on_a_small_screen_all_that_matters_is_in_sight_without_scrolling(desk):
    desk.go("recording", **RECORDING)
    page = desk.page
    page.wait_for_function("() => document.querySelector('.coach-editor .sentence').textContent.length > 0")
    for part in (".sentence", ".changes", "button.primary", "canvas"):
        box = (
            page.locator(f".coach-editor {part}").last.bounding_box()
            if part == "button.primary"
            else page.locator(f".coach-editor {part}").first.bounding_box()
        )
        assert box is not None, part
        assert box["y"] + box["height"] <= 800, (part, box)


def test_nothing_is_lost_when_the_process_is_killed_twice(desk, served):
    desk.go("recording", **RECORDING)
    page = desk.page
    page.get_by_role("slider", name="Window start", exact=True).focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_function(
        "() => document.querySelector('.coach-editor .saving').innerText.includes('0:30:10')"
    )
    for kind in ("easy", "long"):
        process_of(desk).kill()
        page.wait_for_selector(".coach-cover")
        assert "What you did is kept." in page.inner_text(".coach-cover")
        assert page.evaluate("() => document.querySelector('.coach-editor').closest('[inert]') !== null")
        page.get_by_role("button", name="Open the page again").click()
        page.wait_for_selector(".coach-cover", state="detached")
        page.wait_for_selector(EDITOR)
        page.wait_for_function(
            "() => document.querySelector('.coach-editor .saving').innerText.includes('0:30:10')"
        )
        choose_kind(desk, kind)
    page.keyboard.press("Control+s")
    page.wait_for_function(
        "() => document.querySelector('.coach-editor .saving').innerText.includes('Saved')"
    )
    decided = saved(served[2])
    found = decided["part"][0] if "part" in decided else decided
    assert found["kind"] == "long"
    assert found["window"][0]["start_s"] == 1810.0
    assert list((served[1] / ".coachlib" / "drafts").rglob("*.json")) == []
    assert page.locator(".coach-editor .saving button.primary").first.is_disabled()


def test_an_edit_that_the_process_never_answered_is_done_again(desk):
    desk.go("recording", **RECORDING)
    page = desk.page
    process = process_of(desk)
    process.suspend()
    page.select_option(".coach-editor .kind select", "race")
    page.wait_for_timeout(300)
    process.kill()
    page.wait_for_selector(".coach-cover")
    page.get_by_role("button", name="Open the page again").click()
    page.wait_for_selector(".coach-cover", state="detached")
    page.wait_for_selector(EDITOR)
    page.wait_for_function("() => document.querySelector('.coach-editor .kind select').value === 'race'")
    page.keyboard.press("Control+z")
    page.wait_for_function("() => document.querySelector('.coach-editor .kind select').value !== 'race'")


def test_many_pages_leave_no_more_behind_than_one(desk):
    for _ in range(4):
        desk.go("recording", **RECORDING)
        desk.go("zones", athlete="mira")
    desk.page.wait_for_timeout(1000)
    assert [model["id"] for model in kernels(desk)] == [kernel_of(desk)]


def test_a_choice_on_the_page_is_in_its_address_and_in_the_line(desk):
    desk.go("recording", **RECORDING)
    page = desk.page
    page.evaluate("() => history.replaceState(null, '', '/desk/recording?athlete=mira')")
    page.reload()
    page.wait_for_selector(EDITOR)
    page.wait_for_function("() => location.search.includes('recording=2026-10-03_treadmill')")
    assert "recording=2026-10-03_treadmill" in page.get_attribute('nav a[data-place="drift_test"]', "href")


def test_what_an_address_may_not_say_is_refused_in_words(desk):
    desk.page.goto(f"{desk.base}/desk/recording?athlete=nobody")
    assert "No athlete is called" in desk.page.inner_text("main")
    desk.page.goto(f"{desk.base}/desk/nowhere")
    assert "There is no page at this address." in desk.page.inner_text("main")
    desk.errors.clear()  # the browser itself notes an answer of 404


@pytest.mark.parametrize("place", desk_in_browser.DRAWN)
def test_axe_finds_nothing_and_nothing_runs_out_of_the_window(desk, place):
    desk.go(
        place,
        **(RECORDING if place in ("recording", "drift_test") else {"athlete": "mira", "week": "2026-W40"}),
    )
    desk.page.wait_for_timeout(500)
    for scheme in ("light", "dark"):
        desk.page.emulate_media(color_scheme=scheme)
        desk.page.wait_for_timeout(300)
        found = axe.Axe().run(desk.page).response["violations"]
        assert [(v["id"], [n["target"] for n in v["nodes"]]) for v in found] == [], scheme
    desk.page.emulate_media(color_scheme="light")
    for width in WIDTHS:
        desk.page.set_viewport_size({"width": width, "height": 800})
        assert desk.page.evaluate("() => document.documentElement.scrollWidth") <= width, width
    desk.page.set_viewport_size({"width": 1280, "height": 800})
    assert desk.outside == []
    assert desk.errors == []


def test_a_stopped_desk_is_told_and_the_editor_covered(browser, tmp_path):
    write_roster(tmp_path / "roster")
    with desk_in_browser.desk(tmp_path / "roster", tmp_path) as way_in:
        page = browser.new_page()
        page.set_default_timeout(120_000)
        desk = desk_in_browser.DeskPage(page, way_in)
        desk.go("recording", **RECORDING)
        choose_kind(desk, "easy")
        [server] = [
            p for p in psutil.Process(os.getpid()).children() if "open_desk" in " ".join(p.cmdline())
        ][-1:]
        server.send_signal(signal.SIGKILL)
        page.wait_for_selector(".coach-cover")
        assert "The desk does not answer" in page.inner_text(".coach-cover")
        assert len(list((tmp_path / "roster" / ".coachlib" / "drafts").rglob("*.json"))) == 1
        for process in psutil.process_iter(["cmdline"]):
            if str(tmp_path) in " ".join(process.info["cmdline"] or []):
                process.kill()
        page.close()
