from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from pydantic import ValidationError
from season_parts import LAST_WEEK, SETTINGS, anna, day, judged, reading, readings_of, session, wears

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.call_sheet import call_sheet, reasons_of
from coachlib.analysis.roster.reasons.registry import all_reasons, misnamed, ranked
from coachlib.analysis.season.season import analyse_season
from coachlib.analysis.week.week import Unreadable, analyse_week
from coachlib.measures.common.codes import code
from coachlib.measures.drift_test.constant_output import drift_meaning
from coachlib.records.athlete import Block, Reference, Threshold
from coachlib.records.diary import DiaryRow
from coachlib.records.health import Settled
from coachlib.records.roster import TriageSettings
from coachlib.report.words.catalogue import sentence, sentences, way_out, ways_out

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
    pain = [session(day(15), health="pain", remarks="left shin again"), *NOW[1:]]
    athlete = monday(pain, thresholds=())
    entry = call_sheet([athlete]).talk_to[0]
    assert entry.reasons[0].kind == "illness or pain"
    assert sentence(entry.reasons[0].code) == "wrote pain on Monday 16 November, “left shin again”"
    assert "physician" in way_out(entry.reasons[0].code)
    # no test is asked of somebody in pain
    assert {r.kind for r in entry.reasons} == {"illness or pain"}


def test_illness_without_a_recording_counts_too():
    assert "illness or pain" in told(monday(diary=[DiaryRow(on=day(15, 1), health="ill")]))


def test_no_data_names_the_days_since():
    found = told(monday([], last_on=day(13, 4)))["no data"]
    assert sentence(found.code) == "no recording for 16 days, the last on Friday 6 November"
    assert found.group == "talk to"
    assert "no data" not in told(monday([], last_on=day(15, 3)))
    assert sentence(told(monday([], earlier=(), last_on=None))["no data"].code) == "no recording so far"


def test_an_athlete_who_is_marked_ill_is_not_missed():
    ill = Block(start_on=day(14), stop_on=day(16), kind="ill")
    assert "no data" not in told(monday([], last_on=day(13), blocks=(ill,)))


def test_easy_days_that_were_not_easy_say_how_far_and_what_is_usual():
    fast = [session(day(15, d), hr=162) for d in (0, 2, 4)]
    found = told(monday(fast))["easy days not easy"]
    assert sentence(found.code) == "easy sessions 100 % above the first threshold, usually 0 %"


def test_usually_is_that_of_the_four_weeks_before():
    once = [session(day(w, d), hr=162) for w in range(11) for d in (0, 2, 4)]
    lately = [session(day(w, d)) for w in range(11, 15) for d in (0, 2, 4)]
    fast = [session(day(15, d), hr=162) for d in (0, 2, 4)]
    for earlier, said in ((once + lately, ", usually 0 %"), (once, "above the first threshold")):
        found = told(monday(fast, earlier=earlier))["easy days not easy"]
        assert sentence(found.code).endswith(said)


def test_a_doubled_load_is_told_with_the_own_range_and_without_a_word_on_injury():
    found = told(monday([session(day(15, d), trimp=200.0) for d in (0, 2, 4)]))["load outside own range"]
    assert sentence(found.code).startswith("load by heart rate 3.3 times the usual week (600; own range ")
    assert "injur" not in sentence(found.code) + way_out(found.code)


def test_high_drift_on_an_easy_day_is_told_with_its_interval_and_the_heat():
    earlier = [session(day(w, d), drift_pct=1.0) for w in range(15) for d in (0, 2)]
    now = [session(day(15), drift_pct=8.0, temperature_c=29.0)]
    found = told(monday(now, earlier=earlier))["drift unusually high"]
    assert sentence(found.code).startswith("heart rate rose 8.0 % (")
    assert sentence(found.code).endswith(") over 60 min on Monday 16 November; usually 1.0 %; it was 29 °C")
    assert (found.where, found.recording) == ("recording", now[0].recording)
    assert "drift unusually high" not in told(monday([session(day(15), drift_pct=2.0)], earlier=earlier))


def with_drift(found, **changes):
    return replace(found, steady=replace(found.steady, drift=replace(found.drift, **changes)))


def test_an_unsure_drift_is_no_news():
    earlier = [session(day(w, d), drift_pct=1.0) for w in range(15) for d in (0, 2)]
    short = session(day(15), drift_pct=4.5, drift_minutes=45, kind="long")  # 6 % in 60 min where 1 % is usual
    sure, unsure = (with_drift(short, day_low_pct=low) for low in (2.0, 0.6))
    found = told(monday([sure], earlier=earlier))["drift unusually high"]
    assert sentence(found.code).startswith("heart rate rose 4.5 % (")
    assert sentence(found.code).endswith(
        "over 45 min on Monday 16 November; brought to 60 min 6.0 %, usually 1.0 %"
    )
    assert "drift unusually high" not in told(monday([unsure], earlier=earlier))


def test_a_drift_from_less_than_45_minutes_carries_no_verdict_and_makes_no_usual():
    earlier = [session(day(w, d), drift_pct=1.0) for w in range(15) for d in (0, 2)]
    assert "drift unusually high" not in told(
        monday([session(day(15), drift_pct=9.0, drift_minutes=40)], earlier=earlier)
    )
    short = [session(day(w, d), drift_pct=1.0, drift_minutes=30) for w in range(15) for d in (0, 2)]
    found = told(monday([session(day(15), drift_pct=24.0)], earlier=short))["drift unusually high"]
    assert "usually" not in sentence(found.code)


def test_a_void_stretch_gives_no_reason():
    drifted = session(day(15), drift_pct=24.0)
    assert "drift unusually high" in told(monday([drifted]))
    for steady in (
        replace(drifted.steady, meaning=code("void")),
        replace(drifted.steady, meaning=code("output changed")),
        replace(drifted.steady, meaning=code("medicine slows the heart")),
        None,
    ):
        assert "drift unusually high" not in told(monday([replace(drifted, steady=steady)]))


def test_a_drift_that_output_explains_is_no_reason_and_one_that_it_hides_is():
    """Uphill pace after the turn: 24 % by itself, 1 % at constant output; and the other way round."""
    for raw_pct, held_pct, is_told in ((24.0, 1.0, False), (1.0, 24.0, True)):
        found = judged(day(15), drift_pct=held_pct, minutes=75, kind="easy")
        steady = replace(
            found.steady,
            drift=replace(
                found.drift, drift_pct=raw_pct, day_low_pct=raw_pct - 2.0, day_high_pct=raw_pct + 2.0
            ),
            meaning=drift_meaning(found.drift, found.steady.held, criterion_pct=5.0, setting_known=True),
        )
        reasons = told(monday([replace(found, steady=steady)]))
        assert ("drift unusually high" in reasons) == is_told
        if is_told:
            assert "rose 24.0 % (" in sentence(reasons["drift unusually high"].code)
            assert "allowing for output" in sentence(reasons["drift unusually high"].code)


def test_a_strap_that_loses_heart_rate():
    found = told(monday([session(day(15, 1), hr_s=1200.0, hr_missing_s=2400.0)]))["strap failing"]
    assert sentence(found.code) == "no usable heart rate for 67 % of the session on Tuesday 17 November"
    assert found.group == "look at"


def test_what_the_coach_left_out_is_no_failing_strap():
    assert "strap failing" not in told(monday([session(day(15, 1), hr_s=1200.0, excluded_s=2400.0)]))


def test_a_test_that_waits_for_decisions():
    test = session(day(15, 5), kind="drift test", decided=False, n_suggestions=3)
    assert sentence(told(monday([test]))["decisions pending"].code) == (
        "the drift test of Saturday 21 November waits for your decisions, three suggested exclusions"
    )


def test_trends_are_told_either_way():
    better = 3.0 + 0.5 * np.clip((np.arange(16) - 3) / 6, 0, 1)
    up = told(monday(readings=readings_of(better, noise=0.06)))["trend up"]
    assert sentence(up.code).startswith("running: output at 140 bpm up by ")
    assert "km/h (" in sentence(up.code)
    assert sentence(up.code).endswith("since 3 August, clear")
    assert up.group == "look at"
    diary = [DiaryRow(on=day(15), sleep_h=5.0, health="ill")]
    down = told(monday(readings=readings_of(6.0 - better, noise=0.06), diary=diary))["trend down"]
    assert down.group == "talk to"
    assert "last 3 weeks: sleep 5.0 h, unwell on one day" in way_out(down.code)


def test_beside_a_loss_stands_the_load_of_three_weeks_not_of_one():
    worse = 3.0 - 0.5 * np.clip((np.arange(16) - 3) / 6, 0, 1)
    rest = [session(day(15), trimp=0.0)]
    earlier = [session(day(w, d), trimp=60.0) for w in range(15) for d in (0, 2, 4)]
    down = told(monday(rest, earlier=earlier, readings=readings_of(worse, noise=0.06)))["trend down"]
    assert "load 0.7 times the usual" in way_out(down.code)  # 180, 180 and 0 where 180 is usual


def test_a_possible_trend_is_told_only_where_asked_for():
    slight = 3.0 + 0.09 * (np.arange(16) > 5)
    athlete = monday(readings=readings_of(slight, noise=0.02))
    assert athlete.season.main_trend.call == "possible"
    assert "trend up" not in told(athlete)
    assert "trend up" in told(athlete, tell_possible_trends=True)


def test_stale_threshold_and_no_threshold():
    old = (Threshold(which="first", on=date(2026, 8, 1), hr_bpm=150, hr_low_bpm=147, hr_high_bpm=153),)
    assert sentence(told(monday(thresholds=old))["threshold stale"].code) == (
        "the first threshold (150 bpm) is 16 weeks old; after 8 it should be tested again"
    )
    assert sentence(told(monday(thresholds=()))["test due"].code) == "no first threshold has been accepted"


def test_a_threshold_that_ordinary_sessions_doubt():
    readings = [
        reading(day(w, 2 * i), first_half=150.0, drift=9.0, se=0.7) for w in range(12, 16) for i in range(3)
    ]
    found = told(monday(readings=readings))["threshold in doubt"]
    assert sentence(found.code).startswith(
        "ordinary sessions disagree with the threshold of 150 bpm: it seems lower ("
    )
    assert "stays until then" in way_out(found.code)


def test_unreadable_recordings_are_named():
    bad = [Unreadable(recording="x.fit", sentence="it ends in the middle")]
    assert sentence(told(monday(unreadable=bad))["unreadable"].code) == "x.fit: it ends in the middle"


def test_the_roster_is_ordered_by_need():
    ill = monday([session(day(15), health="ill")], name="Ben", slug="ben")
    due = monday(thresholds=(), name="Cleo", slug="cleo")
    fast = monday([session(day(15), hr=165)], name="Dora", slug="dora")
    fine = monday(name="Emil", slug="emil")
    sheet = call_sheet([fine, due, fast, ill])
    assert [e.name for e in sheet.talk_to] == ["Ben", "Dora"]
    assert [e.name for e in sheet.look_at] == ["Cleo"]
    assert [e.name for e in sheet.in_order] == ["Ben", "Dora", "Cleo", "Emil"]


def test_order_only_ranks_and_hidden_hides_by_name():
    pending = session(day(15, 1), kind="drift test", decided=False)
    athlete = monday([session(day(15), health="ill"), pending, *NOW[2:]])
    settings = TriageSettings(order=("decisions pending", "illness or pain"), talk_to=("decisions pending",))
    entry = call_sheet([athlete], settings).talk_to[0]
    assert [r.kind for r in entry.reasons] == ["decisions pending", "illness or pain"]
    assert list(told(athlete, order=("no data",))) == ["illness or pain", "decisions pending"]
    assert list(told(athlete, hidden=("decisions pending",))) == ["illness or pain"]
    assert list(told(athlete, hidden=("decisions pending", "illness or pain"))) == ["illness or pain"]
    assert call_sheet([monday(thresholds=())], TriageSettings(hidden=("test due",))).fine[0].name == "Anna"


def test_an_athlete_stands_under_the_strongest_reason_of_the_group():
    settings = TriageSettings(order=("test due", "illness or pain"), talk_to=("illness or pain",))
    athlete = monday([session(day(15), health="ill")], thresholds=())
    assert call_sheet([athlete], settings).talk_to[0].reasons[0].kind == "illness or pain"


def test_a_reason_is_named_once_and_a_wrong_name_is_told_with_a_way_out():
    with pytest.raises(ValidationError, match="order"):
        TriageSettings(order=("hot day", "hot day"))
    wrong = TriageSettings(
        order=("wether",), talk_to=("no data", "test do"), hidden=("illness or pain", "hot day")
    )
    unknown, near, kept = misnamed(wrong)
    assert unknown.startswith('key `order` of [call_sheet] holds "wether", which is no reason; ')
    assert near.endswith('did you mean "test due"?')
    assert (
        kept
        == 'key `hidden` of [call_sheet] holds "illness or pain", which is always told; take it out of the list'
    )
    assert misnamed(TriageSettings()) == ()


def test_every_reason_has_its_sentence_and_its_way_out_and_a_place():
    for name, kind in all_reasons().items():
        assert kind.name == name
        assert name in sentences()
        assert name in ways_out()
        assert kind.where in (
            "recording",
            "first_threshold",
            "weekly letter",
            "diary",
            "recordings",
            "athlete.toml",
            "plan",
        )
    assert len(ranked(TriageSettings())) == len(all_reasons())


def written(*rows, **changes):
    return replace(monday(**changes), diary=tuple(DiaryRow(**row) for row in rows))


CHEST = {
    "on": day(15, 1),
    "rpe": 3,
    "health": "ok",
    "remarks": "Nice loop. Chest tight on the hill, strap fine.",
}


def test_words_that_need_a_physician_come_first_whatever_the_diary_says_of_health():
    found = told(written(CHEST))["chest pain or collapse"]
    assert sentence(found.code) == "wrote on Tuesday 17 November, “Chest tight on the hill, strap fine.”"
    assert "no training or test before a physician has looked" in way_out(found.code)
    assert "emergency number" in way_out(found.code)
    dizzy = told(written({"on": day(15), "health": "ok", "remarks": "No dizziness today."}))
    assert dizzy["physician first"].group == "talk to"


def test_no_setting_removes_or_lowers_them():
    athlete = written(CHEST, thresholds=())
    for settings in (
        TriageSettings(order=("test due",)),
        TriageSettings(talk_to=()),
        TriageSettings(talk_to=("test due",)),
        TriageSettings(hidden=("chest pain or collapse", "physician first")),
    ):
        first = call_sheet([athlete], settings).talk_to[0].reasons[0]
        assert (first.kind, first.group) == ("chest pain or collapse", "talk to")


def test_they_stay_for_later_weeks_until_settled_and_are_not_seen_before_they_were_written():
    earlier, later = {**CHEST, "on": day(9)}, {**CHEST, "on": day(16)}
    assert "chest pain or collapse" in told(written(earlier))
    assert "chest pain or collapse" not in told(written(later))
    seen_to = (Settled(remark_on=day(9), on=day(10)),)
    assert "chest pain or collapse" not in told(written(earlier, settled=seen_to))


def test_without_a_diary_the_sessions_remarks_are_read():
    fainted = [session(day(15), remarks="Fainted after the last one"), *NOW[1:]]
    assert "chest pain or collapse" in told(monday(fainted))


def test_questions_and_health_in_words():
    rows = [
        {"on": day(15, 1), "remarks": "Cake."},
        {"on": day(15, 2), "remarks": "Knee a bit thick."},
        {"on": day(15, 6), "remarks": "Can I do a test soon?"},
    ]
    found = told(written(*rows))
    assert sentence(found["question"].code) == "asked on Sunday 22 November, “Can I do a test soon?”"
    assert (found["question"].group, way_out(found["question"].code)) == ("talk to", "answer it")
    assert sentence(found["health in words"].code) == "wrote on Wednesday 18 November, “Knee a bit thick.”"
    (entry,) = call_sheet([written(*rows)]).in_order
    assert [r.text for r in entry.remarks] == [row["remarks"] for row in rows]
    assert set(told(written(rows[0]))) == set()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"rpe": 8.0, "talk": "comfortable"}, "effort 8 of 10 on Tuesday 17 November, meant as easy"),
        (
            {"rpe": 3.0, "talk": "not"},
            "effort 3 of 10 and could not talk on Tuesday 17 November, meant as easy",
        ),
        ({"talk": "not"}, "could not talk on Tuesday 17 November, meant as easy"),
    ],
)
def test_an_easy_day_that_felt_hard(changes, said):
    found = told(monday([session(day(15, 1), **changes)]))["easy day felt hard"]
    assert sentence(found.code) == said
    assert "easy day felt hard" not in told(monday([session(day(15, 1), kind="race", **changes)]))
    assert "easy day felt hard" not in told(monday([session(day(15, 1), rpe=7.5, talk="equivocal")]))


def test_an_easy_day_that_felt_hard_says_what_is_usual():
    usual = [{"on": day(w, d), "kind": "easy", "rpe": 3} for w in (12, 13, 14) for d in (0, 2)]
    athlete = replace(written(*usual), week=monday([session(day(15), rpe=9.0)]).week)
    assert sentence(told(athlete)["easy day felt hard"].code).endswith("meant as easy, effort usually 3")


def nights(usual_h, last_h):
    before = [{"on": day(w, d), "sleep_h": usual_h} for w in (12, 13, 14) for d in (0, 2)]
    return told(written(*before, {"on": day(15, 3), "sleep_h": last_h}))


@pytest.mark.parametrize(
    ("usual_h", "last_h", "is_told"),
    [(7.5, 4.5, True), (7.5, 5.0, False), (4.7, 4.5, False), (4.7, 3.5, True), (5.5, 4.5, True)],
)
def test_a_night_below_five_hours_is_told_by_the_own_usual(usual_h, last_h, is_told):
    assert ("short sleep" in nights(usual_h, last_h)) is is_told


def test_a_short_night_without_a_usual_one():
    found = told(written({"on": day(15, 3), "sleep_h": 4.5}))["short sleep"]
    assert sentence(found.code) == "slept 4.5 h before Thursday 19 November"
    assert sentence(nights(7.5, 4.5)["short sleep"].code).endswith(", usually 7.5")


def in_the_heat(temperature_c, humidity_pct=None, usual_c=15, **changes):
    before = [{"on": day(w, d), "temperature_c": usual_c} for w in (12, 13, 14) for d in (0, 2)]
    row = {"on": day(15, 3), "temperature_c": temperature_c, "humidity_pct": humidity_pct}
    return told(written(*before, row, **changes))


@pytest.mark.parametrize(
    ("temperature_c", "humidity_pct", "usual_c", "is_told"),
    [
        (26, None, 15, True), (25.9, None, 15, False),  # air alone
        (30, 50, 15, True), (28, 40, 15, False), (26, 90, 15, True),  # damp air is worse than dry
        (30, 50, 28, False), (35, 30, 28, True),  # who is used to it
        (28, None, 27, False), (31, None, 27, True),
    ],
)  # fmt: skip
def test_heat_by_humidity_where_it_is_known_else_by_air(temperature_c, humidity_pct, usual_c, is_told):
    assert ("hot day" in in_the_heat(temperature_c, humidity_pct, usual_c)) is is_told


def test_heat_under_a_roof_has_no_sun():
    indoors = [session(day(15, 3), is_indoor=True)]
    assert "hot day" not in in_the_heat(30, 50, now=indoors)
    found = in_the_heat(30, 50)["hot day"]
    assert sentence(found.code) == (
        "trained at 30 °C at 50 % humidity, a wet-bulb globe temperature of about 29 °C on Thursday 19 November; "
        "usually 15 °C"
    )


def with_watch_from(week):
    return [
        replace(r, gear=wears(watch="B")) if r.on >= day(week) else r for r in readings_of(np.full(16, 3.0))
    ]


def test_another_watch_is_told_for_three_weeks_with_what_it_costs_and_a_way_back():
    found = told(monday(readings=with_watch_from(14)))["new reference"]
    assert found.group == "look at"
    assert sentence(found.code) == (
        "running: another watch since 9 November; no change can be told before the week of 14 December"
    )
    assert way_out(found.code) == "if it changes nothing, note there that the comparison goes on"
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
    assert " since 3 August, clear" in sentence(plain.code)
    assert " since 31 August (moved by the coach), clear" in sentence(set_by_coach.code)
