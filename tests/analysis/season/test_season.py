from dataclasses import replace

import numpy as np
import pytest
from season_parts import LAST_WEEK, SETTINGS, anna, day, reading, readings_of, session

from coachlib.analysis.season.season import analyse_season
from coachlib.records.athlete import Block, Threshold
from coachlib.records.diary import DiaryRow

LEVEL = np.full(16, 3.0)
BETTER = 3.0 + 0.5 * np.clip((np.arange(16) - 3) / 6, 0, 1)


def season(sessions=(), readings=(), athlete=None, **options):
    return analyse_season(LAST_WEEK, sessions, readings, athlete or anna(), settings=SETTINGS, **options)


def test_a_gain_of_half_a_metre_per_second_is_called_in_output():
    trend = season(readings=readings_of(BETTER, noise=0.06)).main_trend
    assert (trend.call, trend.direction, trend.unit) == ("clear", "up", "m/s")
    assert trend.change == pytest.approx(0.5, abs=0.15)
    last = trend.weeks[-1]
    assert last.output_low < 3.5 < last.output_high
    assert last.week == LAST_WEEK


def test_no_change_is_not_called():
    trend = season(readings=readings_of(LEVEL, seed=3)).main_trend
    assert trend.call in ("cannot tell", "possible")


def test_readings_of_an_ill_block_are_dropped():
    readings = readings_of(np.where(np.isin(np.arange(16), (13, 14, 15)), 2.5, 3.0))
    ill = anna(blocks=(Block(start_on=day(13), stop_on=day(15, 6), kind="ill"),))
    assert season(readings=readings).main_trend.direction == "down"
    apart = season(readings=readings, athlete=ill)
    assert apart.main_trend.call == "cannot tell"
    assert not apart.main_trend.trend.latest.has_readings
    assert [w.apart for w in apart.weeks[-3:]] == ["ill"] * 3


def test_indoors_and_outdoors_are_kept_apart():
    indoors = [replace(r, group="running indoors") for r in readings_of(LEVEL + 0.4, per_week=1)]
    found = season(readings=readings_of(LEVEL) + indoors)
    assert [t.group for t in found.trends] == ["running", "running indoors"]


def test_weeks_carry_hours_load_temperature_sleep_and_illness():
    sessions = [session(day(15), temperature_c=12.0, health="ill"), session(day(15, 2), temperature_c=18.0)]
    diary = [DiaryRow(on=day(15), sleep_h=6.0), DiaryRow(on=day(15, 3), sleep_h=8.0, health="pain")]
    last = season(sessions, diary=diary).weeks[-1]
    assert last.moving_s == 7200
    assert last.load == 120.0
    assert last.temperature_c == 15.0
    assert last.sleep_h == 7.0
    assert last.n_unwell == 2
    assert last.domains.below_s == 7200


def test_a_doubled_load_is_outside_the_own_range():
    usual = [session(day(w, d)) for w in range(15) for d in (0, 2, 4)]
    found = season(usual + [session(day(15, d), trimp=170.0) for d in (0, 2, 4)])
    assert (found.load_range.verdict, found.load_range.side) == ("flag", "high")
    assert season(usual + [session(day(15, d)) for d in (0, 2, 4)]).load_range.verdict == "usual"


def test_load_is_told_by_session_rpe_where_only_that_is_known():
    sessions = [session(day(w), trimp=None, rpe_load=300.0) for w in range(16)]
    found = season(sessions)
    assert found.load_kind == "session RPE"
    assert found.weeks[-1].load == 300.0


def test_easy_share_by_week_and_over_four_weeks():
    sessions = [session(day(w), hr=130) for w in range(12, 15)] + [session(day(15), hr=165)]
    found = season(sessions)
    assert found.weeks[14].easy.share.verdict == "easy"
    assert found.weeks[15].easy.share.verdict == "not easy"
    assert found.easy_four_weeks.n_sessions == 4
    assert found.easy_four_weeks.share.share_frac == pytest.approx(0.75, abs=0.01)
    assert found.weeks[0].easy is None


def test_goals_are_counted_by_session():
    sessions = [session(day(15, d), kind=k) for d, k in enumerate(("easy", "long", "other", "intervals"))]
    goals = season(sessions).goals
    assert (goals.easy_frac, goals.between_frac, goals.hard_frac) == (0.5, 0.25, 0.25)


def test_the_watch_starts_at_the_accepted_threshold():
    athlete = anna(thresholds=(Threshold(which="first", on=day(10), hr_bpm=150),))
    readings = [
        reading(day(w, 2 * i), first_half=150.0, drift=9.0, se=0.7) for w in range(16) for i in range(3)
    ]
    found = season(readings=readings, athlete=athlete)
    assert found.main_watch.since_on == day(10)
    assert found.watch.n_sessions == 18
    assert found.watch.latest.disagrees == "lower"


def test_drifts_keep_their_interval():
    found = season([session(day(15), drift_pct=3.0)]).drifts[0]
    assert found.drift_pct == pytest.approx(3.0)
    assert found.drift_low_pct < 3.0 < found.drift_high_pct
    assert found.minutes == 60.0


def test_every_sport_has_its_own_watch_and_threshold():
    """A rower's limit does not judge her runs: each sport disagrees with what it is held against."""
    rows = [
        reading(day(w, 1), sport="rowing", group="rowing", unit="W", first_half=150.0, drift=9.0, se=0.7)
        for w in range(16)
        for _ in range(3)
    ]
    runs = [reading(day(w, 2 * i), first_half=150.0, drift=5.0, se=0.7) for w in range(16) for i in range(4)]
    found = season(readings=rows + runs)
    assert [w.sport for w in found.watches] == ["running", "rowing"]
    assert found.watch.latest.disagrees == ""
    assert found.watches[1].watch.latest.disagrees == "lower"


def test_a_threshold_of_the_sport_itself_beats_a_general_one():
    rowing = Threshold(which="first", on=day(-4), hr_bpm=160, sport="rowing")
    who = anna(thresholds=(*anna().thresholds, rowing))
    rows = [
        reading(day(w, 2 * i), sport="rowing", group="rowing", unit="W", first_half=155.0)
        for w in range(16)
        for i in range(3)
    ]
    found = season(readings=rows, athlete=who).main_watch
    assert (found.sport, found.watch.accepted_bpm, found.since_on) == ("rowing", 160, day(-4))


def test_a_usual_load_is_the_median_of_the_four_weeks_before():
    loads = [100, 100, 300, 320, 2000, 340, 500]
    found = season([session(day(15 - 6 + i), trimp=float(v)) for i, v in enumerate(loads)])
    assert found.usual_load == 330.0
    assert season([session(day(14))]).usual_load is None


def test_a_season_of_nothing_says_what_would_help():
    found = season(athlete=anna(thresholds=()))
    assert found.main_trend is None
    assert found.watch is None
    assert len(found.weeks) == 16
    assert {c.name for c in found.not_told} == {"no first threshold for easy days", "no steady session yet"}
