from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from pydantic import ValidationError
from season_parts import LAST_WEEK, SETTINGS, anna, day, reading, readings_of, session, wears

from coachlib.analysis.roster.call_sheet import AthleteWeek, TriageSettings, call_sheet, reasons_of
from coachlib.analysis.season.season import analyse_season
from coachlib.analysis.week.week import Unreadable, analyse_week
from coachlib.records.athlete import Block, Reference, Threshold
from coachlib.records.diary import DiaryRow

FRESH = (Threshold(which="first", on=day(12), hr_bpm=150, hr_low_bpm=147, hr_high_bpm=153),)
USUAL = [session(day(w, d)) for w in range(15) for d in (0, 2, 4)]
LAST_ON = day(15, 4)
NOW = [session(day(15, d)) for d in (0, 2, 4)]


def monday(now=NOW, *, earlier=USUAL, readings=(), diary=(), unreadable=(), last_on=LAST_ON, **changes):
    athlete = anna(**({"thresholds": FRESH} | changes))
    sessions = [*earlier, *now]
    week = analyse_week(LAST_WEEK, sessions, athlete, settings=SETTINGS, diary=diary, unreadable=unreadable)
    season = analyse_season(LAST_WEEK, sessions, readings, athlete, settings=SETTINGS, diary=diary)
    return AthleteWeek(week=week, season=season, last_recording_on=last_on)


def told(athlete, **settings):
    return {r.kind: r for r in reasons_of(athlete, TriageSettings(**settings))}


def test_an_ordinary_week_is_a_name_on_a_line():
    sheet = call_sheet([monday()])
    assert [e.name for e in sheet.fine] == ["Anna"]
    assert sheet.talk_to == sheet.look_at == ()
    assert sheet.fine[0].reasons == ()


def test_illness_and_pain_are_quoted_and_come_first():
    pain = [replace(NOW[0], health="pain", remarks="left shin again"), *NOW[1:]]
    athlete = monday(pain, thresholds=())
    entry = call_sheet([athlete]).talk_to[0]
    assert entry.reasons[0].kind == "illness or pain"
    assert entry.reasons[0].sentence == 'wrote pain on Monday 16 November, "left shin again"'
    assert "physician" in entry.reasons[0].settle
    assert {r.kind for r in entry.reasons} == {"illness or pain", "test due"}


def test_illness_without_a_recording_counts_too():
    assert "illness or pain" in told(monday(diary=[DiaryRow(on=day(15, 1), health="ill")]))


def test_no_data_names_the_days_since():
    found = told(monday([], last_on=day(13, 4)))["no data"]
    assert found.sentence == "no recording for 16 days, the last on Friday 6 November"
    assert found.group == "talk to"
    assert "no data" not in told(monday([], last_on=day(15, 3)))
    assert told(monday([], earlier=(), last_on=None))["no data"].sentence == "no recording so far"


def test_an_athlete_who_is_marked_ill_is_not_missed():
    ill = Block(start_on=day(14), stop_on=day(16), kind="ill")
    assert "no data" not in told(monday([], last_on=day(13), blocks=(ill,)))


def test_easy_days_that_were_not_easy_say_how_far_and_what_is_usual():
    fast = [session(day(15, d), hr=162) for d in (0, 2, 4)]
    found = told(monday(fast))["easy days not easy"]
    assert found.sentence == "easy sessions 100 % above the first threshold (100 to 100), usually 0 to 0 %"


def test_a_doubled_load_is_told_with_the_own_range_and_without_a_word_on_injury():
    found = told(monday([session(day(15, d), trimp=200.0) for d in (0, 2, 4)]))["load outside own range"]
    assert found.sentence.startswith("load by heart rate 3.3 times the usual week (600; own range ")
    assert "injur" not in found.sentence + found.settle


def test_high_drift_on_an_easy_day_is_told_with_its_interval_and_the_heat():
    earlier = [session(day(w, d), drift_pct=1.0) for w in range(15) for d in (0, 2)]
    now = [session(day(15), drift_pct=8.0, temperature_c=29.0)]
    found = told(monday(now, earlier=earlier))["drift unusually high"]
    assert found.sentence.startswith("heart rate drifted 8.0 % an hour (")
    assert found.sentence.endswith(") on Monday 16 November, usually 1.0; it was 29 °C")
    assert (found.where, found.recording) == ("recording", now[0].recording)
    assert "drift unusually high" not in told(monday([session(day(15), drift_pct=2.0)], earlier=earlier))


def test_a_short_and_unsure_drift_is_no_news():
    earlier = [session(day(w, d), drift_pct=1.0) for w in range(15) for d in (0, 2)]
    short = session(day(15), drift_pct=3.0, drift_minutes=30, kind="long")  # 6 % an hour where 1 % is usual
    sure, unsure = (replace(short, drift=replace(short.drift, day_low_pct=low)) for low in (1.5, 0.4))
    assert "drift unusually high" in told(monday([sure], earlier=earlier))
    assert "drift unusually high" not in told(monday([unsure], earlier=earlier))


def test_a_strap_that_loses_heart_rate():
    found = told(monday([session(day(15, 1), hr_s=1200.0)]))["strap failing"]
    assert found.sentence == "heart rate missing for 67 % of the session on Tuesday 17 November"
    assert found.group == "look at"


def test_what_the_coach_left_out_is_no_failing_strap():
    assert "strap failing" not in told(monday([session(day(15, 1), hr_s=1200.0, excluded_s=2400.0)]))


def test_a_test_that_waits_for_decisions():
    test = session(day(15, 5), kind="drift test", decided=False, n_suggestions=3)
    assert told(monday([test]))["decisions pending"].sentence == (
        "the drift test of Saturday 21 November waits for your decisions, 3 suggested exclusions"
    )


def test_trends_are_told_either_way():
    better = 3.0 + 0.5 * np.clip((np.arange(16) - 3) / 6, 0, 1)
    up = told(monday(readings=readings_of(better, noise=0.06)))["trend up"]
    assert up.sentence.startswith("running: output at 140 bpm up by ")
    assert "km/h (" in up.sentence
    assert up.sentence.endswith("since 3 August, clear")
    assert up.group == "look at"
    diary = [DiaryRow(on=day(15), sleep_h=5.0, health="ill")]
    down = told(monday(readings=readings_of(6.0 - better, noise=0.06), diary=diary))["trend down"]
    assert down.group == "talk to"
    assert "sleep 5.0 h, unwell on 1 day" in down.settle


def test_beside_a_loss_stands_the_load_of_three_weeks_not_of_one():
    worse = 3.0 - 0.5 * np.clip((np.arange(16) - 3) / 6, 0, 1)
    rest = [session(day(15), trimp=0.0)]
    earlier = [session(day(w, d), trimp=60.0) for w in range(15) for d in (0, 2, 4)]
    down = told(monday(rest, earlier=earlier, readings=readings_of(worse, noise=0.06)))["trend down"]
    assert "load 0.7 times the usual" in down.settle  # 180, 180 and 0 where 180 is usual


def test_a_possible_trend_is_told_only_where_asked_for():
    slight = 3.0 + 0.09 * (np.arange(16) > 5)
    athlete = monday(readings=readings_of(slight, noise=0.02))
    assert athlete.season.main_trend.call == "possible"
    assert "trend up" not in told(athlete)
    assert "trend up" in told(athlete, tell_possible_trends=True)


def test_stale_threshold_and_no_threshold():
    old = (Threshold(which="first", on=date(2026, 8, 1), hr_bpm=150, hr_low_bpm=147, hr_high_bpm=153),)
    assert told(monday(thresholds=old))["threshold stale"].sentence == (
        "the first threshold (150 bpm) is 16 weeks old; after 8 it should be tested again"
    )
    assert told(monday(thresholds=()))["test due"].sentence == "no first threshold has been accepted"


def test_a_threshold_that_ordinary_sessions_doubt():
    readings = [
        reading(day(w, 2 * i), first_half=150.0, drift=9.0, se=0.7) for w in range(12, 16) for i in range(3)
    ]
    found = told(monday(readings=readings))["threshold in doubt"]
    assert found.sentence.startswith(
        "ordinary sessions disagree with the threshold of 150 bpm: it seems lower ("
    )
    assert "stays until then" in found.settle


def test_unreadable_recordings_are_named():
    bad = [Unreadable(recording="x.fit", sentence="it ends in the middle")]
    assert told(monday(unreadable=bad))["unreadable"].sentence == "x.fit: it ends in the middle"


def test_the_roster_is_ordered_by_need():
    ill = monday([replace(NOW[0], health="ill")], name="Ben", slug="ben")
    due = monday(thresholds=(), name="Cleo", slug="cleo")
    fast = monday([session(day(15), hr=165)], name="Dora", slug="dora")
    fine = monday(name="Emil", slug="emil")
    sheet = call_sheet([fine, due, fast, ill])
    assert [e.name for e in sheet.talk_to] == ["Ben", "Dora"]
    assert [e.name for e in sheet.look_at] == ["Cleo"]
    assert [e.name for e in sheet.in_order] == ["Ben", "Dora", "Cleo", "Emil"]


def test_order_and_groups_can_be_tuned():
    settings = TriageSettings(order=("test due", "illness or pain"), talk_to=("test due",))
    athlete = monday([replace(NOW[0], health="ill")], thresholds=())
    entry = call_sheet([athlete], settings).talk_to[0]
    assert [r.kind for r in entry.reasons] == ["test due", "illness or pain"]
    silenced = TriageSettings(order=("no data",))
    assert call_sheet([athlete], settings=silenced).fine[0].name == "Anna"


def test_an_athlete_stands_under_the_strongest_reason_of_the_group():
    settings = TriageSettings(order=("test due", "illness or pain"), talk_to=("illness or pain",))
    athlete = monday([replace(NOW[0], health="ill")], thresholds=())
    assert call_sheet([athlete], settings).talk_to[0].reasons[0].kind == "illness or pain"


def test_unknown_reasons_are_refused():
    with pytest.raises(ValidationError, match="order"):
        TriageSettings(order=("weather",))


def with_watch_from(week):
    return [
        replace(r, gear=wears(watch="B")) if r.on >= day(week) else r for r in readings_of(np.full(16, 3.0))
    ]


def test_another_watch_is_told_for_three_weeks_with_what_it_costs_and_a_way_back():
    found = told(monday(readings=with_watch_from(14)))["new reference"]
    assert found.group == "look at"
    assert found.sentence == (
        "running: another watch since 9 November; no change can be told before the week of 14 December"
    )
    assert found.settle == 'if it changes nothing: [[reference]] from = 2026-11-09 because = "compare on"'
    assert found.where == "athlete.toml"
    assert "new reference" not in told(monday(readings=with_watch_from(12)))


def test_what_the_coach_wrote_is_not_told_back():
    new = Reference(start_on=day(14), because="new watch")
    assert "new reference" not in told(monday(readings=with_watch_from(14), references=(new,)))
    back = Reference(start_on=day(14), because="compare on")
    assert "new reference" not in told(monday(readings=with_watch_from(14), references=(back,)))


def test_a_change_says_what_it_is_held_against():
    better = readings_of(3.0 + 0.5 * (np.arange(16) >= 9), noise=0.05)
    moved = Reference(start_on=day(4), note="back from altitude")
    plain, set_by_coach = (told(monday(readings=better, references=r))["trend up"] for r in ((), (moved,)))
    assert " since 3 August, clear" in plain.sentence
    assert " since 31 August (moved by the coach), clear" in set_by_coach.sentence
