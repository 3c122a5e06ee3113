"""Decoded recordings kept as Parquet, so that a season opens in moments.

Nothing here is worth a backup: every file can be deleted at any time and is made again from the FIT file
it belongs to.  A stored activity is keyed by the checksum of the FIT bytes, the reader's version and the
layout's version, so that a change of any of them makes it anew.
"""

import hashlib
import json
from dataclasses import asdict
from datetime import datetime
from pathlib import Path

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq

from coachlib.errors import FileProblem
from coachlib.files.atomic import write_bytes
from coachlib.files.fit.reading import READER_VERSION, fit_bytes, read_fit_bytes
from coachlib.files.fit.stretches import laps_frame, pauses_frame
from coachlib.quantities import SAMPLE_QUANTITIES
from coachlib.records.activity import Activity, Part

#: Rises when the layout of the stored files changes.
SCHEMA_VERSION = 2

_META = b"coachlib"
_BEATS = ("rr_s", "rr_time_s")


def sha256_of(path: Path | str) -> str:
    """Checksum of a recording's bytes, as ``Activity.sha256``.

    Raises
    ------
    FileProblem
        When the file cannot be read.

    Examples
    --------
    >>> sha256_of("no_such_file.fit")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    coachlib.errors.FileProblem: the recording no_such_file.fit cannot be opened: ...
    """
    return hashlib.sha256(fit_bytes(path)).hexdigest()


class Store:
    """Decoded recordings in a folder.

    Parameters
    ----------
    folder : Path
        Made when it is first needed; may be deleted at any time, also while it is in use.

    Source
    ------
    This project's own choice: decoding takes most of a second for a long recording, reading it back
    a few thousandths.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = Path(folder)

    def activity(self, fit_path: Path | str, *, part: int | None = None) -> Activity:
        """The activity in a FIT file: from the store, else decoded and stored.

        Raises
        ------
        FileProblem
            As :func:`coachlib.files.fit.reading.read_fit`; refusals are not stored.  A store that cannot be
            read or written is passed over.
        """
        data = fit_bytes(fit_path)
        sha256 = hashlib.sha256(data).hexdigest()
        which = "longest" if part is None else f"part{part}"
        path = self.folder / f"{sha256}-r{READER_VERSION}-s{SCHEMA_VERSION}-{which}.parquet"
        stored = _load(path, sha256)
        if stored is not None:
            return stored
        activity = read_fit_bytes(data, part=part)
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            write_bytes(path, _packed(activity))
        except (OSError, FileProblem):
            pass  # the activity is there all the same; the store only saves time
        return activity


def _packed(activity: Activity) -> bytes:
    """An activity as the bytes of one Parquet file: samples and beats as columns, the rest as JSON."""
    n_rows = max(len(activity.samples), activity.rr_s.size)
    columns = {name: activity.samples[name].to_numpy() for name in activity.samples.columns}
    columns |= {"rr_s": activity.rr_s, "rr_time_s": activity.rr_time_s}
    table = pa.table({name: _padded(values, n_rows) for name, values in columns.items()})
    rest = {
        "n_samples": len(activity.samples),
        "n_beats": activity.rr_s.size,
        "laps": activity.laps[["start_s", "stop_s"]].to_numpy().tolist(),
        "pauses": activity.pauses.to_numpy().tolist(),
        "started_at": activity.started_at.isoformat(),
        "parts": [asdict(part) for part in activity.parts],
        **{name: getattr(activity, name) for name in _PLAIN},
    }
    buffer = pa.BufferOutputStream()
    pq.write_table(
        table.replace_schema_metadata({_META: json.dumps(rest, allow_nan=False).encode()}),
        buffer,
        compression="zstd",
        write_page_checksum=True,
    )
    return buffer.getvalue().to_pybytes()


#: Fields of an activity that are numbers and text as they are.
_PLAIN = (
    "utc_offset_s",
    "sport",
    "sub_sport",
    "is_indoor",
    "sha256",
    "part",
    "device",
    "heart_rate_sensor",
    "power_sensor",
    "stride_sensor",
    "n_developer_fields",
    "caveats",
)


def _padded(values: np.ndarray, n_rows: int) -> np.ndarray:
    return np.concatenate((values, np.full(n_rows - values.size, np.nan)))


def _load(path: Path, sha256: str) -> Activity | None:
    """A stored activity; None where there is none, or the file is damaged in any way."""
    try:
        data = path.read_bytes()
    except OSError:
        return None
    try:
        return _unpacked(data, sha256)
    except Exception:  # whatever a damaged file does to a decoder: decode the recording again
        return None


def _unpacked(data: bytes, sha256: str) -> Activity | None:
    """The activity in the bytes of a Parquet file."""
    table = pq.ParquetFile(pa.BufferReader(data), page_checksum_verification=True).read(use_threads=False)
    rest = json.loads(table.schema.metadata[_META])
    if rest["sha256"] != sha256:
        return None
    n_samples, n_beats = rest["n_samples"], rest["n_beats"]
    beats = {name: table[name].to_numpy()[:n_beats].copy() for name in _BEATS}
    return Activity(
        samples=pd.DataFrame({name: table[name].to_numpy()[:n_samples].copy() for name in SAMPLE_QUANTITIES}),
        laps=laps_frame([(start_s, stop_s) for start_s, stop_s in rest["laps"]]),
        pauses=pauses_frame([(start_s, stop_s, why) for start_s, stop_s, why in rest["pauses"]]),
        started_at=datetime.fromisoformat(rest["started_at"]),
        parts=tuple(Part(**part) for part in rest["parts"]),
        **beats,
        **{name: rest[name] for name in _PLAIN if name != "caveats"},
        caveats=tuple(rest["caveats"]),
    )
