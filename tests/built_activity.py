"""Recordings built for tests: what they hold is known."""

from datetime import UTC, datetime

import numpy as np
import pandas as pd

from coachlib.records.activity import Activity

COLUMNS = (
    "time_s",
    "hr_bpm",
    "speed_mps",
    "power_w",
    "cadence_rpm",
    "altitude_m",
    "distance_m",
    "temperature_c",
)
START = datetime(2026, 10, 5, 15, 30, tzinfo=UTC)


def built_activity(*, seconds=3600, step_s=1.0, seed=1, **changes):
    """An activity of slowly wandering heart rate; columns and fields can be set by name."""
    time_s = np.arange(0.0, seconds, step_s)
    wander = np.cumsum(np.random.default_rng(seed).normal(0, 0.4, time_s.size))
    values = {"time_s": time_s, "hr_bpm": np.round(np.clip(140 + wander, 90, 180))}
    values.update({name: changes.pop(name) for name in COLUMNS if name in changes})
    samples = pd.DataFrame({name: np.full(time_s.shape, np.nan) for name in COLUMNS}).assign(**values)
    empty = pd.DataFrame({"start_s": np.zeros(0), "stop_s": np.zeros(0)})
    fields = {
        "samples": samples,
        "laps": empty.assign(number=np.zeros(0)),
        "pauses": empty.assign(why=np.zeros(0, dtype=object)),
        "rr_s": np.zeros(0),
        "rr_time_s": np.zeros(0),
        "started_at": START,
        "utc_offset_s": None,
        "sport": "running",
        "sub_sport": "",
        "is_indoor": False,
        "sha256": f"{seed:064x}",
        "part": 0,
        "parts": (),
        "device": "",
        "n_developer_fields": 0,
        "caveats": (),
    }
    return Activity(**{**fields, **changes})
