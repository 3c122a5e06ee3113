"""Second opinions on the first threshold: what each source says, and whether it fits what drift says."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from built_activity import built_activity
from demo import simulate
from judging import stretch

from coachlib.analysis.first_threshold.agreement import (
    against_estimate,
    held_against_series,
    held_against_test,
)
from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.first_threshold.second_opinions import (
    BEATS,
    beats_opinion,
    lactate_opinion,
    opinions_on_test,
    ramp_opinion,
    talk_opinion,
)
from coachlib.analysis.first_threshold.series import analyse_series
from coachlib.errors import TooLittleData, UnfitTest
from coachlib.measures.first_threshold.estimate import FirstThreshold
from coachlib.records.athlete import Athlete
from coachlib.records.decisions import Decisions, Exclusion, Stage, Window
from coachlib.records.diary import DiaryRow

DAY = date(2026, 10, 3)
SHA = f"{1:064x}"
THRESHOLD_BPM = 152.0
ESTIMATE = FirstThreshold(
    hr_bpm=152.0, hr_low_bpm=146.0, hr_high_bpm=160.0, hr_q25_bpm=150.0, hr_q75_bpm=154.0, bounded="both",
    criterion_pct=5.0, n_tests=3, method="", caveats=(),
)  # fmt: skip


def with_beats(heart_bpm, *, seed=1):
    """A recording whose heart rate and beats come from the simulator; its memory fades at 152 bpm."""
    time_s = np.arange(float(len(heart_bpm)))
    rr_s = simulate.beats(
        time_s,
        np.asarray(heart_bpm, dtype=float),
        curve=simulate.DriftCurve(threshold_bpm=THRESHOLD_BPM),
        rng=np.random.default_rng(seed),
    )
    return built_activity(
        seconds=len(heart_bpm), hr_bpm=np.round(heart_bpm), rr_s=rr_s, rr_time_s=np.cumsum(rr_s)
    )


def steady(bpm, *, rise_bpm=0.0, seconds=5400):
    wander = 1.5 * np.sin(np.arange(seconds) / 45)
    return bpm + wander + rise_bpm * np.arange(seconds) / seconds


#: A belt that nobody changed: without a setting a test tells no side.
BELT = (Stage(start_s=0, stop_s=5400, speed_mps=2.5, grade=0.0),)


def decided(*, windows=((900, 4500, "steady"),), stages=BELT, **more):
    spans = tuple(Window(start_s=a, stop_s=b, purpose=why) for a, b, why in windows)
    return Decisions(fit_sha256=SHA, windows=spans, stages=stages, **more)


def diary(talk, on=DAY):
    return DiaryRow(on=on, talk=talk)


@pytest.mark.parametrize(("bpm", "says"), [(125.0, "below"), (151.0, "cannot tell"), (178.0, "above")])
def test_beats_of_a_steady_test_speak_for_the_side_that_is_true(bpm, says):
    activity = with_beats(steady(bpm))
    if says == "above":
        activity = of_a_hard_effort(activity)
    test = stretch(activity, decided())
    found = beats_opinion(activity, decided(), test, on=DAY)
    assert found.says == says
    assert found.hr_bpm == test.drift.first_half_bpm
    assert found.reading.n_windows == 10, "20 minutes are read, whatever the window's length"
    assert found.reading.se < 0.05


def of_a_hard_effort(activity):
    """Beats of a hard effort: a long one follows a short one."""
    noise = np.random.default_rng(2).normal(0, 0.004, activity.rr_s.size + 1)
    rr_s = np.round(0.34 + noise[1:] - 0.5 * noise[:-1], 3)
    return built_activity(
        seconds=len(activity.samples), hr_bpm=activity.samples["hr_bpm"].to_numpy(), rr_s=rr_s,
        rr_time_s=np.cumsum(rr_s),
    )  # fmt: skip


def test_a_recording_without_beats_has_no_opinion_and_computes_nothing(monkeypatch):
    activity = built_activity(seconds=5400, hr_bpm=np.round(steady(150)))
    monkeypatch.setattr("coachlib.analysis.first_threshold.second_opinions.steady_alpha1", None)
    assert beats_opinion(activity, decided(), stretch(activity, decided()), on=DAY) is None
    assert ramp_opinion(activity, decided(kind="ramp"), on=DAY) is None


def test_beats_that_are_missing_or_left_out_are_said():
    activity = with_beats(steady(130.0))
    talk = Exclusion(start_s=1000, stop_s=1030, reason="talking")
    left_out = decided(exclusions=(talk,))
    found = beats_opinion(activity, left_out, stretch(activity, left_out), on=DAY)
    assert found.reading.n_windows in (8, 9)
    assert found.reading.flagged_frac < 0.01
    lost = (activity.rr_time_s > 1500) & (activity.rr_time_s < 1650)
    holed = built_activity(
        seconds=5400,
        hr_bpm=activity.samples["hr_bpm"].to_numpy(),
        rr_s=activity.rr_s[~lost],
        rr_time_s=activity.rr_time_s[~lost],
    )
    opinions, silent = opinions_on_test(
        holed, decided(), stretch(holed, decided()), on=DAY, diary_row=diary("comfortable")
    )
    assert [o.source for o in opinions] == ["talk test"]
    assert silent[0].startswith("beat intervals cover 88 % of the 20 min that are read; 95 % are needed.")


def test_a_ramp_names_the_heart_rate_of_the_true_threshold():
    heart = np.concatenate([np.full(600, 115.0), np.linspace(118, 182, 1800), np.full(600, 120.0)])
    activity = with_beats(heart)
    by_window = ramp_opinion(activity, decided(windows=((600, 2400, "stage"),), kind="ramp"), on=DAY)
    assert by_window.hr_bpm == pytest.approx(THRESHOLD_BPM, abs=5)
    assert by_window.hr_low_bpm < by_window.hr_bpm - 20, "how far people differ is in the interval"
    stages = tuple(Stage(start_s=600 + 300 * n, stop_s=900 + 300 * n, power_w=100 + 20 * n) for n in range(6))
    by_stages = ramp_opinion(activity, decided(windows=(), stages=stages, kind="ramp"), on=DAY)
    assert by_stages.hr_bpm == by_window.hr_bpm
    with pytest.raises(UnfitTest, match="nothing says where the ramp begins and ends; draw a window"):
        ramp_opinion(activity, decided(windows=(), stages=(), kind="ramp"), on=DAY)
    with pytest.raises(TooLittleData, match="cover 50 % of the 100 min"):
        ramp_opinion(activity, decided(windows=((0, 6000, "stage"),), kind="ramp"), on=DAY)


def test_lactate_gives_the_middle_of_the_first_like_methods():
    """Stages and answers of the constructed check set: 11.83 km/h at 2 mmol/l, 11.0 and 11.83 above baseline."""
    lactate = np.array([1.1, 1.0, 1.2, 1.5, 2.1, 3.1, 4.9, 7.8])
    hr = np.array([118.0, 127, 136, 146, 155, 164, 172, 180])
    found = lactate_opinion(np.arange(8.0, 16.0), lactate, hr, on=DAY, sha256=SHA)
    rates = [t.hr_bpm for t in found.reading]
    assert {t.kind for t in found.reading} == {"first-like"}
    assert min(rates) < found.hr_bpm < max(rates)
    assert max(rates) == pytest.approx(153.5, abs=0.05)
    assert found.hr_low_bpm < min(rates)
    with pytest.raises(UnfitTest, match="no method finds a first threshold with a heart rate"):
        lactate_opinion(np.arange(8.0, 16.0), lactate, np.full(8, np.nan), on=DAY, sha256=SHA)


@pytest.mark.parametrize(
    ("talk", "says"), [("comfortable", "below"), ("equivocal", "near"), ("not", "above")]
)
def test_each_answer_to_the_talk_test(talk, says):
    """Common practice, no source; the equivocal answer near the threshold: Rodríguez-Marroyo et al. 2013."""
    assert talk_opinion(diary(talk), on=DAY, sha256=SHA, hr_bpm=150.0).says == says


def test_no_row_or_no_answer_is_no_opinion():
    assert talk_opinion(None, on=DAY, sha256=SHA, hr_bpm=150.0) is None
    assert talk_opinion(diary(None), on=DAY, sha256=SHA, hr_bpm=150.0) is None


@pytest.mark.parametrize(
    ("says", "hr_bpm", "sd_bpm", "verdict"),
    [
        ("below", 140.0, 0.0, "agrees"),
        ("below", 150.0, 0.0, "cannot tell"),
        ("below", 161.0, 0.0, "disagrees"),
        ("below", 161.0, 7.4, "cannot tell"),
        ("below", 170.0, 7.4, "disagrees"),
        ("above", 165.0, 0.0, "agrees"),
        ("above", 145.0, 0.0, "disagrees"),
        ("above", 145.0, 7.4, "cannot tell"),
        ("near", 147.0, 7.4, "agrees"),
        ("near", 162.0, 7.4, "cannot tell"),
        ("near", 170.0, 7.4, "disagrees"),
        ("near", 135.0, 7.4, "disagrees"),
        ("near", 135.0, 13.4, "cannot tell"),
        ("cannot tell", 120.0, 0.0, "cannot tell"),
    ],
)  # fmt: skip
def test_an_opinion_disagrees_only_beyond_both_scatters(says, hr_bpm, sd_bpm, verdict):
    """The estimate is 152 (146 to 160): above its middle the scatters are hypot(1.645 SD, 8), below hypot(.., 6)."""
    assert against_estimate(says, ESTIMATE, hr_bpm=hr_bpm, sd_bpm=sd_bpm) == verdict


@pytest.mark.parametrize(
    ("bounded", "says", "hr_bpm", "verdict"),
    [
        ("below", "below", 140.0, "agrees"),
        ("below", "near", 150.0, "cannot tell"),
        ("below", "below", 190.0, "cannot tell"),
        ("below", "above", 140.0, "disagrees"),
        ("above", "near", 150.0, "cannot tell"),
        ("above", "above", 165.0, "agrees"),
        ("above", "above", 120.0, "cannot tell"),
        ("above", "below", 165.0, "disagrees"),
    ],
)
def test_an_end_that_the_tests_do_not_hold_says_nothing(bounded, says, hr_bpm, verdict):
    one_sided = replace(ESTIMATE, bounded=bounded)
    assert against_estimate(says, one_sided, hr_bpm=hr_bpm, sd_bpm=0.0) == verdict


def series(*answers):
    """Tests at 140, 149 and 160 bpm that bracket 5 %, with these answers to the talk test."""
    members = [
        SeriesTest(
            on=date(2026, 10, 3 + 7 * n), first_half_bpm=hr, drift_pct=drift, se_pct=0.5, minutes=60,
            sha256=f"{n:064x}", conditions=diary(answer),
        )
        for n, (hr, drift, answer) in enumerate(zip((140, 149, 160), (1.0, 4.0, 9.0), answers, strict=True))
    ]  # fmt: skip
    return analyse_series(members, Athlete(slug="mira", name="Mira", hr_max_bpm=190))


def test_answers_of_a_series_are_held_against_its_estimate():
    held = held_against_series(series("comfortable", "equivocal", "not"), ())
    assert [(h.opinion.says, h.verdict) for h in held] == [
        ("below", "agrees"), ("near", "agrees"), ("above", "agrees")
    ]  # fmt: skip


def test_an_answer_far_on_the_wrong_side_disagrees_and_moves_nothing():
    plain, odd = series(None, None, None), series("not", None, None)
    (held,) = held_against_series(odd, ())
    assert (held.opinion.says, held.verdict) == ("above", "cannot tell"), "talking alone is not that sharp"
    assert odd.threshold == plain.threshold
    easy = analyse_series(
        [
            SeriesTest(
                on=DAY, first_half_bpm=hr, drift_pct=d, se_pct=0.5, minutes=60, conditions=diary(answer)
            )
            for hr, d, answer in ((130, 0.5, "not"), (152, 4.0, None), (160, 8.0, None))
        ],
        Athlete(slug="mira", name="Mira", hr_max_bpm=190),
    )
    assert [h.verdict for h in held_against_series(easy, ())] == ["disagrees"]


def test_beats_count_only_while_their_test_is_in_the_series_and_ramps_always():
    from_beats = with_beats(steady(125.0))
    opinion = beats_opinion(from_beats, decided(), stretch(from_beats, decided()), on=DAY)
    ramp = ramp_opinion(
        with_beats(np.linspace(118, 182, 1800), seed=3),
        decided(windows=((0, 1800, "stage"),)),
        on=date(2026, 10, 28),
    )
    held = held_against_series(series(None, None, None), (ramp, opinion))
    assert [h.opinion.source for h in held] == [BEATS, "ramp with beat intervals"]
    assert held[1].verdict == "agrees"
    assert opinion.sha256 == SHA == series(None, None, None).tests[1].test.sha256
    assert held[0].verdict == "cannot tell", "the series counts that test at 149 bpm, inside the estimate"
    without = analyse_series(
        [series(None, None, None).tests[0].test], Athlete(slug="mira", name="Mira", hr_max_bpm=190)
    )
    assert [h.opinion.source for h in held_against_series(without, (ramp, opinion))] == [ramp.source]


@pytest.mark.parametrize(
    ("rise_bpm", "talk", "verdict"),
    [
        (1.0, "comfortable", "agrees"),
        (1.0, "not", "disagrees"),
        (1.0, "equivocal", "cannot tell"),
        (36.0, "comfortable", "disagrees"),
        (36.0, "not", "agrees"),
        (20.0, "equivocal", "agrees"),
        (20.0, "not", "cannot tell"),
    ],
)  # fmt: skip
def test_one_test_and_its_talk_test(rise_bpm, talk, verdict):
    """Rises over 90 min of 130 bpm: drift of an hour is about a third of them, in per cent of 130 bpm."""
    activity = built_activity(seconds=5400, hr_bpm=np.round(steady(130.0, rise_bpm=rise_bpm), 1))
    test = stretch(activity, decided())
    opinions, silent = opinions_on_test(activity, decided(), test, on=DAY, diary_row=diary(talk))
    assert silent == ()
    assert [h.verdict for h in held_against_test(test, opinions)] == [verdict]


def test_a_void_test_agrees_with_nothing():
    activity = built_activity(seconds=5400, hr_bpm=np.round(steady(130.0)))
    changed = decided(
        stages=(
            Stage(start_s=0, stop_s=2500, speed_mps=2.5, grade=0.0),
            Stage(start_s=2500, stop_s=5400, speed_mps=2.9, grade=0.0),
        )
    )
    test = stretch(activity, changed)
    assert test.is_void
    opinions, _ = opinions_on_test(activity, changed, test, on=DAY, diary_row=diary("comfortable"))
    assert [h.verdict for h in held_against_test(test, opinions)] == ["cannot tell"]
