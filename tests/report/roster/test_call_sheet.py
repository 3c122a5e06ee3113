from coachlib.analysis.roster.call_sheet import CallEntry, CallSheet, Reason
from coachlib.records.roster import RosterSettings
from coachlib.report.page.marks import BLOCK_TYPE, NUMBERS_TYPE
from coachlib.report.roster import call_sheet


def reason(kind="no data", group="talk to", sentence="no recording for 9 days", where="recordings"):
    return Reason(kind=kind, group=group, sentence=sentence, settle="ask what happened", where=where)


def entry(name, *reasons, group="fine"):
    return CallEntry(slug=name.lower(), name=name, group=group, reasons=reasons)


SHEET = CallSheet(
    talk_to=(entry("Anna", reason(), reason("test due", "look at", "no first threshold"), group="talk to"),),
    look_at=(entry("Berta", reason("test due", "look at", "none", "first_threshold"), group="look at"),),
    fine=(entry("Cleo"), entry("Dora")),
)


def test_everybody_stands_once_in_order_with_every_reason_and_its_way_out():
    page = call_sheet.groups(SHEET)
    order = [page.index(word) for word in ("Talk to", "Anna", "Look at", "Berta", "Fine", "Cleo and Dora")]
    assert order == sorted(order)
    assert [page.count(name) for name in ("Anna", "Berta", "Cleo", "Dora")] == [1, 1, 1, 1]
    assert "no recording for 9 days" in page
    assert "no first threshold" in page
    assert page.count("ask what happened") == 3
    assert "first threshold" in page


def test_long_and_hostile_words_stay_short_and_harmless():
    hurt = reason("illness or pain", sentence="<b>wrote</b> pain\n" + "ow " * 400)
    page = call_sheet.groups(CallSheet(talk_to=(entry("Anna", hurt, group="talk to"),), look_at=(), fine=()))
    assert "<b>" not in page
    assert "…" in page
    assert len(page) < 800
    assert 'class="why words"' in page


def test_a_roster_without_a_reason_says_so():
    page = call_sheet.groups(CallSheet(talk_to=(), look_at=(), fine=(entry("Cleo"),)))
    assert "Everybody is fine" in page
    assert "Talk to" not in page


def test_the_head_names_roster_and_week_and_the_numbers_keep_the_order():
    assert "16 to 22 November 2026" in call_sheet.head("2026-W47", RosterSettings(name="Club"))
    kept = call_sheet.kept("2026-W47", SHEET)._repr_mimebundle_()[NUMBERS_TYPE]
    assert [e["slug"] for e in kept["in_order"]] == ["anna", "berta", "cleo", "dora"]


def test_names_and_places_lead_where_there_is_something():
    links = {("anna", "weekly letter"): "../anna/x.html", ("anna", "recordings"): "../a%26b/recordings"}
    page = call_sheet.groups(SHEET, links)
    assert '<h3><a href="../anna/x.html">Anna</a></h3>' in page
    assert '<a href="../a%26b/recordings">recordings</a>' in page
    assert "<h3>Berta</h3>" in page
    assert page.count("<a ") == 3  # her name and the two reasons settled in the recordings
    assert "<a " not in call_sheet.groups(SHEET)


def test_on_the_screen_it_leads_to_the_pages_of_the_desk():
    strap = Reason(
        kind="strap failing", group="look at", sentence="heart rate missing", settle="wet the strap",
        where="recording", recording="2026-11-18_run",
    )  # fmt: skip
    sheet = CallSheet(talk_to=(), look_at=(entry("Berta", strap, group="look at"),), fine=())
    shown = call_sheet.groups(sheet, week="2026-W47")._repr_mimebundle_()
    page = "/desk/recording?athlete=berta&amp;recording=2026-11-18_run&amp;week=2026-W47"
    assert f'<a href="{page}">recording: 2026-11-18_run</a>' in shown["text/html"]
    assert '<a href="/desk/letter?athlete=berta&amp;week=2026-W47">Berta</a>' in shown["text/html"]
    assert "recording: 2026-11-18_run" in shown[BLOCK_TYPE]
    assert "<a " not in shown[BLOCK_TYPE]
