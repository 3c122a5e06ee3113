"""A threshold that was withdrawn is told on and about every page that used it."""

from datetime import date

import pytest
from rosters import make_roster

from coachlib.analysis.zones.plan import withdrawn
from coachlib.files.roster.folder import open_roster
from coachlib.jobs.fingerprint import fingerprint
from coachlib.jobs.letters import BOOK, make_letter
from coachlib.jobs.publishing import Page, publish, standing
from coachlib.jobs.withdrawn import pages_showing, withdrawn_on
from coachlib.panels.choosing.standing import withdraw_chosen
from coachlib.records.athlete import Athlete
from coachlib.records.thresholds import Threshold
from coachlib.report.words.catalogue import whole

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


def made_before(roster, week):
    """A letter that stands, made from what there is now."""
    own = roster.athlete("anna")
    told = {"which": "first", "on": "2026-10-05", "hr_bpm": 158.0}
    numbers = {"thresholds": [{"threshold": told}], "page_sha256": ""}
    made_from = fingerprint(roster, [own], BOOK, week)
    publish(
        Page(name=week, title="x", blocks=("<h1>A</h1>",), numbers=numbers, made_from=made_from), own, roster
    )


def test_the_table_of_letters_names_what_still_shows_it(roster):
    made_before(roster, "2026-W41")
    roster.athlete("anna").withdraw_threshold("first", ON)
    fresh = open_roster(roster.path)
    past = make_letter(fresh, fresh.athlete("anna"), "2026-W41", runner=None, is_past=True)
    assert past.unchanged
    assert (
        "since then athlete.toml changed, and it shows the first threshold of 5 October 2026, withdrawn"
        in past.remarks
    )
    assert "zones.html shows the first threshold of 5 October 2026, withdrawn: make it anew" in past.remarks
    made_before(fresh, "2026-W42")
    again = make_letter(fresh, fresh.athlete("anna"), "2026-W42", runner=None)
    assert "zones.html shows the first threshold of 5 October 2026, withdrawn: make it anew" in again.remarks


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
