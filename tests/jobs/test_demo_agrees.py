"""Over the demo's last weeks letter, call sheet, protocol sheet and the coach's note never contradict one another."""

import re
from dataclasses import dataclass

import pytest
from demo.make import ROOT

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.call_sheet import call_sheet
from coachlib.analysis.roster.one_thing import OneThing, one_thing
from coachlib.files.roster.folder import open_roster
from coachlib.jobs.field_tests.drift_tests import read_drift_tests, series_of_tests
from coachlib.jobs.history import week_of_athlete
from coachlib.report.first_threshold.protocol_sheet import protocol_of, protocol_sheet
from coachlib.report.letter.letter import next_thing

WEEKS = ("2026-W45", "2026-W46", "2026-W47")
#: And the week in which somebody is newly back.
CASES = [
    ("tobin", "2026-W43"),
    *((slug, w) for slug in sorted(p.parent.name for p in ROOT.glob("*/athlete.toml")) for w in WEEKS),
]
#: Reasons on the call sheet that end in a test.
ASK_FOR_A_TEST = {"threshold in doubt", "threshold untested", "threshold stale", "test due"}
#: Things in the letter with which no test goes.
INSTEAD = {
    "emergency number or physician", "see a physician first", "rest until well", "rest what is hurt",
    "leave out what hurts", "gates at each session", "rest, then the gates", "ask a physician first",
    "three easy sessions first",
}  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Told:
    """What one athlete and the coach are told about one week."""

    athlete: AthleteWeek
    thing: OneThing
    reasons: frozenset[str]
    letter: str
    sheet: str
    note: str


@pytest.fixture(scope="module")
def told(tmp_path_factory, demo_copy):
    """Everything that is told, by athlete and week."""
    roster = open_roster(demo_copy(tmp_path_factory.mktemp("agree") / "athletes_demo"))
    tests = {slug: read_drift_tests(roster, roster.athlete(slug)).tests for slug, _ in CASES}
    return {(slug, week): _told(roster, slug, week, tests[slug]) for slug, week in CASES}


def _told(roster, slug, week, tests) -> Told:
    found = week_of_athlete(roster, roster.athlete(slug), week)
    person = found.week.athlete
    (entry,) = call_sheet([found], settings=roster.settings.call_sheet).in_order
    series = series_of_tests([t for t in tests if t.on <= found.last_day], person, criterion_pct=5.0)
    against = found.against_test()
    return Told(
        athlete=found,
        thing=one_thing(found),
        reasons=frozenset(r.code.name for r in entry.reasons),
        letter=_plain(next_thing(found)),
        sheet=_plain(protocol_sheet(protocol_of(series, athlete=person.name, coach="", against=against))),
        note=found.week.note or "",
    )


def _plain(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<style>.*?</style>|<[^>]+>", " ", page).replace("\u00a0", " "))


def outputs(text: str) -> set[str]:
    """Power and speed that a text names."""
    return {
        f"{n} {'W' if unit.startswith('w') else unit}"
        for n, unit in re.findall(r"(\d+(?:\.\d+)?) (watts|W|km/h)\b", text)
    }


def sentences_on_a_test(note: str) -> str:
    """What a coach's note says of a test that is ahead: whole paragraphs, since a setting stands beside the word."""
    return " ".join(p for p in note.split("\n\n") if re.search(r"\bask(ed)? for a test|one steady hour", p))


@pytest.mark.parametrize(("slug", "week"), CASES)
def test_no_test_is_asked_in_one_place_and_rest_in_another(told, slug, week):
    said = told[slug, week]
    may = "No test for now" not in said.sheet
    if said.thing.what.name in INSTEAD:
        assert not may
        assert not said.reasons & ASK_FOR_A_TEST
        assert not outputs(sentences_on_a_test(said.note))
    if said.thing.is_test and said.thing.what.name != "shorter test instead":
        assert may
        assert said.reasons & ASK_FOR_A_TEST
    assert ("back from illness" in said.reasons) == (said.thing.what.name == "gates at each session")


@pytest.mark.parametrize(("slug", "week"), CASES)
def test_the_setting_is_the_same_wherever_one_is_named(told, slug, week):
    said = told[slug, week]
    on_sheet, in_note = outputs(said.sheet), outputs(sentences_on_a_test(said.note))
    assert in_note <= outputs(said.letter)
    if said.thing.what.name == "repeat the steady test":
        assert outputs(said.letter) <= on_sheet
        target = said.athlete.next_test
        assert target is None or on_sheet or f"About {target.target_bpm:.0f} bpm" in said.sheet
        assert on_sheet or f"near {target.target_bpm:.0f} bpm" in said.letter


def test_somebody_is_newly_back_and_is_tested_weeks_later(told):
    then, now = told["tobin", "2026-W43"], told["tobin", "2026-W47"]
    assert then.athlete.newly_back is not None
    assert "back from illness" in then.reasons
    assert "No test for now" in then.sheet
    assert now.thing.what.name == "repeat the steady test"
    assert len(outputs(now.letter)) == 1
    assert outputs(now.letter) <= outputs(now.sheet)
    assert outputs(sentences_on_a_test(now.note)) == outputs(now.letter)
