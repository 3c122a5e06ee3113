"""A decoded recording as bytes and back: samples and beats as Parquet columns, the rest as JSON, all of it checked.

The checksum in front covers everything behind it, so that no flipped bit, in a value or in a start time, is read.
"""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict
from datetime import date, datetime
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq

from coachlib.files.fit.stretches import laps_frame, pauses_frame
from coachlib.measures.common.codes import Code, Value
from coachlib.quantities import SAMPLE_QUANTITIES
from coachlib.records.activity import Activity, Part, Totals

_META = b"coachlib"
_BEATS = ("rr_s", "rr_time_s")
_CHECKSUM_BYTES = 32
#: Fields of an activity that are numbers and text as they are.
_PLAIN = (
    "utc_offset_s",
    "sport",
    "sub_sport",
    "is_indoor",
    "part",
    "device",
    "heart_rate_sensor",
    "power_sensor",
    "stride_sensor",
    "n_developer_fields",
)


def packed(parts: Sequence[Activity]) -> bytes:
    """The parts of one recording as bytes."""
    samples = {
        name: np.concatenate([p.samples[name].to_numpy() for p in parts]) for name in SAMPLE_QUANTITIES
    }
    beats = {name: np.concatenate([getattr(p, name) for p in parts]) for name in _BEATS}
    n_rows = max(samples["time_s"].size, beats["rr_s"].size)
    table = pa.table({name: _padded(values, n_rows) for name, values in (samples | beats).items()})
    rest = {
        "sha256": parts[0].sha256,
        "all": [asdict(part) for part in parts[0].parts],
        "parts": [_rest(part) for part in parts],
    }
    buffer = pa.BufferOutputStream()
    pq.write_table(
        table.replace_schema_metadata({_META: json.dumps(rest, allow_nan=False).encode()}),
        buffer,
        compression="zstd",
    )
    content = buffer.getvalue().to_pybytes()
    return hashlib.sha256(content).digest() + content


def unpacked(data: bytes, sha256: str) -> tuple[Activity, ...] | None:
    """The parts in the bytes; None where they are not those of the recording with this checksum, or damaged."""
    content = data[_CHECKSUM_BYTES:]
    if hashlib.sha256(content).digest() != data[:_CHECKSUM_BYTES]:
        return None
    table = pq.ParquetFile(pa.BufferReader(content)).read(use_threads=False)
    rest = json.loads(table.schema.metadata[_META])
    if rest["sha256"] != sha256:
        return None
    columns = {name: table[name].to_numpy() for name in table.column_names}
    every = tuple(Part(**part) for part in rest["all"])
    found, sample, beat = [], 0, 0
    for part in rest["parts"]:
        next_sample, next_beat = sample + part["n_samples"], beat + part["n_beats"]
        own = {name: columns[name][sample:next_sample].copy() for name in SAMPLE_QUANTITIES}
        beats = {name: columns[name][beat:next_beat].copy() for name in _BEATS}
        found.append(_activity(part, own, beats, every, sha256))
        sample, beat = next_sample, next_beat
    return tuple(found)


def _rest(activity: Activity) -> dict[str, Any]:
    """What is no column."""
    return {
        "n_samples": len(activity.samples),
        "n_beats": int(activity.rr_s.size),
        "laps": activity.laps[["start_s", "stop_s"]].to_numpy().tolist(),
        "pauses": activity.pauses.to_numpy().tolist(),
        "started_at": activity.started_at.isoformat(),
        "totals": asdict(activity.totals),
        "caveats": [[c.name, [[name, _plain(value)] for name, value in c]] for c in activity.caveats],
        **{name: getattr(activity, name) for name in _PLAIN},
    }


def _activity(
    rest: dict[str, Any],
    samples: dict[str, np.ndarray],
    beats: dict[str, np.ndarray],
    every: tuple[Part, ...],
    sha256: str,
) -> Activity:
    return Activity(
        samples=pd.DataFrame(samples),
        laps=laps_frame([(start_s, stop_s) for start_s, stop_s in rest["laps"]]),
        pauses=pauses_frame([(start_s, stop_s, why) for start_s, stop_s, why in rest["pauses"]]),
        started_at=datetime.fromisoformat(rest["started_at"]),
        totals=Totals(**rest["totals"]),
        sha256=sha256,
        parts=every,
        caveats=tuple(
            Code(name, tuple((key, _value(value)) for key, value in values))
            for name, values in rest["caveats"]
        ),
        rr_s=beats["rr_s"],
        rr_time_s=beats["rr_time_s"],
        **{name: rest[name] for name in _PLAIN},
    )


def _padded(values: np.ndarray, n_rows: int) -> np.ndarray:
    return np.concatenate((values, np.full(n_rows - values.size, np.nan)))


def _plain(value: Value) -> Any:
    """A code's value as JSON has it."""
    if isinstance(value, datetime):
        return {"at": value.isoformat()}
    if isinstance(value, date):
        return {"on": value.isoformat()}
    return list(value) if isinstance(value, tuple) else value


def _value(plain: Any) -> Value:
    """A code's value from JSON."""
    if isinstance(plain, dict):
        return datetime.fromisoformat(plain["at"]) if "at" in plain else date.fromisoformat(plain["on"])
    return tuple(plain) if isinstance(plain, list) else plain
