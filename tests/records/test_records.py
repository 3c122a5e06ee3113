"""The limits of the records, and what they refuse."""

from datetime import date, time

import pytest
from pydantic import ValidationError

from coachlib.records.athlete import Athlete, Block, Threshold, TypedTest
from coachlib.records.decisions import KINDS, TEST_KINDS, Decisions, Exclusion, Kind, Stage, Window
from coachlib.records.diary import DiaryRow
from coachlib.records.roster import RosterSettings

SHA = "0" * 64


def first_threshold(**changes):
    return Threshold(**{"which": "first", "on": date(2026, 10, 5), "hr_bpm": 158, **changes})


def test_kinds_are_the_same_as_text_and_as_type():
    assert set(KINDS) == set(Kind.__args__)
    assert set(TEST_KINDS) < set(KINDS)


def test_a_record_cannot_be_changed():
    with pytest.raises(ValidationError, match="frozen"):
        Window(start_s=0, stop_s=10).start_s = 5


def test_an_unknown_field_is_refused():
    with pytest.raises(ValidationError, match="Extra inputs"):
        Stage(start_s=0, stop_s=10, speed_kmh=10.0)


@pytest.mark.parametrize("model", [Window, Exclusion, Stage])
@pytest.mark.parametrize(("start_s", "stop_s"), [(10.0, 10.0), (10.0, 5.0)])
def test_a_stretch_stops_after_its_start(model, start_s, stop_s):
    with pytest.raises(ValidationError, match="the stop must lie after the start"):
        model(start_s=start_s, stop_s=stop_s)


@pytest.mark.parametrize("value", [-1.0, float("nan"), float("inf")])
def test_elapsed_time_is_a_number_from_zero_on(value):
    with pytest.raises(ValidationError, match="start_s"):
        Window(start_s=value, stop_s=1e5)


def test_stages_may_touch_but_not_overlap():
    touching = (Stage(start_s=0, stop_s=60, power_w=100), Stage(start_s=60, stop_s=120, power_w=130))
    assert Decisions(fit_sha256=SHA, stages=touching).stages == touching
    with pytest.raises(ValidationError, match="two stages overlap: 0 to 60 s and 59 to 120 s"):
        Decisions(fit_sha256=SHA, stages=(touching[0], Stage(start_s=59, stop_s=120)))


def test_windows_overlap_only_when_they_serve_different_purposes():
    steady = Window(start_s=0, stop_s=3600)
    trial = Window(start_s=600, stop_s=2400, purpose="trial")
    assert len(Decisions(fit_sha256=SHA, windows=(steady, trial)).windows) == 2
    with pytest.raises(ValidationError, match="two steady windows overlap"):
        Decisions(fit_sha256=SHA, windows=(steady, Window(start_s=600, stop_s=2400)))


def test_a_checksum_has_64_digits():
    with pytest.raises(ValidationError, match="fit_sha256"):
        Decisions(fit_sha256="9f2c")


@pytest.mark.parametrize("hr_bpm", [29, 251, float("nan")])
def test_heart_rate_lies_between_30_and_250(hr_bpm):
    with pytest.raises(ValidationError, match="hr_bpm"):
        first_threshold(hr_bpm=hr_bpm)


@pytest.mark.parametrize("bounds", [{"hr_low_bpm": 159}, {"hr_high_bpm": 157}])
def test_a_threshold_lies_inside_its_interval(bounds):
    with pytest.raises(ValidationError, match="the value must lie inside its interval"):
        first_threshold(**bounds)


def test_the_threshold_of_a_day_is_the_newest_that_stands():
    old = first_threshold(on=date(2026, 3, 1), hr_bpm=150)
    new = first_threshold(on=date(2026, 9, 1), hr_bpm=156)
    withdrawn = first_threshold(on=date(2026, 10, 1), hr_bpm=170, withdrawn=True)
    athlete = Athlete(slug="mira", name="Mira", thresholds=(new, withdrawn, old))
    assert athlete.threshold_on("first", date(2026, 2, 28)) is None
    assert athlete.threshold_on("first", date(2026, 8, 31)) == old
    assert athlete.threshold_on("first", date(2026, 9, 1)) == new
    assert athlete.threshold_on("first", date(2026, 12, 1)) == new
    assert athlete.threshold_on("second", date(2026, 12, 1)) is None


def test_days_apart_include_their_first_and_last_day():
    ill = Block(start_on=date(2026, 10, 12), stop_on=date(2026, 10, 20), kind="ill")
    athlete = Athlete(slug="mira", name="Mira", blocks=(ill,))
    assert athlete.block_on(date(2026, 10, 12)) == athlete.block_on(date(2026, 10, 20)) == ill
    assert athlete.block_on(date(2026, 10, 21)) is None


def test_days_apart_end_after_they_begin():
    with pytest.raises(ValidationError, match="`to` may not lie before `from`"):
        Block(start_on=date(2026, 10, 12), stop_on=date(2026, 10, 11), kind="ill")


def test_rest_lies_below_the_maximum():
    with pytest.raises(ValidationError, match="rest must lie below the maximum"):
        Athlete(slug="mira", name="Mira", hr_max_bpm=110, hr_rest_bpm=115)


@pytest.mark.parametrize(
    "wrong",
    [
        {"birth_year": 1884},
        {"sex": "f"},
        {"zones": "three"},
        {"time_zone": "Middle/Nowhere"},
        {"time_zone": "../etc/passwd"},
        {"name": ""},
    ],
)
def test_a_profile_refuses(wrong):
    with pytest.raises(ValidationError, match=next(iter(wrong))):
        Athlete(**{"slug": "mira", "name": "Mira", **wrong})


def test_a_year_typed_wrongly_is_seen():
    with pytest.raises(ValidationError, match="0206-10-05 lies outside the years"):
        TypedTest(on=date(206, 10, 5), first_half_bpm=150, second_half_bpm=153, minutes=60)


@pytest.mark.parametrize("wrong", [{"rpe": 11}, {"talk": "yes"}, {"health": "great"}, {"sleep_h": 25}])
def test_a_diary_row_refuses(wrong):
    with pytest.raises(ValidationError, match=next(iter(wrong))):
        DiaryRow(on=date(2026, 10, 5), **wrong)


@pytest.mark.parametrize("wrong", [{"accent": "teal"}, {"week_starts": "friday"}, {"stale_after_weeks": 0}])
def test_roster_settings_refuse(wrong):
    with pytest.raises(ValidationError, match=next(iter(wrong))):
        RosterSettings(**{"name": "Demo", **wrong})


def test_a_bare_number_is_no_day():
    with pytest.raises(ValidationError, match="20261005 is no day"):
        TypedTest(on=20261005, first_half_bpm=150, second_half_bpm=153, minutes=60)


@pytest.mark.parametrize(("typed", "meant"), [("7:05", time(7, 5)), ("17:30:10", time(17, 30, 10))])
def test_a_time_of_day_is_hours_and_minutes(typed, meant):
    assert DiaryRow(on="2026-10-05", start=typed).start == meant


@pytest.mark.parametrize("typed", ["730", "half past seven", "25:00"])
def test_other_times_are_refused(typed):
    with pytest.raises(ValidationError, match="start"):
        DiaryRow(on="2026-10-05", start=typed)


def test_capitals_do_not_matter_in_a_diary():
    row = DiaryRow(on="2026-10-05", talk="Comfortable", health=" OK", kind="Easy")
    assert (row.talk, row.health, row.kind) == ("comfortable", "ok", "easy")
