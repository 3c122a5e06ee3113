"""The panel in a real browser: JupyterLab in headless Chromium, the network closed, a file on disk."""

import tomllib

import lab_in_browser
import pytest
from panel_roster import write_roster

from coachlib.files.roster.athlete_folder import decisions_path

playwright = pytest.importorskip("playwright.sync_api", reason="the browser tests need playwright")


pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(
        lab_in_browser.chromium() is None, reason="the browser tests need Chromium; none was found"
    ),
]


#: The window map under the trace.
MAP = ".letter figure.map svg.chart"


def drag(page, from_x, to_x, y):
    page.mouse.move(from_x, y)
    page.mouse.down()
    for step in range(1, 9):
        page.mouse.move(from_x + (to_x - from_x) * step / 8, y)
    page.mouse.up()


def test_a_coach_edits_saves_and_reloads(tmp_path):
    fit_path = write_roster(tmp_path / "roster")
    with (
        lab_in_browser.jupyterlab(tmp_path / "roster", tmp_path) as address,
        playwright.sync_playwright() as play,
    ):
        browser = play.chromium.launch(executable_path=lab_in_browser.chromium(), args=lab_in_browser.FLAGS)
        page = browser.new_page(viewport={"width": 1280, "height": 1000})
        book = lab_in_browser.Notebook(page, address)
        book.run_all()
        _edit(book, fit_path)
        _save_and_reload(book, fit_path, address)
        browser.close()


def _edit(book, fit_path):
    page = book.page
    editor = page.locator(".coach-editor")
    start = editor.get_by_role("slider", name="Window start", exact=True)
    stop = editor.get_by_role("slider", name="Window end", exact=True)
    window = "[list((w.start_s, w.stop_s)) for w in panel.subject.state.decisions.windows]"
    [[first_start, first_stop]] = book.ask(window)

    # a drag of one edge changes that edge, the sentence and the map under it, and nothing else
    page.wait_for_selector(MAP, state="attached")
    drawn = page.eval_on_selector(MAP, "(map) => map.outerHTML")
    before = editor.locator(".sentence").text_content()
    box = stop.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + 30
    drag(page, x, x - 150, y)
    page.wait_for_function(
        "(old) => document.querySelector('.coach-editor .sentence').textContent !== old", arg=before
    )
    [[start_s, stop_s]] = book.ask(window)
    assert start_s == first_start
    assert stop_s < first_stop - 300
    page.wait_for_function(
        "([map, old]) => (document.querySelector(map)?.outerHTML ?? old) !== old", arg=[MAP, drawn]
    )

    # a click without a drag is no edit
    canvas = editor.locator("canvas").bounding_box()
    page.mouse.click(canvas["x"] + 70, canvas["y"] + 60)
    assert book.ask(window) == [[start_s, stop_s]]

    # quick keys lose nothing, and are one step
    start.focus()
    for _ in range(3):
        page.keyboard.press("PageUp")
    page.wait_for_function(
        "(s) => document.querySelector('.handle.start').getAttribute('aria-valuenow') == s", arg=start_s + 180
    )
    editor.get_by_role("button", name="Undo", exact=True).click()
    page.wait_for_function(
        "(s) => document.querySelector('.handle.start').getAttribute('aria-valuenow') == s", arg=start_s
    )

    # a drag with Shift leaves a stretch out; its undo brings it back
    page.keyboard.down("Shift")
    drag(page, canvas["x"] + 500, canvas["x"] + 540, canvas["y"] + 120)
    page.keyboard.up("Shift")
    page.wait_for_selector(".exclusions li")
    page.keyboard.press("Control+z")
    page.wait_for_selector(".exclusions li", state="detached")

    # accept what is suggested, type another stretch, take that back, do it again
    editor.locator(".suggestions input[type=checkbox]").first.check()
    page.wait_for_selector(".suggestions li.accepted")
    editor.get_by_label("From", exact=True).fill("0:50:00")
    editor.get_by_label("To", exact=True).fill("0:50:40")
    editor.get_by_label("Reason").select_option("phone call")
    editor.get_by_role("button", name="Leave out").click()
    page.wait_for_selector(".exclusions li")
    editor.get_by_role("button", name="Undo", exact=True).click()
    page.wait_for_selector(".exclusions li", state="detached")
    editor.get_by_role("button", name="Redo").click()
    page.wait_for_selector(".exclusions li")

    # keys pressed in the panel never reach JupyterLab's shortcuts
    n_cells = book.count_cells()
    for target in (
        start,
        editor.get_by_label("Kind of session"),
        page.locator(".widget-dropdown select").first,
    ):
        target.focus()
        for key in ("d", "d", "a", "b"):
            page.keyboard.press(key)
            assert book.count_cells() == n_cells, f"{key} reached JupyterLab"

    # an answer that comes meanwhile wipes out no half-typed word, and a refusal is said in words
    editor.get_by_label("Start", exact=True).fill("soon")
    book.ask("panel.editor.do('nudge_window', edge='stop', by_s=-60.0)")
    page.wait_for_function(
        "(s) => document.querySelector('.handle.stop').getAttribute('aria-valuenow') == s", arg=stop_s - 60
    )
    assert editor.get_by_label("Start", exact=True).input_value() == "soon"
    editor.get_by_label("Start", exact=True).press("Enter")
    editor.get_by_text("Not done: a time was asked for, but “soon” is none").wait_for()
    assert not decisions_path(fit_path).exists()


def _save_and_reload(book, fit_path, address):
    page = book.page
    editor = page.locator(".coach-editor")
    editor.get_by_role("button", name="Save decisions").click()
    editor.get_by_text("Saved beside the recording.").wait_for()
    saved = tomllib.loads(decisions_path(fit_path).read_text(encoding="utf-8"))
    [window] = saved["window"]
    assert window["purpose"] == "steady"
    assert [e["reason"] for e in saved["exclusion"]][-1] == "phone call"
    assert {"coach"} < {e["found_by"] for e in saved["exclusion"]}
    editor.get_by_text("All is saved.").wait_for()

    # the kernel keeps the truth: a further edit survives a reload of the page
    editor.get_by_label("Start", exact=True).fill("0:32:00")
    editor.get_by_label("Start", exact=True).press("Enter")
    page.wait_for_function(
        "() => document.querySelector('.handle.start').getAttribute('aria-valuenow') == 1920"
    )
    page.evaluate("window.jupyterapp.commands.execute('docmanager:save')")
    page.wait_for_timeout(500)
    book.open(address)
    page.wait_for_selector(".coach-editor .handle.start", timeout=30_000)
    page.wait_for_function(
        "() => document.querySelector('.handle.start').getAttribute('aria-valuenow') == 1920"
    )
    assert book.ask("panel.subject.state.decisions.windows[0].start_s") == 1920.0

    # somebody else saves: nothing is lost, and it is said
    path = decisions_path(fit_path)
    theirs = path.read_text(encoding="utf-8").replace('reason = "phone call"', 'reason = "a hymn"')
    path.write_text(theirs, encoding="utf-8")
    editor.get_by_role("button", name="Save decisions").click()
    editor.locator(".status.failed").get_by_text("somebody saved").wait_for()
    assert path.read_text(encoding="utf-8") == theirs

    assert book.ask("panel.editor.errors") == []
    assert book.page_errors == []
    assert book.outside == []
