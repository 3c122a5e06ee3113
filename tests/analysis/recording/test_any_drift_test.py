"""A drift test of any recording and any decisions ends in numbers and sentences, or in a refusal in words."""

import numpy as np
import pandas as pd
from built_activity import built_activity
from hypothesis import given, settings
from hypothesis import strategies as st

from coachlib.analysis.recording.drift_test import analyse_drift_test
from coachlib.errors import CoachError
from coachlib.records.decisions import Decisions, Exclusion, Stage, Window

HEARTS = {
    "nothing": lambda rng, n: np.full(n, np.nan),
    "one value": lambda rng, n: np.full(n, 150.0),
    "zeros": lambda rng, n: np.zeros(n),
    "steady": lambda rng, n: np.rint(150 + rng.normal(0, 1, n)),
    "wandering": lambda rng, n: 150 + np.cumsum(rng.normal(0, 0.2, n)),
    "half missing": lambda rng, n: np.where(rng.random(n) < 0.5, np.nan, 150.0),
}
COLUMNS = {
    "none": lambda rng, n: {},
    "speed": lambda rng, n: {"speed_mps": 3 + rng.normal(0, 0.2, n), "cadence_rpm": np.full(n, 150.0)},
    "standing": lambda rng, n: {"speed_mps": np.zeros(n), "temperature_c": np.full(n, 28.0)},
    "power": lambda rng, n: {"power_w": np.where(rng.random(n) < 0.3, np.nan, 200.0)},
    "hills": lambda rng, n: {
        "speed_mps": np.full(n, 3.0),
        "distance_m": 3.0 * np.arange(n),
        "altitude_m": 100 + np.cumsum(rng.normal(0, 0.3, n)),
    },
}
PAUSES = pd.DataFrame({"start_s": [1500.0, 2800.0], "stop_s": [1560.0, 3100.0], "why": ["timer", "gap"]})
STAGES = (
    Stage(start_s=0, stop_s=1000, speed_mps=2.0, grade=0.05),
    Stage(start_s=1000, stop_s=4000, speed_mps=2.5, grade=0.05),
)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(
    seconds=st.sampled_from((1, 61, 1300, 2900, 5000)),
    step_s=st.sampled_from((1.0, 4.0)),
    heart=st.sampled_from(sorted(HEARTS)),
    columns=st.sampled_from(sorted(COLUMNS)),
    paused=st.booleans(),
    window=st.sampled_from((None, (0.0, 700.0), (900.0, 4500.0), (4000.0, 9000.0))),
    stages=st.sampled_from(((), STAGES)),
    excluded=st.sampled_from(
        ((), (Exclusion(start_s=1000, stop_s=1040),), (Exclusion(start_s=0, stop_s=3000),))
    ),
    seed=st.integers(0, 99),
)
def test_any_recording_and_any_decisions(
    seconds, step_s, heart, columns, paused, window, stages, excluded, seed
):
    rng = np.random.default_rng(seed)
    n = np.arange(0.0, seconds, step_s).size
    changes = {"pauses": PAUSES} if paused else {}
    activity = built_activity(
        seconds=seconds, step_s=step_s, hr_bpm=HEARTS[heart](rng, n), **COLUMNS[columns](rng, n), **changes
    )
    windows = () if window is None else (Window(start_s=window[0], stop_s=window[1]),)
    decisions = Decisions(fit_sha256=activity.sha256, windows=windows, stages=stages, exclusions=excluded)
    before = activity.samples.copy(deep=True)
    found, refusal = None, "."
    try:
        found = analyse_drift_test(activity, decisions, hr_max_bpm=190, hr_per_output=24.2)
    except CoachError as refused:
        refusal = str(refused)
    pd.testing.assert_frame_equal(activity.samples, before)
    assert refusal.endswith(".")
    if found is not None:
        said = (found.verdict, *(f"{f.sentence} {f.consequence}" for f in found.findings), *found.caveats)
        assert not any("nan" in sentence.split() or "inf" in sentence.split() for sentence in said)
        assert np.isfinite([found.drift.drift_pct, *(f.number for f in found.findings)]).all()
        assert (found.where == "cannot tell") == any(f.severity == "void" for f in found.findings)
