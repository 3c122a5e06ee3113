"""An athlete in miles: every page says miles, feet and degrees Fahrenheit; files and numbers stay metric."""

import html
import re
import shutil
from datetime import date
from pathlib import Path

import ipywidgets
import pytest

from coachlib.analysis.first_threshold.series import analyse_series
from coachlib.errors import BadArgument
from coachlib.files.roster.diarytext import read_diary
from coachlib.files.roster.folder import open_roster
from coachlib.files.roster.forms import fill
from coachlib.jobs.field_tests.drift_tests import read_drift_tests, series_of_tests
from coachlib.jobs.history import read_athlete_week, read_call_sheet
from coachlib.jobs.sheets import save_protocol_sheet, save_zone_sheet
from coachlib.panels.drift_test.page import drift_test_page
from coachlib.panels.first_threshold.machine import MachineFields
from coachlib.panels.first_threshold.panel import first_threshold_panel
from coachlib.panels.recording.panel import recording_panel
from coachlib.panels.recording.trace_editor import stage_texts
from coachlib.panels.second_threshold.panel import second_threshold_panel
from coachlib.panels.zones.page import read_known, zone_plan
from coachlib.records.decisions import Stage
from coachlib.records.machine import USUAL_MPH, Treadmill
from coachlib.records.units import typed_value
from coachlib.report.first_threshold.series_tests_view import conditions
from coachlib.report.letter import letter
from coachlib.report.letter.day_rows import days
from coachlib.report.letter.how_we_know import how_we_know
from coachlib.report.roster import call_sheet
from coachlib.report.words import wording
from coachlib.report.words.machine_words import grid_of

DEMO = Path(__file__).parents[2] / "athletes_demo"
#: What stands nowhere on a page in miles.
METRIC = re.compile(r"\bkm\b|km/h|per km|kilomet|\u00b0C|degC|Celsius|\d\s?m up\b")


@pytest.fixture(autouse=True)
def _metric_again():
    yield
    wording.speak("metric")


@pytest.fixture(scope="module")
def roster(tmp_path_factory):
    """Ilva, a runner on belt and road, in miles; beside her Tobin in kilometres."""
    folder = tmp_path_factory.mktemp("miles") / "roster"
    folder.mkdir()
    shutil.copy(DEMO / "roster.toml", folder)
    for slug in ("ilva", "tobin"):
        shutil.copytree(DEMO / slug, folder / slug, ignore=shutil.ignore_patterns("reports"))
    profile = folder / "ilva" / "athlete.toml"
    belt = profile.read_text().partition("# the club's belt")[0]
    profile.write_text(belt.replace("schema = 1\n", 'schema = 1\nunits = "imperial"\n'))
    for note in (folder / "ilva" / "notes").iterdir():
        note.unlink()
    return folder


def words(*blocks):
    """What is read: without marks, without the athlete's own words, which stay as they were written."""
    text = " ".join(str(block) for block in blocks)
    text = re.sub(r'<(\w+)[^>]*class="[^"]*\bwords\b[^"]*"[^>]*>.*?</\1>', " ", text, flags=re.DOTALL)
    return html.unescape(re.sub(r"<style.*?</style>|<[^>]+>", " ", text, flags=re.DOTALL))


def letter_of(roster, athlete, week):
    monday = read_athlete_week(roster, athlete, week)
    this, season = monday.week, monday.season
    return words(
        letter.head(this), letter.lead(this), letter.next_thing(monday), letter.evidence(this, season),
        letter.season(this, season), days(this), how_we_know(this, season),
    )  # fmt: skip


@pytest.mark.parametrize("week", ["2026-W47", "2026-W40"])
def test_the_letter_in_miles_has_no_kilometre(roster, week):
    told = letter_of(roster, "ilva", week)
    assert not METRIC.findall(told)
    assert "mi" in told.split()
    assert "mph" in told or "per mile" in told


def test_the_next_letter_in_kilometres_has_no_mile(roster):
    letter_of(roster, "ilva", "2026-W47")
    told = letter_of(roster, "tobin", "2026-W47")
    assert not re.search(r"\bmi\b|mph|per mile|\bft\b|\u00b0F", told)
    assert re.search(r"\bkm\b", told)


def test_the_sheets_in_miles(roster):
    folder = open_roster(roster)
    own = folder.athlete("ilva")
    protocol = save_protocol_sheet(folder, own).read_text()
    zones = save_zone_sheet(folder, own, zone_plan(read_known(folder, own))).read_text()
    assert not METRIC.findall(words(protocol))
    assert not METRIC.findall(words(zones))
    assert "mph" in words(protocol)
    assert "per mile" in words(zones)
    assert wording.units() == "metric"


def test_the_next_test_lies_on_a_belt_that_counts_tenths_of_a_mile(roster):
    folder = open_roster(roster)
    own = folder.athlete("ilva")
    found = read_drift_tests(folder, own)
    series = series_of_tests(found.tests, found.athlete, criterion_pct=5.0, today=date(2026, 11, 30))
    speed_mph = series.next_test.settings.speed_mps * 3600 / 1609.344
    assert speed_mph == pytest.approx(round(speed_mph, 1), abs=1e-6)


def test_the_pages_of_the_desk_in_miles(roster):
    pages = drift_test_page(roster, "ilva")
    told = words(
        pages.finding,
        pages.validity,
        pages.window_map,
        pages.other_opinions,
        pages.conditions,
        pages.cautions,
    )
    told += words(first_threshold_panel(roster, "ilva", interactive=False).page)
    told += words(second_threshold_panel(roster, "ilva", interactive=False).page)
    found = read_drift_tests(open_roster(roster), open_roster(roster).athlete("ilva"))
    told += words(conditions(analyse_series(found.tests, found.athlete, criterion_pct=5.0)))
    assert not METRIC.findall(told)
    assert "\u00b0F" in told


def test_the_call_sheet_speaks_to_each_in_their_own(roster):
    monday = read_call_sheet(roster, "2026-W47")
    entries = {e.slug: e for e in monday.sheet.in_order}
    assert (entries["ilva"].units, entries["tobin"].units) == ("imperial", "metric")
    told = words(call_sheet.groups(monday.sheet, monday.links))
    assert not METRIC.findall(told.partition("Ilva")[2].partition("Tobin")[0])


def test_the_editors_stages_are_typed_and_told_in_miles_an_hour(roster):
    panel = recording_panel(roster, "ilva")
    scene, state = panel.editor.scene, panel.subject.state
    assert scene["speed_unit"] == "mph"
    assert all("km/h" not in lane["label"] for lane in scene["lanes"])
    while state.decisions.stages:
        state.apply("remove_stage", stage=0)
    state.apply("add_stage")
    state.apply("type_stage", stage=0, name="speed_mps", text="6,2")
    assert state.decisions.stages[0].speed_mps == pytest.approx(6.2 * 1609.344 / 3600, rel=1e-12)
    assert stage_texts(state.decisions.stages[0])[2] == "6.2"
    assert "6.2 mph" in state.changes()[-1]
    state.apply("type_stage", stage=0, name="speed_mps", text="10 km/h")
    assert state.decisions.stages[0].speed_mps == pytest.approx(10 / 3.6)


def test_the_belt_is_typed_in_miles_an_hour_and_kept_as_files_have_it():
    wording.speak("imperial")
    fields = MachineFields(on_change=lambda _: None, keep=ipywidgets.Button())
    fields.show(Treadmill(**USUAL_MPH))
    assert [fields.numbers[f"speed_{end}_kmh"].value for end in ("low", "high", "step")] == [2, 12, 0.1]
    fields.numbers["speed_high_kmh"].value = 10.0
    assert fields.machine.speed_high_mps == pytest.approx(10 * 1609.344 / 3600, rel=1e-6)
    assert "2 to 10 mph in steps of 0.1" in grid_of(fields.machine)


def test_a_file_may_say_the_unit_of_what_is_typed():
    read = read_diary(b"date,temperature_c\n2026-10-05,70 F\n2026-10-06,21\n", "diary.csv")
    assert [row.temperature_c for row in read.rows] == [pytest.approx(21.1111, abs=1e-4), 21.0]
    stage = fill(Stage, {"start_s": 0, "stop_s": 60, "speed_kmh": "6.2 mph"}).record
    assert stage.speed_mps == pytest.approx(2.771648, abs=1e-9)
    assert fill(Stage, {"start_s": 0, "stop_s": 60, "speed_kmh": "6.2 knots"}).problems == (
        'key `speed_kmh` is "6.2 knots"; allowed: a number from 0 to 108 km/h',
    )


@pytest.mark.parametrize(
    ("text", "quantity", "inside"),
    [
        # 5280 feet of 0.3048 m, by definition
        ("1 mi", "distance", 1609.344),
        ("5280 ft", "distance", 1609.344),
        ("1200", "distance", 1200.0),
        ("60 mph", "speed", 26.8224),
        ("8:00 per mile", "speed", 1609.344 / 480),
        ("5:00/km", "speed", 1000 / 300),
        ("212 \u00b0F", "temperature", 100.0),
        ("32 F", "temperature", 0.0),
        ("\u221240 F", "temperature", -40.0),
    ],
)
def test_what_is_typed_is_brought_inside_by_definition(text, quantity, inside):
    assert typed_value(text, quantity) == pytest.approx(inside, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize(
    "text", ["", "fast", "6.2 knots", "8:75 per mile", "0:00 per km", "1e5", "6.2.1", "nan"]
)
def test_what_is_no_speed_is_refused_in_a_sentence(text):
    with pytest.raises(BadArgument, match="was typed; needed is a speed such as"):
        typed_value(text, "speed")


def test_a_page_says_the_definitions_back():
    with wording.spoken_in("imperial"):
        assert wording.distance(1609.344) == "1.0 mi"
        assert wording.height(304.8) == "1,000 ft"
        assert wording.temperature(100.0) == "212 \u00b0F"
        assert wording.pace(1609.344 / 480) == "8:00 per mile"
        assert (
            wording.setting(speed_mps=6.25 * 1609.344 / 3600, grade=0.03, power_w=None) == "6.25 mph at 3 %"
        )
        assert wording.rowing_pace(4.0) == "2:05 per 500 m"
    assert wording.distance(1609.344) == "1.6 km"
