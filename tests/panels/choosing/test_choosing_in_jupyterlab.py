"""The panels on which a coach accepts, in a real browser: JupyterLab, the network closed, files on disk."""

import tomllib
from datetime import date

import lab_in_browser
import pytest

from coachlib.files.roster.athlete_folder import ATHLETE_FILE
from coachlib.jobs.sheets import PROTOCOL_FILE, ZONES_FILE

playwright = pytest.importorskip("playwright.sync_api", reason="the browser tests need playwright")

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(
        lab_in_browser.chromium() is None, reason="the browser tests need Chromium; none was found"
    ),
]

STEPS = "8 1.1 118; 9 1.0 127; 10 1.2 136; 11 1.5 146; 12 2.1 155; 13 3.1 164; 14 4.9 172; 15 7.8 190"
SLUG = "ilva"


class Panel:
    """One of the panels on its page: fields and buttons by the words a coach reads."""

    def __init__(self, book, address, name):
        self.book, self.page = book, book.page
        book.open(address.replace("recording.ipynb", f"{name}.ipynb"))
        book.run(until=".letter h2")
        self.n_cells = book.count_cells()

    def field(self, name):
        return self.page.locator(".jp-OutputArea").get_by_label(name, exact=True)

    def fill(self, name, text):
        """Type into a field and confirm it."""
        self.field(name).fill(text)
        self.field(name).press("Enter")

    def button(self, name):
        return self.page.locator(".jp-OutputArea").get_by_role("button", name=name, exact=True)

    def press(self, name):
        self.button(name).click()

    def says(self, sentence):
        """Wait until the panel says something where it answers, and the coach can see it there."""
        said = self.page.locator(".letter [role=status]").get_by_text(sentence)
        said.wait_for()
        said.scroll_into_view_if_needed()
        assert said.is_visible()

    def shows(self, text):
        """Wait until something stands on the page."""
        self.page.locator(".letter").get_by_text(text).first.wait_for()

    def keys_stay(self, control, *more):
        """Keys that would add or delete cells do nothing to the notebook while a control has the focus."""
        control.focus()
        for key in ("d", "d", "a", "x", *more):
            self.page.keyboard.press(key)
            assert self.book.count_cells() == self.n_cells, f"{key} reached JupyterLab"

    def code_is_folded(self):
        shown = self.page.locator(".jp-CodeCell .jp-InputArea-editor:visible")
        return shown.count() == 0

    def is_well(self):
        assert self.book.ask("_.errors") == []
        assert self.book.page_errors == []
        assert self.book.outside == []


@pytest.fixture(scope="module")
def roster(tmp_path_factory, demo_copy):
    return demo_copy(tmp_path_factory.mktemp("choosing") / "roster")


@pytest.fixture(scope="module")
def lab(roster):
    """One JupyterLab and one browser for all panels: the book, and the address of a workbook."""
    with (
        lab_in_browser.jupyterlab(roster, roster.parent) as address,
        playwright.sync_playwright() as play,
    ):
        browser = play.chromium.launch(executable_path=lab_in_browser.chromium(), args=lab_in_browser.FLAGS)
        page = browser.new_page(viewport={"width": 1280, "height": 1000})
        yield lab_in_browser.Notebook(page), address
        browser.close()


def profile(roster):
    return tomllib.loads((roster / SLUG / ATHLETE_FILE).read_text("utf-8"))


def thresholds(roster, which):
    return [t for t in profile(roster)["threshold"] if t["which"] == which]


def comments(roster):
    lines = (roster / SLUG / ATHLETE_FILE).read_text("utf-8").splitlines()
    return [line for line in lines if line.lstrip().startswith("#")]


def test_a_first_threshold_is_accepted_withdrawn_and_the_next_test_written(lab, roster):
    remarks = comments(roster)
    assert remarks
    panel = Panel(*lab, "first_threshold")
    assert panel.code_is_folded()
    panel.field("Athlete").select_option("Ilva Thornquist")
    panel.shows("Ilva Thornquist: first threshold from a series")
    proposed = float(panel.field("Accept, bpm").input_value())
    panel.keys_stay(panel.field("Accept, bpm"), "Enter")
    for quiet in (panel.field("Next test by"), panel.button("Withdraw it")):
        panel.keys_stay(quiet)

    panel.fill("Accept, bpm", "120")
    panel.press("Accept this threshold")
    panel.says("lies outside what the tests allow")
    assert date(2026, 11, 24) not in [t["on"] for t in thresholds(roster, "first")]

    panel.fill("Accept, bpm", f"{proposed:g}")
    panel.field("Valid from").fill("2026-11-24")
    panel.press("Accept this threshold")
    panel.says("valid from 24 November 2026")
    new = thresholds(roster, "first")[-1]
    assert (new["on"], new["hr_bpm"]) == (date(2026, 11, 24), proposed)
    assert new["hr_low_bpm"] < new["hr_bpm"] < new["hr_high_bpm"]
    assert new["method"].startswith("drift series")
    assert new["tests"]
    assert {len(checksum) for checksum in new["tests"]} == {64}
    assert comments(roster) == remarks

    panel.press("Write the protocol sheet")
    panel.says(f"Written: {SLUG}/reports/{PROTOCOL_FILE}")
    assert "<h1>A steady test</h1>" in (roster / SLUG / "reports" / PROTOCOL_FILE).read_text("utf-8")

    panel.press("Withdraw it")
    panel.says("Withdrawn: the first threshold of 24 November 2026")
    assert thresholds(roster, "first")[-1]["withdrawn"] is True
    assert comments(roster) == remarks
    panel.shows("withdrawn")
    panel.is_well()


def test_a_second_threshold_is_accepted_from_what_was_typed(lab, roster):
    remarks = comments(roster)
    panel = Panel(*lab, "second_threshold")
    assert panel.code_is_folded()
    panel.page.get_by_text("Type in a step test, trials, or an estimate from elsewhere").click()
    panel.field("Lactate stages").wait_for()
    panel.keys_stay(panel.field("Lactate stages"), "Enter")
    panel.keys_stay(panel.button("Accept this threshold"))
    panel.says("Not done: 3 numbers a row are needed")
    panel.fill("All-out trials", "1200 232; 2400 502; 3600 770")
    panel.fill("Lactate stages", STEPS)
    panel.shows("Usually near the second threshold")
    panel.shows("Three parameters: this form of critical speed needs 4 trials")

    panel.field("Accept").select_option(label="step test (lactate 4 mmol/l): 168 bpm")
    panel.press("Accept this threshold")
    panel.says("no day from which it holds")
    panel.field("Valid from").fill("2026-11-24")
    panel.press("Accept this threshold")
    panel.says("Accepted: 168 bpm at 13.5 km/h, valid from 24 November 2026")
    new = thresholds(roster, "second")[-1]
    assert (new["on"], new["hr_bpm"], new["method"]) == (
        date(2026, 11, 24),
        168,
        "lactate, lactate 4 mmol/l 1",
    )
    assert STEPS in new["note"]
    assert comments(roster) == remarks

    panel.field("Accept").select_option(index=0)
    panel.field("Valid from").fill("2026-11-25")
    panel.press("Accept this threshold")
    panel.says("valid from 25 November 2026")
    trial = thresholds(roster, "second")[-1]
    assert trial["method"] == "30-minute trial 1"
    assert trial["hr_low_bpm"] < trial["hr_bpm"] < trial["hr_high_bpm"]
    assert [len(checksum) for checksum in trial["tests"]] == [64]
    panel.press("Withdraw it")
    panel.says("Withdrawn: the second threshold of 25 November 2026")
    assert thresholds(roster, "second")[-1]["withdrawn"] is True
    panel.is_well()


def test_zones_are_compared_kept_and_written(lab, roster):
    remarks = comments(roster)
    panel = Panel(*lab, "zones")
    assert panel.code_is_folded()
    panel.field("Athlete").select_option("Ilva Thornquist")
    panel.shows("Your zones")
    panel.keys_stay(panel.field("Zones by"))
    panel.keys_stay(panel.field("The watch has"), "Enter")
    panel.says("a watch's zones are typed as the first beat of each zone")
    panel.fill("The watch has", "110, 130, 150, 170")
    panel.shows("than those of your watch")

    panel.press("Write the zone sheet")
    panel.says(f"Written: {SLUG}/reports/{ZONES_FILE}")
    sheet = (roster / SLUG / "reports" / ZONES_FILE).read_text("utf-8")
    assert "than those of your watch" in sheet
    assert "<script" not in sheet

    panel.field("Zones by").select_option("heart-rate reserve")
    panel.shows("near maximal")
    panel.press("Keep this scale")
    panel.says("Kept: zones by heart-rate reserve")
    assert profile(roster)["zones"] == "heart-rate reserve"
    assert comments(roster) == remarks
    panel.is_well()


def test_a_click_on_the_call_sheet_opens_the_workbook_behind_it_on_its_subject(lab):
    book, address = lab
    book.open(address.replace("recording.ipynb", "roster.ipynb"))
    book.run(until=".letter .calls")
    link = book.page.locator(".letter .calls").get_by_role("link", name="recording: 2026-11-21_treadmill")
    with book.page.expect_popup() as opened:
        link.click()
    behind = lab_in_browser.Notebook(opened.value)
    opened.value.wait_for_url("**/recording.ipynb*")
    behind.wait_until_ready()
    first_code = "window.jupyterapp.shell.currentWidget.content.model.cells.get(2).sharedModel.getSource()"
    parameters = opened.value.evaluate(first_code)
    opened.value.close()
    assert "athlete = 'ilva'" in parameters
    assert "recording = '2026-11-21_treadmill'" in parameters
    assert book.outside + behind.outside == []
