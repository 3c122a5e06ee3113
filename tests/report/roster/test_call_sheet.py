from datetime import date

from coachlib.analysis.remarks.open_remarks import Remark
from coachlib.analysis.roster.call_sheet import CallEntry, CallSheet, Reason
from coachlib.measures.common.codes import code
from coachlib.records.roster import RosterSettings
from coachlib.report.page.marks import BLOCK_TYPE, DESK_TYPE, NUMBERS_TYPE
from coachlib.report.page.places import DESK_VARIABLE
from coachlib.report.roster import call_sheet
from coachlib.report.words.roster import in_short

SILENT = code("no data", days=9, last_on=date(2026, 11, 13))
DUE = code("test due", n_tests=0, is_bound=False)
SUNDAY = date(2026, 11, 22)


def reason(found=SILENT, group="talk to", where="recordings", quoted=""):
    return Reason(kind=found.name, group=group, code=found, where=where, quoted=quoted)


def entry(name, *reasons, group="fine", remarks=()):
    return CallEntry(slug=name.lower(), name=name, group=group, reasons=reasons, remarks=tuple(remarks))


def remark(text, on=SUNDAY, asks=False, about_health=False):
    return Remark(on=on, text=text, asks=asks, about_health=about_health)


SHEET = CallSheet(
    talk_to=(entry("Anna", reason(), reason(DUE, "look at", "first_threshold"), group="talk to"),),
    look_at=(entry("Berta", reason(DUE, "look at", "first_threshold"), group="look at"),),
    fine=(entry("Cleo"), entry("Dora")),
)


def test_everybody_stands_once_in_order_with_every_reason_and_its_way_out():
    page = call_sheet.groups(SHEET)
    order = [page.index(word) for word in ("Talk to", "Anna", "Look at", "Berta", "Fine", "Cleo and Dora")]
    assert order == sorted(order)
    assert [page.count(name) for name in ("Anna", "Berta", "Cleo", "Dora")] == [1, 1, 1, 1]
    assert "no recording for nine days, the last on Friday 13 November" in page
    assert page.count("no first threshold has been accepted") == 2
    assert page.count("ask what happened") == 1
    assert "first threshold" in page


def test_long_and_hostile_words_stay_short_and_harmless():
    words = "<b>wrote</b>\n" + "ow " * 400 + "end"
    hurt = reason(
        code("illness or pain", on=SUNDAY, health="pain", words=words, n_days=1, is_over=False), quoted=words
    )
    person = entry("Anna", hurt, group="talk to", remarks=[remark(words, about_health=True)])
    page = call_sheet.groups(CallSheet(talk_to=(person,), look_at=(), fine=()))
    assert "<b>" not in page
    assert 'class="why words"' in page
    open_part, folded = page.split("<details>")
    assert "…" in open_part
    assert len(open_part) < 1000
    assert " ow end”" in folded  # all of it is there to read


def test_a_roster_without_a_reason_says_so():
    page = call_sheet.groups(CallSheet(talk_to=(), look_at=(), fine=(entry("Cleo"),)))
    assert "Everybody is fine" in page
    assert "Talk to" not in page


def test_the_head_names_roster_and_week_and_the_numbers_keep_the_order():
    assert "16 to 22 November 2026" in call_sheet.head("2026-W47", RosterSettings(name="Club"))
    kept = call_sheet.kept("2026-W47", SHEET)._repr_mimebundle_()[NUMBERS_TYPE]
    assert kept["in_order"][0]["reasons"][0]["sentence"].startswith("no recording for nine days")
    assert kept["in_order"][0]["reasons"][0]["way_out"].startswith("ask what happened")
    assert [e["slug"] for e in kept["in_order"]] == ["anna", "berta", "cleo", "dora"]


def test_names_and_places_lead_where_there_is_something():
    links = {("anna", "weekly letter"): "../anna/x.html", ("anna", "recordings"): "../a%26b/recordings"}
    page = call_sheet.groups(SHEET, links)
    assert '<h3><a href="../anna/x.html">Anna</a></h3>' in page
    assert '<a href="../a%26b/recordings">recordings</a>' in page
    assert "<h3>Berta</h3>" in page
    assert page.count("<a ") == 2  # her name and the reason settled in the recordings
    assert "<a " not in call_sheet.groups(SHEET)


def test_at_the_desk_it_leads_to_pages_in_jupyterlab_to_the_workbooks_behind_them(monkeypatch):
    lost = code("strap failing", on=date(2026, 11, 18), missing_pct=34.0, n_sessions=1)
    strap = Reason(kind=lost.name, group="look at", code=lost, where="recording", recording="2026-11-18_run")
    sheet = CallSheet(talk_to=(), look_at=(entry("Berta", strap, group="look at"),), fine=())
    monkeypatch.setenv(DESK_VARIABLE, "http://127.0.0.1:8888")
    shown = call_sheet.groups(sheet, week="2026-W47")._repr_mimebundle_()
    page = "recording?athlete=berta&amp;recording=2026-11-18_run&amp;week=2026-W47"
    assert f'<a href="/desk/{page}">recording: 2026-11-18_run</a>' in shown[DESK_TYPE]
    assert '<a href="/desk/letter?athlete=berta&amp;week=2026-W47">Berta</a>' in shown[DESK_TYPE]
    assert f'<a href="http://127.0.0.1:8888/desk/behind/{page}">' in shown["text/html"]
    assert "recording: 2026-11-18_run" in shown[BLOCK_TYPE]
    assert "<a " not in shown[BLOCK_TYPE]


def test_where_no_desk_is_served_no_link_leads_nowhere(monkeypatch):
    monkeypatch.delenv(DESK_VARIABLE, raising=False)
    shown = call_sheet.groups(SHEET, week="2026-W47")._repr_mimebundle_()
    assert "<a " not in shown["text/html"]


def sheet_of(*remarks, reasons=()):
    person = entry("Anna", *reasons, group="talk to" if reasons else "fine", remarks=remarks)
    return call_sheet.groups(
        CallSheet(talk_to=(person,) if reasons else (), look_at=(), fine=() if reasons else (person,))
    )


def test_questions_and_health_stand_open_and_the_rest_is_folded_behind_its_number():
    page = sheet_of(
        remark("Cake."), remark("Sun & wind."), remark("Test soon?", asks=True), remark("Knee.", about_health=True),
        reasons=[reason()],
    )  # fmt: skip
    open_part, folded = page.split("<details>")
    assert "Sunday 22 November: “Test soon?”" in open_part
    assert "“Knee.”" in open_part
    assert folded.startswith("<summary>2 more remarks</summary>")
    assert "“Cake.”" in folded
    assert "“Sun &amp; wind.”" in folded
    assert "“Knee.”" not in folded


def test_what_a_reason_quotes_in_full_is_not_said_twice():
    asked = reason(code("question", on=SUNDAY, words="Test soon?", n_more=0), quoted="Test soon?")
    page = sheet_of(remark("Test soon?", asks=True), reasons=[asked])
    assert page.count("Test soon?") == 1
    assert "<details>" not in page


def test_a_remark_of_which_a_reason_shows_one_sentence_can_be_read_in_full():
    flagged = reason(
        code("physician first", on=SUNDAY, words="Dizzy.", n_more=0), where="diary", quoted="Dizzy."
    )
    page = sheet_of(remark("Dizzy. Then fine.", about_health=True), reasons=[flagged])
    assert "“Dizzy.”" in page
    assert "“Dizzy. Then fine.”" in page


def test_who_is_fine_can_be_read_too():
    page = sheet_of(remark("Cake."), remark("Snow."))
    assert "<summary>2 remarks</summary>" in page
    assert "Anna, Sunday 22 November: “Cake.”" in page


def test_in_a_few_words():
    assert in_short("talk to", ["no data", "test due", "heat"]) == "talk to: no data and two more"
