"""Letter, call sheet and protocol sheet agree on whether a test may be asked for."""

from datetime import date

import pytest
from fitbytes import START
from rosters import DAY_S, fit_data, make_roster, put, wandering

from coachlib.analysis.roster.call_sheet import reasons_of
from coachlib.analysis.roster.one_thing import one_thing
from coachlib.files.roster.folder import open_roster
from coachlib.jobs.history import week_of_athlete
from coachlib.jobs.sheets import against_test, save_protocol_sheet
from coachlib.records.roster import TriageSettings

WEEK = "2026-W40"  # START is Saturday 3 October 2026
TODAY = date(2026, 10, 5)
ASKS = {"threshold in doubt", "threshold stale", "test due"}


def person(tmp_path, *, minutes=80, profile="", diary="", n_sessions=1):
    root = make_roster(tmp_path / "roster", "mira")
    with (root / "mira" / "athlete.toml").open("a") as file:
        file.write(profile)
    if diary:
        (root / "mira" / "diary.csv").write_text(f"date,rpe,health,remarks\n{diary}\n")
    for n in range(n_sessions):
        data = fit_data(wandering(60 * minutes, seed=n), start=START - n * DAY_S)
        put(root / "mira", f"2026-10-0{3 - n}_run.fit", data)
    folder = open_roster(root)
    return folder, folder.athlete("mira")


def heading(path):
    page = path.read_text("utf-8")
    return page.partition("<h1>")[2].partition("</h1>")[0]


def test_who_is_well_and_trained_is_asked_everywhere(tmp_path):
    folder, own = person(tmp_path)
    monday = week_of_athlete(folder, own, WEEK)
    assert one_thing(monday).is_test
    assert ASKS & {r.kind for r in reasons_of(monday, TriageSettings())}
    assert heading(save_protocol_sheet(folder, own, today=TODAY)) == "A steady test"


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"diary": "2026-10-03,3,ill,fever"}, "no test while ill"),
        ({"diary": "2026-10-03,3,,felt chest pain on the hill"}, "no test before a physician"),
        (
            {"profile": '[[block]]\nfrom = 2026-09-20\nto = 2026-10-01\nkind = "ill"\n', "n_sessions": 2},
            "no test newly back",
        ),
        ({"profile": '[[block]]\nfrom = 2026-06-01\nkind = "pregnant"\n'}, "no test in pregnancy"),
        ({"profile": "birth_year = 2011\n"}, "no test under age"),
        ({"profile": "heart_rate_medicine = true\n"}, "no test under medicine"),
        ({"minutes": 40}, "no session as long"),
    ],
)
def test_nobody_is_asked_on_one_page_what_another_forbids(tmp_path, said, why):
    folder, own = person(tmp_path, **said)
    monday = week_of_athlete(folder, own, WEEK)
    assert why in [c.name for c in against_test(folder, own, TODAY)]
    thing = one_thing(monday)
    assert not thing.is_test or thing.is_shorter
    assert not ASKS & {r.kind for r in reasons_of(monday, TriageSettings())} or why == "no session as long"
    asked = "A shorter steady test" if thing.is_shorter else "No test for now"
    assert heading(save_protocol_sheet(folder, own, today=TODAY)) == asked


def test_under_medicine_without_a_date_the_call_sheet_asks_for_it_and_gives_no_heart_rate_advice(tmp_path):
    threshold = '[[threshold]]\nwhich = "first"\non = 2026-09-01\nhr_bpm = 120\n'
    diary = "2026-10-03,3,,easy run"
    folder, own = person(tmp_path, profile=threshold, diary=diary)
    kinds = {r.kind for r in reasons_of(week_of_athlete(folder, own, WEEK), TriageSettings())}
    assert "medicine without dates" not in kinds
    path = own.path / "athlete.toml"
    path.write_text(path.read_text().replace("[[threshold]]", "heart_rate_medicine = true\n[[threshold]]"))
    kinds = {r.kind for r in reasons_of(week_of_athlete(folder, own, WEEK), TriageSettings())}
    assert "medicine without dates" in kinds
    assert not kinds & (ASKS | {"easy days not easy", "drift unusually high"})
