import numpy as np
import pytest

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.first_threshold import beats


def uniform(n):
    """A sequence that any language reproduces: s <- (1103515245 s + 12345) mod 2^31, from 12345."""
    state, values = 12345, []
    for _ in range(n):
        state = (1103515245 * state + 12345) % 2**31
        values.append(state / 2**31)
    return np.array(values)


U = uniform(260)
RR_S = (450 + 10 * np.sin(2 * np.pi * np.arange(260) / 9) + 6 * (U - 0.5)) / 1000


def whole(rr_s):
    """Alpha1 of one window that holds the whole series."""
    centre_s, exponent = beats.alpha1(rr_s, width_s=float(rr_s.sum()), step_s=5)
    assert centre_s == pytest.approx([rr_s.sum() / 2])
    return exponent[0]


def plain(rr_s):
    """The textbook way, segment by segment, with a line fitted to each."""
    profile = np.cumsum(rr_s - rr_s.mean())
    logs = []
    for n in range(4, 17):
        segments = profile[: profile.size // n * n].reshape(-1, n).T
        coefficients = np.polynomial.polynomial.polyfit(np.arange(n), segments, 1)
        fitted = np.polynomial.polynomial.polyval(np.arange(n), coefficients).T
        logs.append(np.log(np.sqrt(((segments - fitted) ** 2).mean())))
    return np.polyfit(np.log(np.arange(4, 17)), logs, 1)[0]


@pytest.mark.parametrize(
    ("rr_s", "expected"),
    # neurokit2 0.2.12, fractal_dfa(scale=4..16, overlap=False), on the constructed series
    [(RR_S, 0.9813151), (U, 0.503406), (np.cumsum(U - 0.5) + 20, 1.456202)],
    ids=["heart beats", "noise", "walk"],
)
def test_alpha1_as_a_second_library_has_it(rr_s, expected):
    assert whole(rr_s) == pytest.approx(expected, abs=5e-7)


def test_a_missed_beat_and_its_repair():
    # both from the same library on the series with beats 131 and 132 joined, and with the two interpolated
    joined = np.concatenate((RR_S[:130], [RR_S[130] + RR_S[131]], RR_S[132:]))
    assert whole(joined) == pytest.approx(0.86104, abs=5e-6)
    assert np.flatnonzero(beats.flagged_beats(joined)).tolist() == [130]
    flagged = np.isin(np.arange(260), (130, 131))
    assert whole(beats.corrected_beats(RR_S, flagged)) == pytest.approx(0.98311, abs=5e-6)


def test_sliding_windows_agree_with_the_textbook_way():
    rng = np.random.default_rng(5)
    rr_s = 0.40 + 0.0005 * np.cumsum(rng.normal(0, 1, 1500)) + rng.normal(0, 0.004, 1500)
    centre_s, exponent = beats.alpha1(rr_s, width_s=120, step_s=7)
    ends = np.cumsum(rr_s)
    starts = ends - rr_s
    assert centre_s.size == int((ends[-1] - 120) // 7) + 1
    for middle, found in list(zip(centre_s, exponent, strict=True))[::9]:
        inside = (starts >= middle - 60 - 1e-9) & (ends <= middle + 60 + 1e-9)
        assert found == pytest.approx(plain(rr_s[inside]), abs=1e-9)


def test_a_drifting_mean_costs_no_digits():
    rng = np.random.default_rng(6)
    ramp = np.linspace(0.9, 0.3, 6000) + rng.normal(0, 0.003, 6000)
    _, exponent = beats.alpha1(ramp, width_s=120, step_s=600)
    first = np.cumsum(ramp) <= 120
    assert exponent[0] == pytest.approx(plain(ramp[first]), abs=1e-9)


def test_what_cannot_be_told_is_nan_or_empty():
    assert beats.alpha1(RR_S, width_s=600, step_s=5)[1].size == 0
    assert np.isnan(beats.alpha1(RR_S, width_s=10, step_s=5)[1]).all()
    assert np.isnan(beats.alpha1(np.full(400, 0.5), width_s=100, step_s=50)[1]).all()
    assert beats.alpha1(np.zeros(0), width_s=100, step_s=50)[1].size == 0


@pytest.mark.parametrize("bad", [np.nan, 0.0, -0.4])
def test_missing_intervals_are_refused(bad):
    rr_s = RR_S.copy()
    rr_s[7] = bad
    with pytest.raises(BadArgument, match="1 of 260 are missing or not above 0"):
        beats.alpha1(rr_s, width_s=60, step_s=5)
    with pytest.raises(BadArgument, match="above 0 s; found 0 and 5"):
        beats.alpha1(RR_S, width_s=0, step_s=5)


def test_planted_artefacts_are_found_and_clean_beats_left_alone():
    rng = np.random.default_rng(7)
    clean = 0.42 + rng.normal(0, 0.005, 3000)
    assert not beats.flagged_beats(clean).any()
    planted = np.sort(rng.choice(np.arange(10, 2990, 7), 60, replace=False))
    spoilt = clean.copy()
    spoilt[planted] *= rng.choice([0.75, 1.25, 2.0], 60)
    assert np.flatnonzero(beats.flagged_beats(spoilt)).tolist() == planted.tolist()
    corrected = beats.corrected_beats(spoilt, beats.flagged_beats(spoilt))
    assert abs(corrected[planted] - 0.42).max() < 0.02


def test_correction_brings_alpha1_back():
    """One beat in a hundred early and the next late: without correction alpha1 falls by more than 0.1."""
    rng = np.random.default_rng(8)
    clean = 0.4 + np.convolve(rng.normal(0, 0.003, 6010), np.ones(8) / 3, "valid")[:6000]
    spoilt = clean.copy()
    early = np.arange(50, 5900, 100)
    spoilt[early] *= 0.8
    spoilt[early + 1] *= 1.2
    mean = {}
    for name, rr_s in (("clean", clean), ("spoilt", spoilt)):
        mean[name] = np.mean(beats.alpha1(rr_s, width_s=120, step_s=60)[1])
    corrected = beats.corrected_beats(spoilt, beats.flagged_beats(spoilt))
    assert mean["spoilt"] < mean["clean"] - 0.1
    assert np.mean(beats.alpha1(corrected, width_s=120, step_s=60)[1]) == pytest.approx(
        mean["clean"], abs=0.03
    )


def test_very_variable_beats_widen_the_tolerance():
    rng = np.random.default_rng(9)
    rr_s = 0.8 + rng.normal(0, 0.06, 2000)
    assert beats.flagged_beats(rr_s).mean() < 0.005
    assert beats.flagged_beats(rr_s, tolerance_frac=0.05).mean() > 0.2


def test_missing_beats_are_flagged_and_nothing_is_left_of_nothing():
    assert beats.flagged_beats(np.array([0.5, np.nan, 0.5])).tolist() == [False, True, False]
    assert beats.flagged_beats(np.array([np.nan])).tolist() == [True]
    with pytest.raises(TooLittleData, match="all 3 are flagged"):
        beats.corrected_beats(np.full(3, np.nan), np.ones(3, dtype=bool))


def test_share_of_flagged_beats_a_window():
    flagged = np.arange(400) < 10
    share = beats.flagged_share(np.full(400, 0.5), flagged, width_s=100, step_s=100)
    assert share == pytest.approx([0.05, 0.0])


def test_heart_rate_of_each_window_comes_from_its_own_beats():
    rr_s = np.repeat([0.5, 0.4], [240, 300])
    assert beats.heart_rate_in_windows(rr_s, width_s=120, step_s=60) == pytest.approx([120.0, 135.0, 150.0])
    assert beats.heart_rate_in_windows(np.zeros(0), width_s=120, step_s=60).size == 0
    assert np.isnan(beats.heart_rate_in_windows(np.full(4, 60.0), width_s=30, step_s=30)[0])
