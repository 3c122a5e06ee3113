import pytest
from fitbytes import START
from rosters import fit_data, make_roster, put, wandering

from coachlib.errors import RosterProblem
from coachlib.files.roster.folder import open_roster
from coachlib.jobs.history import links_of_sheet, read_call_sheet
from coachlib.report.words import wording
from coachlib.report.words.catalogue import sentence


def test_an_unreadable_folder_stands_on_the_sheet_and_stops_nobody(tmp_path):
    folder = make_roster(tmp_path / "roster", "anna", "berta")
    put(folder / "berta", "b.fit", fit_data(wandering(2400), start=START))
    (folder / "anna/athlete.toml").write_text('schema = 1\nname = "Anna"\nzones = "three"\n')
    sheet = read_call_sheet(folder).sheet
    found = {e.slug: e.reasons[0] for e in sheet.in_order}
    assert found["anna"].kind == "unreadable"
    assert "key `zones` is" in sentence(found["anna"].code)
    assert found["berta"].kind == "test due"


def test_the_roster_says_which_reasons_are_told(tmp_path):
    folder = make_roster(tmp_path / "roster", "berta")
    put(folder / "berta", "b.fit", fit_data(wandering(2400), start=START))
    with (folder / "roster.toml").open("a") as file:
        file.write('[call_sheet]\norder = ["no data"]\nhidden = ["test due"]\n')
    assert [e.slug for e in read_call_sheet(folder).sheet.fine] == ["berta"]


def test_a_reason_that_is_none_is_refused_where_the_roster_is_opened(tmp_path):
    folder = make_roster(tmp_path / "roster", "berta")
    with (folder / "roster.toml").open("a") as file:
        file.write('[call_sheet]\nhidden = ["physician first"]\norder = ["no dat"]\n')
    with pytest.raises(RosterProblem) as refused:
        read_call_sheet(folder)
    assert str(refused.value).splitlines() == [
        'roster.toml: key `order` of [call_sheet] holds "no dat", which is no reason; did you mean "no data"?',
        'roster.toml: key `hidden` of [call_sheet] holds "physician first", which is always told; take it out of the list',
    ]


def test_a_sheet_made_after_an_athletes_letter_speaks_its_own_units(tmp_path):
    folder = make_roster(tmp_path / "roster", "berta")
    put(folder / "berta", "b.fit", fit_data(wandering(2400), start=START))
    with wording.spoken_in("imperial"):
        read_call_sheet(folder)
        assert wording.units() == "metric"


def test_nobody_on_the_roster_is_refused(tmp_path):
    with pytest.raises(RosterProblem, match="has no athletes"):
        read_call_sheet(make_roster(tmp_path / "roster"))


def test_the_sheet_leads_only_to_what_is_there_and_never_out_of_the_roster(tmp_path):
    odd = 'a "b" & c#?'
    folder = make_roster(tmp_path / "roster", "anna", odd)
    (folder / odd / "diary.csv").write_text("date\n")
    links = links_of_sheet(open_roster(folder), ["anna", odd], "2026-W41")
    assert ("anna", "weekly letter") not in links
    assert ("anna", "diary") not in links
    assert links["anna", "athlete.toml"] == "../anna/athlete.toml"
    assert links[odd, "diary"] == "../a%20%22b%22%20%26%20c%23%3F/diary.csv"
