"""Whatever a recorder writes, the measures of a steady test answer with numbers or with a refusal in words."""

from dataclasses import dataclass

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from coachlib.errors import CoachError
from coachlib.measures.common.spans import Span
from coachlib.measures.drift_test import decoupling, drift
from coachlib.measures.recording import artefacts, steady

SIZES = (0, 1, 2, 5, 61, 121, 300, 900, 2000, 3700)
STEPS = {
    "every second": lambda rng, n: np.ones(n),
    "saving space": lambda rng, n: rng.integers(1, 8, n).astype(float),
    "holes": lambda rng, n: np.where(rng.random(n) < 0.01, rng.integers(20, 900, n), 1).astype(float),
    "uneven": lambda rng, n: rng.uniform(0.3, 2.7, n),
    "four a second": lambda rng, n: np.full(n, 0.25),
    "hours apart": lambda rng, n: np.where(np.arange(n) == n // 2, 20000.0, 1.0),
}
HEARTS = {
    "nothing": lambda rng, n: np.full(n, np.nan),
    "one value": lambda rng, n: np.full(n, 150.0),
    "one reading": lambda rng, n: np.where(np.arange(n) == n // 3, 150.0, np.nan),
    "whole numbers": lambda rng, n: np.rint(150 + rng.normal(0, 2, n)).astype(int),
    "wandering": lambda rng, n: 150 + np.cumsum(rng.normal(0, 0.3, n)),
    "zeros": lambda rng, n: np.zeros(n),
    "anything": lambda rng, n: rng.uniform(0, 255, n),
    "infinite at times": lambda rng, n: np.where(rng.random(n) < 0.02, np.inf, 150.0),
    "half missing": lambda rng, n: np.where(rng.random(n) < 0.5, np.nan, 150 + rng.normal(0, 1, n)),
}
OUTPUTS = {
    "unknown": lambda rng, n: np.full(n, np.nan),
    "held": lambda rng, n: np.full(n, 3.0),
    "standing": lambda rng, n: np.zeros(n),
    "varying": lambda rng, n: 3 + rng.normal(0, 0.5, n),
    "half missing": lambda rng, n: np.where(rng.random(n) < 0.5, np.nan, 3.0),
}


@dataclass(frozen=True)
class Odd:
    """A recording by the names of its oddities, so that a failing one can be read."""

    n: int
    step: str
    heart: str
    outputs: str
    used_frac: float
    start_s: float
    length_s: float
    seed: int

    def arrays(self):
        rng = np.random.default_rng(self.seed)
        steps = STEPS[self.step](rng, self.n)
        time_s = np.cumsum(steps) - steps[:1].sum()
        heart, output = HEARTS[self.heart](rng, self.n), OUTPUTS[self.outputs](rng, self.n)
        return time_s, heart, output, rng.random(self.n) < self.used_frac

    @property
    def ends(self):
        return {"start_s": self.start_s, "stop_s": self.start_s + self.length_s}


odd_recordings = st.builds(
    Odd,
    n=st.sampled_from(SIZES),
    step=st.sampled_from(sorted(STEPS)),
    heart=st.sampled_from(sorted(HEARTS)),
    outputs=st.sampled_from(sorted(OUTPUTS)),
    used_frac=st.sampled_from((1.0, 0.9, 0.3, 0.0)),
    start_s=st.sampled_from((0.0, -500.0, 600.5, 1e6)),
    length_s=st.sampled_from((3600.0, 1200.0, 600.0, 1.0, 0.0, -5.0, 1e5)),
    seed=st.integers(0, 99),
)
tried = settings(max_examples=80, deadline=None, derandomize=True)


def answer(measure, *arrays, **options):
    """The answer, or None where it was refused in words a coach can read."""
    before = [a.copy() for a in arrays]
    found, refusal = None, "."
    try:
        found = measure(*arrays, **options)
    except CoachError as refused:
        refusal = str(refused)
    assert refusal.endswith(".")
    for was, is_now in zip(before, arrays, strict=True):
        np.testing.assert_array_equal(was, is_now)
    return found


@tried
@given(odd_recordings)
def test_drift_is_finite_or_refused_and_its_map_agrees(odd):
    time_s, hr_bpm, _, used = odd.arrays()
    found = answer(drift.heart_rate_drift, time_s, hr_bpm, used, **odd.ends)
    if found is None:
        return
    assert np.isfinite((found.drift_pct, found.se_pct, found.slope_drift_pct, found.first_half_bpm)).all()
    assert found.drift_low_pct <= found.drift_pct <= found.drift_high_pct
    assert found.day_low_pct < found.drift_pct < found.day_high_pct
    starts, stops = (np.array([odd.ends[name]]) for name in ("start_s", "stop_s"))
    (cell,) = drift.drift_map(time_s, hr_bpm, used, starts_s=starts, stops_s=stops)[0]
    assert np.isnan(cell) or abs(cell - found.drift_pct) < 1e-9


@tried
@given(odd_recordings)
def test_drift_against_output_is_finite_or_refused(odd):
    arrays = odd.arrays()
    decoupled = answer(decoupling.decoupling, *arrays, **odd.ends)
    assert decoupled is None or np.isfinite((decoupled.loss_pct, decoupled.ratio_pct)).all()


@tried
@given(odd_recordings)
def test_suggested_spans_lie_in_the_recording_with_finite_effects(odd):
    time_s, hr_bpm, output, _ = odd.arrays()
    window = Span(start_s=odd.start_s, stop_s=odd.start_s + max(odd.length_s, 1.0))
    spans = answer(
        artefacts.suggest_exclusions, time_s, hr_bpm, cadence_rpm=60 * output, hr_max_bpm=190, window=window
    )
    for span in spans:
        assert time_s[0] <= span.start_s < span.stop_s <= time_s[-1] + 2
        assert np.isfinite(span.effect_pct)


@tried
@given(odd_recordings)
def test_a_window_is_suggested_or_refused(odd):
    time_s, hr_bpm, output, _ = odd.arrays()
    pause = Span(start_s=100, stop_s=400)
    changes = answer(steady.setting_changes, time_s, output, floor=steady.SPEED_FLOOR_MPS)
    window = answer(steady.suggest_window, time_s, hr_bpm, output, pauses=[pause])
    if window is not None:
        steady.why_not_steady(time_s, output, window=window, pauses=[pause])
    assert list(changes) == sorted(changes)
    assert (window is None) == (odd.n == 0)
    assert window is None or window.stop_s > window.start_s
