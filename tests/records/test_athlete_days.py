"""What the files gained: sport, bounds, medicines, open blocks, being back, settled remarks, events, age."""

from datetime import date

import pytest
from pydantic import ValidationError

from coachlib.records.athlete import Athlete, Block, Event, Medicine, Reference, Settled, Threshold
from coachlib.records.diary import DiaryRow
from coachlib.records.roster import Climate, RosterSettings


def day(text):
    return date.fromisoformat(text)


def athlete(**fields):
    return Athlete(slug="mira", name="Mira", **fields)


def first(on, hr_bpm, **fields):
    return Threshold(which="first", on=on, hr_bpm=hr_bpm, **fields)


def test_a_sports_own_threshold_beats_a_newer_general_one():
    rowing, general = first("2026-03-01", 150, sport="Rowing "), first("2026-09-01", 156)
    mira = athlete(thresholds=(rowing, general))
    assert mira.threshold_on("first", day("2026-10-01"), "rowing") == rowing
    assert mira.threshold_on("first", day("2026-10-01"), "running") == general
    assert mira.threshold_on("first", day("2026-10-01")) == general


def test_another_sports_threshold_never_counts():
    mira = athlete(thresholds=(first("2026-03-01", 150, sport="rowing"),))
    assert mira.threshold_on("first", day("2026-10-01"), "running") is None
    assert mira.threshold_on("first", day("2026-10-01"), "") is None
    assert mira.threshold_on("first", day("2026-10-01")).sport == "rowing"


def test_an_own_threshold_of_later_does_not_hide_the_general_one_of_before():
    mira = athlete(thresholds=(first("2026-03-01", 150), first("2026-09-01", 156, sport="running")))
    assert mira.threshold_on("first", day("2026-08-31"), "running").hr_bpm == 150


def test_an_own_threshold_withdrawn_gives_way_to_the_general_one():
    own = first("2026-09-01", 156, sport="running", withdrawn=True)
    mira = athlete(thresholds=(first("2026-03-01", 150), own))
    assert mira.threshold_on("first", day("2026-10-01"), "running").hr_bpm == 150


def test_a_bound_is_no_value_and_takes_the_place_of_an_older_one():
    bound = first("2026-09-01", 148, hr_low_bpm=148, bounded="above")
    mira = athlete(thresholds=(first("2026-03-01", 150), bound))
    assert mira.threshold_on("first", day("2026-08-01")).hr_bpm == 150
    assert mira.threshold_on("first", day("2026-09-01")) is None
    assert mira.accepted_on("first", day("2026-09-01")) == bound


@pytest.mark.parametrize(
    ("bounded", "known"), [("above", {"hr_high_bpm": 160}), ("below", {"hr_low_bpm": 140})]
)
def test_a_bound_has_one_end(bounded, known):
    with pytest.raises(ValidationError, match="where both ends are known leave `bounded` away"):
        first("2026-09-01", 148, bounded=bounded, **known)


def test_medicine_counts_from_the_day_it_is_begun_to_the_day_it_is_stopped():
    changes = (
        Medicine(on="2026-05-01", change="stopped"),
        Medicine(on="2026-03-01", change="begun"),
        Medicine(on="2026-04-01", change="changed"),
    )
    mira = athlete(medicines=changes, heart_rate_medicine=False)
    days = ["2026-02-28", "2026-03-01", "2026-04-15", "2026-04-30", "2026-05-01"]
    assert [mira.medicine_on(day(d)) for d in days] == [False, True, True, True, False]
    between = mira.medicine_changes_between(day("2026-05-01"), day("2026-03-01"))
    assert [m.change for m in between] == ["changed", "stopped"]


def test_a_medicine_first_heard_of_when_it_changed_was_taken_before():
    mira = athlete(medicines=(Medicine(on="2026-03-01", change="changed"),))
    assert mira.medicine_on(day("2020-01-01"))


def test_of_two_medicines_one_stopped_leaves_the_other():
    mira = athlete(
        medicines=(
            Medicine(on="2026-03-01", change="begun", name="Tablet A"),
            Medicine(on="2026-03-01", change="begun", name="Tablet B"),
            Medicine(on="2026-05-01", change="stopped", name="tablet a"),
        )
    )
    assert mira.medicine_on(day("2026-06-01"))


@pytest.mark.parametrize(("said", "taken"), [(True, True), (False, False), (None, False)])
def test_medicine_without_dates_is_always_or_never(said, taken):
    assert athlete(heart_rate_medicine=said).medicine_on(day("2026-06-01")) is taken


def test_an_open_block_lasts():
    mira = athlete(blocks=(Block(start_on="2026-10-12", kind="pregnant"),))
    assert mira.block_on(day("2027-01-01")).kind == "pregnant"
    assert mira.block_on(day("2026-10-11")) is None


def test_of_two_blocks_on_a_day_the_one_that_weighs_most_tells():
    travel = Block(start_on="2026-10-01", stop_on="2026-10-30", kind="travel")
    ill = Block(start_on="2026-10-12", stop_on="2026-10-14", kind="ill")
    mira = athlete(blocks=(travel, ill))
    assert mira.blocks_on(day("2026-10-13")) == (ill, travel)
    assert mira.block_on(day("2026-10-13")) == ill
    assert mira.block_on(day("2026-10-15")) == travel


def test_newly_back_lasts_three_sessions():
    mira = athlete(blocks=(Block(start_on="2026-10-12", stop_on="2026-10-20", kind="injured"),))
    assert mira.back_since(day("2026-10-21")) == day("2026-10-21")
    assert [mira.newly_back(day("2026-10-30"), n) for n in range(5)] == [True, True, True, False, False]
    assert not mira.newly_back(day("2026-10-20"), 0)
    assert not mira.newly_back(day("2026-10-11"), 0)


def test_sessions_count_from_the_clearance_where_it_came_later():
    mira = athlete(
        blocks=(Block(start_on="2026-10-12", stop_on="2026-10-20", kind="ill", cleared_on="2026-10-28"),)
    )
    assert mira.back_since(day("2026-11-01")) == day("2026-10-28")


def test_nobody_is_back_from_travel_or_while_another_illness_lasts():
    travel = Block(start_on="2026-10-01", stop_on="2026-10-03", kind="travel")
    over = Block(start_on="2026-10-05", stop_on="2026-10-06", kind="ill")
    lasts = Block(start_on="2026-10-20", kind="ill")
    assert athlete(blocks=(travel,)).back_since(day("2026-10-10")) is None
    assert athlete(blocks=(over, lasts)).back_since(day("2026-10-25")) is None
    assert athlete(blocks=(over, lasts)).back_since(day("2026-10-10")) == day("2026-10-07")


def test_a_clearance_before_the_illness_is_refused():
    with pytest.raises(ValidationError, match="`cleared_on` may not lie before `from`"):
        Block(start_on="2026-10-12", kind="ill", cleared_on="2026-10-11")


def test_a_remark_is_settled_from_the_day_the_coach_says_so():
    mira = athlete(settled=(Settled(on="2026-10-14", remark_on="2026-10-12", by="Maren"),))
    assert mira.is_settled(day("2026-10-12"), day("2026-10-14"))
    assert not mira.is_settled(day("2026-10-12"), day("2026-10-13"))
    assert not mira.is_settled(day("2026-10-13"), day("2026-10-20"))
    with pytest.raises(ValidationError, match="a remark is settled on its day or later"):
        Settled(on="2026-10-11", remark_on="2026-10-12")


def test_under_age_lasts_through_the_year_in_which_18_is_reached():
    mira = athlete(birth_year=2008)
    assert mira.age_on(day("2026-01-01")) == 18
    assert mira.is_under_age(day("2026-12-31"))
    assert not mira.is_under_age(day("2027-01-01"))
    assert (athlete().age_on(day("2026-01-01")), athlete().is_under_age(day("2026-01-01"))) == (None, False)


@pytest.mark.parametrize("name", ["", " ", "\u200b\u200d", "\u00a0\u2003", "--", "\u2800"])
def test_a_name_that_nobody_sees_is_refused(name):
    with pytest.raises(ValidationError, match="holds no letter"):
        Athlete(slug="mira", name=name)
    with pytest.raises(ValidationError, match="holds no letter"):
        RosterSettings(name=name)
    with pytest.raises(ValidationError, match="holds no letter"):
        Event(on="2026-10-12", name=name)


@pytest.mark.parametrize("name", ["李", "Ñ", " Mira ", "7"])
def test_a_name_of_one_letter_in_any_script_will_do(name):
    assert Athlete(slug="mira", name=name).name == name.strip()


@pytest.mark.parametrize(
    "address", ["mira", "a@b, c@d", "a@b\nBcc: c@d", "Mira <a@b>", "@b", "a@", "a@@b", "a@b\n"]
)
def test_an_address_that_is_none_or_several_is_refused(address):
    with pytest.raises(ValidationError, match="email"):
        athlete(email=address)
    assert athlete(email="mira.ö@example.org").email == "mira.ö@example.org"


def test_a_target_is_one_of_the_known_words_or_the_coachs_own():
    assert DiaryRow(on="2026-12-01", target=" Short Hard ").target == "short hard"
    assert DiaryRow(on="2026-12-01", target="Technik am Berg").target == "Technik am Berg"


@pytest.mark.parametrize("wrong", [{"planned_min": -1}, {"done_min": 14401}])
def test_minutes_are_refused_outside_their_limits(wrong):
    with pytest.raises(ValidationError, match=next(iter(wrong))):
        DiaryRow(on="2026-12-01", **wrong)


def test_a_climate_says_which_month_is_the_warmest():
    assert Climate(coldest_c=2, warmest_c=26).warmest_month == 7
    with pytest.raises(ValidationError, match="may not be the warmer one"):
        Climate(coldest_c=26, warmest_c=2)
    with pytest.raises(ValidationError, match="warmest_month"):
        Climate(coldest_c=2, warmest_c=26, warmest_month=13)


def test_a_reference_keeps_the_heart_rate_of_the_comparison():
    kept = Reference(start_on="2026-03-02", hr_bpm=150, because="first weeks", sport="running")
    assert (kept.hr_bpm, kept.stop_on) == (150, None)
