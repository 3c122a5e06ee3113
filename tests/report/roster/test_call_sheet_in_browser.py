"""The call sheet of twelve athletes as a coach opens it: one screen, readable on a phone, one sheet of paper."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from report.test_browser import opened

from coachlib.analysis.roster.call_sheet import CallEntry, CallSheet, Reason
from coachlib.records.roster import RosterSettings
from coachlib.report.page.page import render
from coachlib.report.roster import call_sheet

pytestmark = pytest.mark.browser

STRAP = (
    "strap failing", "look at", "heart rate missing for 34 % of the session on Wednesday 18 November",
    "wet the strap, wash it, change its battery", "recording", "2026-11-18_running",
)  # fmt: skip
STALE = (
    "threshold stale", "look at", "the first threshold (151 bpm) is 11 weeks old; after 8 it should be tested again",
    "plan a test", "first_threshold", "",
)  # fmt: skip
LETTER = "weekly letter"
#: What twelve athletes may give on a bad Monday, in the words of the program.
TALK = {
    "Ansel Grubb": [
        ("illness or pain", "talk to", 'wrote pain on Sunday 22 November, "knee a little thick tonight"',
         "call; rest and a physician come first", "diary", ""),
        STRAP,
    ],
    "Bettina Marrow": [
        ("no data", "talk to", "no recording for 12 days, the last on Tuesday 10 November",
         "ask what happened; mark the days where ill or travelling", "recordings", ""),
    ],
    "Corin Vash": [
        ("trend down", "talk to",
         "running: output at 141 bpm down by 0.9 km/h (0.4 to 1.4) since 14 September, likely",
         "ask before judging: a bad fortnight looks the same as lost fitness (last 3 weeks: sleep 5.9 h, unwell on 2 "
         "days, load 0.7 times the usual)", LETTER, ""),
        STALE,
    ],
    "Dagny Lorimer": [
        ("easy days not easy", "talk to",
         "easy sessions 38 % above the first threshold (31 to 46), usually 6 to 15 %",
         "ask for slower easy days, or test whether the threshold has moved", LETTER, ""),
        ("drift unusually high", "look at",
         "heart rate drifted 8.8 % an hour (6.3 to 11.3) on Thursday 19 November, usually 2.1; it was 27 °C",
         "look for heat, thirst, tiredness or artefacts before reading more into it", "recording",
         "2026-11-19_running"),
    ],
    "Edda Quill": [
        ("load outside own range", "talk to", "load by heart rate 2.4 times the usual week (913; own range 190 to 805)",
         "was it meant? plan the coming week with it in mind", LETTER, ""),
    ],
}  # fmt: skip
LOOK = {
    "Falk Osterby": [
        ("decisions pending", "look at",
         "the drift test of Saturday 21 November waits for your decisions, 2 suggested exclusions",
         "open it, set the window, accept or reject what is suggested", "recording", "2026-11-21_treadmill"),
    ],
    "Greta Simmonds-Halloway": [
        ("trend up", "look at", "running: output at 141 bpm up by 1.0 km/h (0.6 to 1.5) since 14 September, clear",
         "tell the athlete; test whether the threshold has moved up", LETTER, ""),
    ],
    "Hulda Prenn": [STRAP, STALE],
    "Ivo Castellan": [STALE],
}  # fmt: skip
FINE = ("Jorun Blythe", "Kester Amory", "Lina Varga")


def entry(name, group, reasons=()):
    made = [
        Reason(kind=kind, group=urgency, sentence=seen, settle=settle, where=where, recording=recording)
        for kind, urgency, seen, settle, where, recording in reasons
    ]
    return CallEntry(slug=name.split()[0].lower(), name=name, group=group, reasons=tuple(made))


@pytest.fixture(scope="module")
def page_path(tmp_path_factory):
    sheet = CallSheet(
        talk_to=tuple(entry(n, "talk to", r) for n, r in TALK.items()),
        look_at=tuple(entry(n, "look at", r) for n, r in LOOK.items()),
        fine=tuple(entry(n, "fine") for n in FINE),
    )
    links = {(e.slug, place): f"../{e.slug}/x" for e in sheet.in_order for place in (LETTER, "diary")}
    blocks = call_sheet.head("2026-W47", RosterSettings(name="Club")), call_sheet.groups(sheet, links)
    path = tmp_path_factory.mktemp("sheet") / "sheet.html"
    path.write_text(render(blocks, title="Call sheet"), encoding="utf-8")
    return path


def test_twelve_athletes_fit_one_screen(browser, page_path):
    page = opened(browser, page_path, width=1100)
    assert page.evaluate("document.querySelector('main').getBoundingClientRect().height") <= 800


@pytest.mark.parametrize(
    ("width", "scheme"), [(390, "light"), (390, "dark"), (1100, "light"), (1100, "dark")]
)
def test_it_can_be_read_by_everybody_and_scrolls_nowhere_sideways(browser, page_path, width, scheme):
    page = opened(browser, page_path, width=width, scheme=scheme)
    assert page.evaluate("document.documentElement.scrollWidth") == width
    found = Axe().run(page).response["violations"]
    assert [(v["id"], [n["html"] for n in v["nodes"]]) for v in found] == []


def test_it_prints_on_one_sheet(browser, page_path, tmp_path):
    page = opened(browser, page_path, width=1100)
    page.pdf(path=tmp_path / "sheet.pdf", prefer_css_page_size=True)
    assert (tmp_path / "sheet.pdf").read_bytes().count(b"/Type /Page\n") == 1
