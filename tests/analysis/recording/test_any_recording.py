"""Any recording under any decisions ends in numbers and sentences, or in words why there are none."""

import numpy as np
import pandas as pd
from built_activity import built_activity
from hypothesis import given, settings
from hypothesis import strategies as st

from coachlib.analysis.recording.judge import judge
from coachlib.records.athlete import Athlete
from coachlib.records.decisions import Decisions, Exclusion, Stage, Window
from coachlib.report.words.catalogue import whole
from coachlib.report.words.recording import verdict

SOMEBODY = Athlete(slug="a", name="A", hr_max_bpm=190)

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
    judged = judge("s", activity, decisions, SOMEBODY)
    pd.testing.assert_frame_equal(activity.samples, before)
    found = judged.steady
    assert (found is None) == (judged.not_steady is not None)
    said = [whole(judged.not_steady)] if judged.not_steady else []
    if found is not None:
        said = [verdict(found), *(whole(f.code) for f in found.findings), *map(whole, found.caveats)]
        assert np.isfinite([found.drift.drift_pct, found.told.drift_pct, found.told_se_pct]).all()
        assert (found.meaning.name == "void") == any(f.severity == "void" for f in found.findings)
    assert not any({"nan", "inf", "None"} & set(sentence.split()) for sentence in said)
