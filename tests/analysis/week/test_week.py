from datetime import date, timedelta

import numpy as np
import pytest
from built_activity import START, built_activity

from coachlib.analysis.recording.judge import judge
from coachlib.analysis.week.week import analyse_week
from coachlib.errors import BadArgument
from coachlib.records.athlete import Athlete, Threshold
from coachlib.records.diary import DiaryRow
from coachlib.records.health import Block
from coachlib.records.roster import RosterSettings
from coachlib.report.words.catalogue import sentence

SETTINGS = RosterSettings(name="R", coach="C")
ATHLETE = Athlete(
    slug="a",
    name="A",
    sex="female",
    hr_max_bpm=190,
    hr_rest_bpm=50,
    thresholds=(
        Threshold(which="first", on=date(2026, 9, 1), hr_bpm=150, hr_low_bpm=147, hr_high_bpm=153),
        Threshold(which="second", on=date(2026, 9, 1), hr_bpm=170),
    ),
)


def session(days, *, hr=(135.0, 160.0, 175.0), minutes=(40, 15, 5), rpe=4.0, planned="easy", athlete=ATHLETE):
    """A session so many days after Monday 5 October with minutes at three heart rates."""
    beats = np.repeat(hr, [60 * m for m in minutes])
    beats = beats - np.arange(beats.size) % 2 * 0.4  # one value for ten minutes would be no measurement
    start = START + timedelta(days=days)
    activity = built_activity(seconds=beats.size, hr_bpm=beats, started_at=start, seed=days % 97 + 1)
    row = DiaryRow(on=start.date(), rpe=rpe, planned=planned)
    return judge(f"s{days}", activity, None, athlete, row)


def week(sessions, **changes):
    return analyse_week("2026-W41", sessions, changes.pop("athlete", ATHLETE), settings=SETTINGS, **changes)


def test_the_weeks_minutes_and_their_pattern():
    found = week([session(0), session(2)])
    assert found.start_on == date(2026, 10, 5)
    assert (found.domains.below_s, found.domains.between_s, found.domains.above_s) == (4800, 1800, 600)
    assert found.distribution.kind == "pyramidal"
    # arithmetic on Treff et al. 2019: shares 2/3, 1/4, 1/12
    assert found.distribution.polarization_index == pytest.approx(np.log10(2 / 3 / (1 / 4) * 1 / 12 * 100))


def test_usual_is_the_median_of_the_weeks_before_with_training():
    found = week([session(0), session(-7), session(-14), session(-13), session(-28)])
    assert found.n_usual_weeks == 3
    assert found.usual_sessions == 1
    assert found.usual_moving_s == pytest.approx(3600)
    assert found.usual_below_frac == pytest.approx(2 / 3)
    easy = next(z for z in found.zone_times if z.name == "easy")
    assert easy.minutes == 40
    assert easy.usual_minutes == pytest.approx(40)


def test_one_earlier_week_is_nothing_usual():
    found = week([session(0), session(-7)])
    assert (found.usual_moving_s, found.usual_below_frac, found.load.usual_trimp) == (None, None, None)


def test_weeks_of_illness_are_no_usual_weeks():
    ill = ATHLETE.model_copy(
        update={
            "blocks": (Block(start_on=START.date() - timedelta(days=7), stop_on=START.date(), kind="ill"),)
        }
    )
    found = week([session(1), session(-7), session(-14), session(-21)], athlete=ill)
    assert found.n_usual_weeks == 2


def test_a_threshold_accepted_within_the_week_judges_only_what_came_after():
    """The lead and the figure once said two things: the week by its end, the sessions by their days."""
    later = Threshold(which="first", on=date(2026, 10, 8), hr_bpm=165, hr_low_bpm=162, hr_high_bpm=168)
    moved = ATHLETE.model_copy(update={"thresholds": (*ATHLETE.thresholds, later)})
    found = week([session(0, athlete=moved), session(4, athlete=moved)], athlete=moved)
    assert found.easy.below == pytest.approx(40 + 55)
    assert found.easy.below * 60 == pytest.approx(found.domains.below_s)
    assert found.easy.several


def test_a_rowers_threshold_does_not_judge_her_runs():
    rowing = ATHLETE.thresholds[0].model_copy(update={"sport": "rowing"})
    athlete = ATHLETE.model_copy(update={"thresholds": (rowing,)})
    found = week([session(0, athlete=athlete)], athlete=athlete)
    assert (found.domains, found.easy) == (None, None)


def test_a_bound_makes_no_easy_and_no_zones_and_says_so():
    bound = Threshold(which="first", on=date(2026, 9, 1), hr_bpm=148, hr_high_bpm=148, bounded="below")
    athlete = ATHLETE.model_copy(update={"thresholds": (bound,)})
    found = week([session(0, athlete=athlete)], athlete=athlete)
    assert (found.domains, found.easy, found.zone_times) == (None, None, ())
    assert "only a bound of the first threshold is accepted, at most 148 bpm" in sentence(found.not_told[0])


def test_load_monotony_and_strain_of_the_week():
    found = week([session(0), session(2, rpe=6)]).load
    daily = [240, 0, 360, 0, 0, 0, 0]
    assert found.rpe_load == pytest.approx(600)
    assert found.monotony == pytest.approx(np.mean(daily) / np.std(daily))
    assert found.strain == pytest.approx(600 * np.mean(daily) / np.std(daily))


def test_a_missing_rating_is_said_and_never_counted_as_zero():
    found = week([session(0), session(2, rpe=None)])
    assert found.load.rpe_load is None
    assert found.load.monotony is None
    assert found.load.rpe_missing == 1
    assert any("1 of 2 had none" in sentence(code) for code in found.not_told)


def test_easy_sessions_are_held_against_the_threshold_with_its_doubt():
    easy = week([session(0, minutes=(60, 0, 0)), session(2, minutes=(60, 0, 0))]).easy
    assert easy.share.verdict == "easy"
    hard = week([session(0, minutes=(20, 40, 0)), session(2, minutes=(20, 40, 0))]).easy
    assert hard.share.verdict == "not easy"
    assert week([session(0, planned="intervals")]).easy is None


def test_thresholds_carry_their_age():
    old = week([session(0)]).thresholds[0]
    assert old.weeks == pytest.approx(40 / 7)
    assert not old.is_stale
    settings = SETTINGS.model_copy(update={"stale_after_weeks": 3})
    assert analyse_week("2026-W41", [session(0)], ATHLETE, settings=settings).thresholds[0].is_stale


def test_a_new_athlete_gets_a_week_that_says_what_is_missing():
    new = Athlete(slug="n", name="New")
    found = week([session(0, athlete=new)], athlete=new)
    assert found.domains is None
    assert found.zone_times == ()
    assert len(found.not_told) == 3
    assert "no first threshold is known yet" in sentence(found.not_told[0])


def test_an_empty_week_is_a_week():
    found = week([])
    assert found.sessions == ()
    assert found.load.rpe_load is None
    assert found.not_told == ()


def test_a_week_may_begin_on_sunday():
    settings = SETTINGS.model_copy(update={"week_starts": "sunday"})
    found = analyse_week("2026-W41", [session(-1), session(5), session(6)], ATHLETE, settings=settings)
    assert [s.recording for s in found.sessions] == ["s-1", "s5"]


def test_an_unknown_week_is_refused():
    with pytest.raises(BadArgument, match='such as "2026-W41"; found "2026-W60"'):
        analyse_week("2026-W60", [], ATHLETE, settings=SETTINGS)
