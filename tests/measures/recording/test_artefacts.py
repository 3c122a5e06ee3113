import numpy as np
import pytest
from benchmarks.runs import steady_run
from hypothesis import given, settings
from hypothesis import strategies as st

from coachlib.measures.common.spans import Span, inside
from coachlib.measures.recording.artefacts import cannot_be_told_from_cadence, effect_pct, suggest_exclusions


@pytest.fixture
def run():
    """An hour at one setting, normal noise, nothing to find in it."""
    return steady_run(np.random.default_rng(21), minutes=60, drift_pct=3.0)


def lifted(hr_bpm, at, length, by):
    """A bulge that rises with a time constant of 4 s and falls with one of 8 s."""
    shape = np.concatenate((1 - np.exp(-np.arange(length) / 4), np.exp(-np.arange(24) / 8)))
    out = hr_bpm.copy()
    out[at : at + shape.size] = np.rint(out[at : at + shape.size] + by * shape)
    return out


def reasons_at(run, hr_bpm, at, **options):
    """Reasons of the spans that cover most of the place."""
    spans = suggest_exclusions(run.time_s, hr_bpm, **options)
    start, stop = at
    return [s.reason for s in spans if min(s.stop_s, stop) - max(s.start_s, start) > 0.5 * (stop - start)]


def test_a_sustained_high_note_is_found_and_its_effect_shown(run):
    """Common practice, no source: a held high note lifts heart rate by about 10 bpm after some 8 s."""
    hr = lifted(run.hr_bpm, 2500, 20, 10)
    window = Span(start_s=0, stop_s=3600)
    spans = suggest_exclusions(run.time_s, hr, window=window)
    (found,) = [s for s in spans if s.start_s < 2520 and s.stop_s > 2500]
    assert found.reason == "rise"
    assert abs(found.start_s - 2500) < 6
    assert 24 < found.length_s < 60
    assert found.effect_pct == pytest.approx(100 * 10 * 26 / (1800 * 150), abs=0.03)


@pytest.mark.parametrize("length", [8, 12, 20, 40])
def test_nine_of_ten_rises_of_ten_beats_are_found(length):
    rng, hits = np.random.default_rng(length), 0
    for _ in range(20):
        run = steady_run(rng, minutes=40)
        at = int(rng.integers(400, 1900))
        spans = suggest_exclusions(run.time_s, lifted(run.hr_bpm, at, length, 10))
        hits += inside(run.time_s, spans)[at + 4 : at + length].mean() > 0.5
    assert hits >= 18


def test_clean_hours_are_left_in_peace():
    rng = np.random.default_rng(22)
    runs = [steady_run(rng, minutes=60) for _ in range(30)]
    found = [s for r in runs for s in suggest_exclusions(r.time_s, r.hr_bpm)]
    assert len(found) <= 0.2 * len(runs)


def test_a_dropout_a_flat_line_and_static(run):
    hr = run.hr_bpm.copy()
    hr[600:640] = np.nan
    hr[1500:1640] = 151.0
    hr[2500:2540] += np.random.default_rng(1).uniform(25, 50, 40)
    assert "dropout" in reasons_at(run, hr, (600, 640))
    assert "flat" in reasons_at(run, hr, (1500, 1640))
    assert "static" in reasons_at(run, hr, (2500, 2540))


def test_a_reading_no_heart_gives_is_a_dropout(run):
    hr = run.hr_bpm.copy()
    hr[900:910] = 230.0
    hr[1900:1910] = 201.0
    assert "dropout" in reasons_at(run, hr, (900, 910))
    assert "dropout" in reasons_at(run, hr, (1900, 1910), hr_max_bpm=190.0)


def test_rows_that_are_missing_from_a_one_second_recording_are_a_dropout(run):
    kept = (run.time_s < 1000) | (run.time_s >= 1008)
    (found,) = suggest_exclusions(run.time_s[kept], run.hr_bpm[kept])
    assert (found.reason, found.start_s, found.stop_s) == ("dropout", 1000, 1008)


def test_a_recorder_that_saves_space_has_no_dropouts(run):
    rng = np.random.default_rng(23)
    kept = np.unique(np.cumsum(rng.choice([1, 1, 1, 2, 4, 6, 8], 1400)))
    kept = kept[kept < 3600]
    hr = lifted(run.hr_bpm, 2000, 30, 10)
    spans = suggest_exclusions(run.time_s[kept], hr[kept])
    assert "dropout" not in {s.reason for s in spans}
    assert inside(np.arange(2004.0, 2030.0), spans).mean() > 0.5


def test_a_lock_on_cadence_is_found_and_a_runner_at_cadence_is_told(run):
    cadence = np.full(3600, 176.0)
    hr = run.hr_bpm.copy()
    hr[1200:1500] = np.rint(176 + np.random.default_rng(2).normal(0, 0.7, 300))
    assert "cadence lock" in reasons_at(run, hr, (1200, 1500), cadence_rpm=cadence)
    assert not cannot_be_told_from_cadence(run.time_s, hr, cadence)
    level = run.hr_bpm + 24
    assert cannot_be_told_from_cadence(run.time_s, level, level + 1)
    assert not [
        s for s in suggest_exclusions(run.time_s, level, cadence_rpm=level) if s.reason == "cadence lock"
    ]


def test_a_change_of_level_is_no_artefact(run):
    hr = run.hr_bpm + np.where(run.time_s > 1800, 12 * (1 - np.exp(-(run.time_s - 1800) / 58)), 0)
    assert [s for s in suggest_exclusions(run.time_s, np.rint(hr)) if s.reason == "rise"] == []


def test_rises_are_looked_for_only_where_the_setting_was_constant(run):
    hr = lifted(run.hr_bpm, 2500, 20, 12)
    early = (Span(start_s=0, stop_s=2000),)
    assert reasons_at(run, hr, (2500, 2520)) == ["rise"]
    assert reasons_at(run, hr, (2500, 2520), constant=early) == []
    just_changed = (Span(start_s=0, stop_s=2400), Span(start_s=2400, stop_s=3600))
    assert reasons_at(run, hr, (2500, 2520), constant=just_changed) == []


@pytest.mark.parametrize(
    ("amplitude", "length", "effect"), [(10, 20, 0.07), (10, 30, 0.11), (10, 60, 0.22), (10, 300, 1.11)]
)
def test_effect_of_one_span_left_in(amplitude, length, effect):
    """100 A d/(1800 x 150), two printed digits."""
    t = np.arange(3600.0)
    hr = np.where((t >= 2400) & (t < 2400 + length), 150.0 + amplitude, 150.0)
    span, window = Span(start_s=2400, stop_s=2400 + length), Span(start_s=0, stop_s=3600)
    assert effect_pct(t, hr, span, window) == pytest.approx(effect, abs=0.005)
    assert effect_pct(t, hr, Span(start_s=5000, stop_s=5100), window) == 0.0


@pytest.mark.parametrize(
    ("time_s", "hr_bpm"),
    [
        (np.zeros(0), np.zeros(0)),
        (np.zeros(1), np.full(1, 150.0)),
        (np.arange(5.0), np.full(5, np.nan)),
        (np.arange(40.0), np.full(40, 150.0)),
    ],
)
def test_next_to_nothing_gives_nothing(time_s, hr_bpm):
    assert suggest_exclusions(time_s, hr_bpm, cadence_rpm=hr_bpm) == ()


@settings(max_examples=25, deadline=None)
@given(
    seed=st.integers(0, 2**20),
    n=st.integers(2, 900),
    missing=st.floats(0, 1),
    step=st.sampled_from([0.5, 1.0, 4.0, 30.0]),
)
def test_any_recording_gives_ordered_spans_and_stays_as_it_was(seed, n, missing, step):
    rng = np.random.default_rng(seed)
    t = np.cumsum(rng.uniform(0.2, 2, n) * step)
    hr = np.rint(rng.uniform(30, 240, n))
    hr[rng.random(n) < missing] = np.nan
    cadence = np.where(rng.random(n) < 0.2, np.nan, 170.0)
    before = t.copy(), hr.copy(), cadence.copy()
    spans = suggest_exclusions(t, hr, cadence_rpm=cadence, window=Span(start_s=t[0], stop_s=t[-1] + 1))
    assert all(np.array_equal(a, b, equal_nan=True) for a, b in zip(before, (t, hr, cadence), strict=True))
    assert all(s.stop_s > s.start_s for s in spans)
    assert [s.start_s for s in spans] == sorted(s.start_s for s in spans)
    assert all(np.isfinite(s.effect_pct) for s in spans)
    assert {s.reason for s in spans} <= {"dropout", "flat", "static", "rise", "dip", "cadence lock"}


def test_the_clock_does_not_matter(run):
    hr = lifted(run.hr_bpm, 2500, 20, 10)
    spans = suggest_exclusions(run.time_s, hr)
    moved = suggest_exclusions(run.time_s + 7200, hr)
    assert [(s.start_s + 7200, s.stop_s + 7200, s.reason) for s in spans] == [
        (s.start_s, s.stop_s, s.reason) for s in moved
    ]
