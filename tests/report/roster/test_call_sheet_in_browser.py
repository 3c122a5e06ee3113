"""The call sheet of twelve athletes as a coach opens it: one screen, readable on a phone, one sheet of paper."""

from datetime import date

import pytest
from axe_playwright_python.sync_playwright import Axe
from report.page.test_browser import opened

from coachlib.analysis.remarks.open_remarks import Remark
from coachlib.analysis.roster.call_sheet import CallEntry, CallSheet, Reason
from coachlib.analysis.roster.reasons.registry import all_reasons
from coachlib.measures.common.codes import code
from coachlib.records.roster import RosterSettings
from coachlib.report.page.page import render
from coachlib.report.roster import call_sheet

pytestmark = pytest.mark.browser


def on(day):
    return date(2026, 11, day)


def why(name, where, recording="", quoted="", group=None, **values):
    kind = all_reasons()[name]
    return Reason(
        kind=name,
        group=group or kind.group,
        code=code(name, **values),
        where=where,
        recording=recording,
        quoted=quoted,
    )


LETTER = "weekly letter"
STRAP = why("strap failing", "recording", "2026-11-18_running", on=on(18), missing_pct=34.0, n_sessions=1)
STALE = why("threshold stale", "first_threshold", which="first", hr_bpm=151.0, weeks=11.0, allowed_weeks=8)
CHANGE = {
    "trend": "running",
    "hr_bpm": 141.0,
    "unit": "m/s",
    "since_on": date(2026, 9, 14),
    "compared_with": "",
}
#: What twelve athletes may give on a bad Monday.
TALK = {
    "Ansel Grubb": [
        why("chest pain or collapse", "diary", quoted="Chest tight on the second hill, strap was fine.", on=on(19),
            words="Chest tight on the second hill, strap was fine.", n_more=0),
        STRAP,
    ],
    "Bettina Marrow": [why("no data", "recordings", days=12, last_on=on(10))],
    "Corin Vash": [
        why("trend down", LETTER, size=0.25, low=0.11, high=0.39, call="likely", n_weeks=3, sleep_h=5.9, n_unwell=2,
            load_ratio=0.7, **CHANGE),
        STALE,
    ],
    "Dagny Lorimer": [
        why("easy days not easy", LETTER, above_pct=38.0, low_pct=31.0, high_pct=46.0, usual_pct=11.0, may_be_tested=True),
        why("drift unusually high", "recording", "2026-11-19_running", on=on(19), drift_pct=6.6, low_pct=4.7,
            high_pct=8.5, at_constant_output=False, window_s=2700.0, hourly_pct=8.8, usual_hourly_pct=2.1, temperature_c=27.0),
    ],
    "Edda Quill": [why("load outside own range", LETTER, by="heart rate", load=913.0, usual=380.0, low=190.0, high=805.0)],
}  # fmt: skip
LOOK = {
    "Falk Osterby": [
        why("decisions pending", "recording", "2026-11-21_treadmill", on=on(21), kind="drift test", n_suggestions=2)
    ],
    "Greta Simmonds-Halloway": [why("trend up", LETTER, size=0.28, low=0.17, high=0.42, call="clear", may_be_tested=True, **CHANGE)],
    "Hulda Prenn": [STRAP, STALE],
    "Ivo Castellan": [STALE],
}  # fmt: skip
FINE = ("Jorun Blythe", "Kester Amory", "Lina Varga")
SAID = (
    Remark(on=on(17), text="Rain sideways.", asks=False, about_health=False),
    Remark(on=on(19), text="Fog on the top, sun above it.", asks=False, about_health=False),
    Remark(on=on(22), text="Long one with the club. " * 12, asks=False, about_health=False),
)
ASKED = Remark(on=on(20), text="Can I do the test on Friday instead?", asks=True, about_health=False)


def entry(name, group, reasons=()):
    remarks = (*SAID, ASKED) if name == "Edda Quill" else SAID
    return CallEntry(
        slug=name.split()[0].lower(), name=name, group=group, reasons=tuple(reasons), remarks=remarks
    )


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


def test_it_prints_on_two_sheets_with_every_remark_open(browser, page_path, tmp_path):
    page = opened(browser, page_path, width=1100)
    page.pdf(path=tmp_path / "sheet.pdf", prefer_css_page_size=True)
    assert (tmp_path / "sheet.pdf").read_bytes().count(b"/Type /Page\n") <= 2
    page.emulate_media(media="print")
    lines = page.locator("details li .why")
    assert lines.count() > 20
    assert all(lines.nth(n).is_visible() for n in range(lines.count()))


def test_a_fold_opens_beside_its_athlete(browser, page_path):
    page = opened(browser, page_path, width=1100)
    page.locator("summary").first.click()
    assert page.locator("details[open] li .why").first.is_visible()
    assert page.evaluate("document.documentElement.scrollWidth") == 1100
