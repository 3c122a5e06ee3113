import numpy as np
import pytest
from benchmarks.watch_calls import caught_moves, watch_rates
from hypothesis import given, settings
from hypothesis import strategies as st

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.season.threshold_watch import SILENT_WEEKS, drift_of_session, watch_threshold


def test_a_shorter_session_is_brought_to_an_hour():
    """Heart rate rises by 0.1 bpm a minute: halves of 60 minutes differ by 3 bpm, of 30 by 1.5."""
    whole = drift_of_session(143.0, 100 * 3.0 / 143.0, 1.0, minutes=60)
    half = drift_of_session(143.0, 100 * 1.5 / 143.0, 1.0, minutes=30)
    assert half.drift_pct == pytest.approx(whole.drift_pct)
    assert half.se_pct == 2 * whole.se_pct


def test_easy_sessions_only_give_a_bound():
    n = 36
    rng = np.random.default_rng(1)
    week, hr = np.repeat(np.arange(12), 3), rng.normal(132, 5, n)
    latest = watch_threshold(week, hr, rng.normal(1.0, 1.5, n), np.full(n, 1.2), n_weeks=12).latest
    assert latest.hr_bpm is None
    assert latest.at_least_bpm == pytest.approx(latest.hr_low_bpm - 3.0)


def test_hard_sessions_give_a_point_near_the_truth():
    """Drift 0.5 % a bpm, 5 % at 158."""
    rng = np.random.default_rng(2)
    week, hr = np.repeat(np.arange(12), 3), rng.normal(156, 6, 36)
    drift = np.maximum(0.5, 5 + 0.5 * (hr - 158)) + rng.normal(0, 1.5, 36)
    latest = watch_threshold(week, hr, drift, np.full(36, 1.0), n_weeks=12).latest
    assert abs(latest.hr_bpm - 158) < 4
    assert latest.hr_low_bpm < 158 < latest.hr_high_bpm


def test_a_wrong_accepted_threshold_is_doubted_but_never_moved():
    rng = np.random.default_rng(3)
    week, hr = np.repeat(np.arange(14), 4), rng.normal(150, 6, 56)
    drift = np.maximum(0.5, 5 + 0.6 * (hr - 146)) + rng.normal(0, 1.0, 56)
    watch = watch_threshold(week, hr, drift, np.full(56, 0.9), n_weeks=14, accepted_bpm=158.0)
    assert watch.latest.disagrees == "lower"
    assert watch.accepted_bpm == 158.0


def test_disagreement_needs_two_weeks():
    watch = watch_threshold([0] * 20, [150.0] * 20, [9.0] * 20, [0.3] * 20, n_weeks=2, accepted_bpm=160.0)
    assert watch.weeks[0].disagrees == ""
    assert watch.weeks[1].disagrees == "lower"


@pytest.mark.parametrize("shared", [-0.9, 0.9])
def test_an_error_of_drift_that_all_sessions_share_leaves_the_truth_inside(shared):
    """5 % at 152 bpm; every session drifts 0.9 % too little or too much, as a wrong slope makes it."""
    week, hr = np.repeat(np.arange(12), 4), np.random.default_rng(6).normal(150, 6, 48)
    drift = np.maximum(0.5, 5 + 0.45 * (hr - 152)) + shared
    watch = watch_threshold(week, hr, drift, np.full(48, 1.0), n_weeks=12, accepted_bpm=152.0)
    assert watch.latest.hr_low_bpm < 152.0 < watch.latest.hr_high_bpm
    assert not any(w.disagrees for w in watch.weeks)


def test_weeks_that_teach_nothing_are_counted():
    watch = watch_threshold([0], [155.0], [5.0], [0.5], n_weeks=SILENT_WEEKS + 2)
    assert watch.is_unchecked
    assert watch.latest.silent_weeks == SILENT_WEEKS + 1
    assert not watch_threshold([0], [155.0], [5.0], [0.5], n_weeks=1).is_unchecked


def test_the_interval_widens_while_nothing_is_known():
    weeks = watch_threshold([0, 0], [155.0, 156.0], [5.0, 5.2], [0.5, 0.5], n_weeks=9).weeks
    assert weeks[-1].hr_high_bpm - weeks[-1].hr_low_bpm > weeks[0].hr_high_bpm - weeks[0].hr_low_bpm


A_SESSION = st.tuples(st.integers(0, 5), st.floats(80.0, 200.0), st.floats(-10.0, 25.0), st.floats(0.2, 6.0))


@settings(max_examples=40, deadline=None)
@given(sessions=st.lists(A_SESSION, max_size=12), accepted=st.none() | st.floats(110.0, 185.0))
def test_whatever_the_sessions_say_every_week_is_in_order(sessions, accepted):
    week, hr, drift, se = (np.array([s[i] for s in sessions]) for i in range(4))
    watch = watch_threshold(week, hr, drift, se, n_weeks=6, accepted_bpm=accepted)
    assert len(watch.weeks) == 6
    for now in watch.weeks:
        assert np.isfinite([now.hr_low_bpm, now.hr_high_bpm]).all()
        assert now.at_least_bpm < now.hr_low_bpm < now.hr_high_bpm
        assert now.hr_bpm is None or now.hr_low_bpm <= now.hr_bpm <= now.hr_high_bpm
        assert accepted is not None or now.disagrees == ""


@pytest.mark.parametrize("mix", ["easy", "typical", "mixed", "hard"])
def test_simulated_training_keeps_its_targets(mix):
    found = watch_rates(60, 4, mix)
    # 0.85 asked for, less two standard errors of 60 seasons
    assert found["coverage"] >= 0.85 - 2 * (0.85 * 0.15 / 60) ** 0.5
    assert found["bound wrong"] <= 0.07
    assert found["false disagreement"] <= 0.07
    if mix == "easy":
        assert found["point printed"] == 0.0
    if mix == "hard":
        assert found["point printed"] >= 0.9


def test_a_threshold_that_moved_far_is_spoken_of_where_training_is_hard():
    found = caught_moves(40, 5, "hard", moves=(10, -10))
    assert min(found.values()) >= 0.75


def test_refusals_say_what_was_found():
    with pytest.raises(TooLittleData, match=r"30 steady minutes; this one has 5"):
        drift_of_session(140.0, 1.0, 0.5, minutes=5)
    with pytest.raises(BadArgument, match=r"covers weeks 0 to 2; a session lies in week 3"):
        watch_threshold([3], [150.0], [1.0], [0.5], n_weeks=3)
