"""A threshold that was withdrawn is told on and about every page that used it."""

from datetime import date

import pytest
from rosters import make_roster

from coachlib.analysis.zones.plan import withdrawn
from coachlib.files.roster.folder import open_roster
from coachlib.jobs.checking import check_roster
from coachlib.jobs.publishing import Page, publish, standing
from coachlib.jobs.withdrawn import pages_showing, withdrawn_on
from coachlib.panels.choosing.standing import withdraw_chosen
from coachlib.records.athlete import Athlete
from coachlib.records.thresholds import Threshold
from coachlib.report.words.catalogue import sentence, way_out, whole

ON = date(2026, 10, 5)
FIRST = Threshold(which="first", on=ON, hr_bpm=158)


@pytest.fixture
def roster(tmp_path):
    roster = open_roster(make_roster(tmp_path / "roster", "anna", "berta"))
    own = roster.athlete("anna")
    own.accept_threshold(FIRST)
    told = {"which": "first", "on": "2026-10-05", "hr_bpm": 158.0}
    blocks = ("<h1>Anna</h1>",)
    letter = {"thresholds": [{"threshold": told}]}
    publish(Page(name="2026-W41", title="x", blocks=blocks, numbers=letter, made_from={"x": 1}), own, roster)
    publish(Page(name="2026-W40", title="x", blocks=blocks, numbers={"thresholds": []}), own, roster)
    publish(Page(name="zones", title="x", blocks=blocks, made_from={"thresholds": [told]}), own, roster)
    return roster


def test_withdrawing_names_the_pages_that_show_it(roster):
    said = withdraw_chosen(roster, roster.athlete("anna"), "first", (ON, None))
    assert said.endswith("2026-W41 and zones still show it; make anew what still matters.")
    own = roster.athlete("anna")
    assert pages_showing(roster, own, FIRST) == ("2026-W41", "zones")
    [gone] = withdrawn_on(standing("2026-W41", own, roster), own.athlete())
    assert (gone.on, gone.withdrawn) == (ON, True)


def test_the_check_names_them_until_they_are_made_anew(roster):
    roster.athlete("anna").withdraw_threshold("first", ON)
    found = {f.file: f.code for f in check_roster(open_roster(roster.path)) if "withdrawn" in f.code.name}
    assert set(found) == {"2026-W41.html", "zones.html"}
    assert (
        sentence(found["zones.html"]) == "it shows the first threshold of 5 October 2026, which was withdrawn"
    )
    assert "--week 2026-W41 --again" in way_out(found["2026-W41.html"])
    assert "at the desk" in way_out(found["zones.html"])


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ([], [FIRST]),
        ([{"on": date(2026, 9, 1)}], [FIRST]),
        ([{"on": date(2026, 11, 1)}], []),
        ([{"on": ON}], []),
        ([{"on": date(2026, 11, 1), "withdrawn": True}], [date(2026, 11, 1)]),
        ([{"on": date(2026, 11, 1), "sport": "cycling"}], [FIRST]),
        ([{"on": date(2026, 12, 24)}], [FIRST]),
    ],
)
def test_it_is_told_until_another_takes_its_place(more, told):
    others = [Threshold(which="first", hr_bpm=150, **each) for each in more]
    gone = FIRST.model_copy(update={"withdrawn": True})
    for thresholds in ((gone, *others), (*others, gone)):
        found = Athlete(slug="a", name="A", thresholds=thresholds).withdrawn_on(date(2026, 12, 1))
        assert [t.on for t in found] == [t.on if isinstance(t, Threshold) else t for t in told]


def test_its_sentence():
    assert whole(withdrawn(FIRST)) == (
        "The first threshold of 5 October 2026, 158 bpm, was withdrawn: what earlier pages say by it holds no longer."
    )
