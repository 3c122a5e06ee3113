"""From the records of one session to the columns of ``Activity.samples``: cleaned, merged, in order."""

import numpy as np
import pandas as pd

from coachlib.files.fit.messages import SAMPLE_FIELDS
from coachlib.files.fit.parts import Session
from coachlib.measures.common.codes import Code, code
from coachlib.quantities import SAMPLE_QUANTITIES


def samples_of(session: Session, pauses: list[tuple[float, float]]) -> tuple[pd.DataFrame, float, list[Code]]:
    """Samples of a session, the clock time of its first record, and what was odd about them.

    ``pauses`` are timer pauses on the file's clock, in order and apart.
    """
    caveats: list[Code] = []
    times = session.times
    columns = {name: session.messages.samples[name][session.rows] for name in SAMPLE_FIELDS}
    if session.sport == "running":
        columns["cadence_rpm"] = columns["cadence_rpm"] * 2.0  # the file counts one foot
    for name, values in columns.items():
        columns[name] = _plausible(name, values, caveats)
    n_disordered = int(np.count_nonzero(np.diff(session.rows) < 0))
    if n_disordered:
        caveats.append(code("records out of order", n_places=n_disordered))
    times, columns = _outside_pauses(times, columns, pauses, caveats)
    times, columns = _merged(times, columns, caveats)
    start = float(times[0])
    return pd.DataFrame({"time_s": times - start, **columns}), start, caveats


def _plausible(name: str, values: np.ndarray, caveats: list[Code]) -> np.ndarray:
    """Values with what no sensor can mean set to missing, and counted."""
    quantity = SAMPLE_QUANTITIES[name]
    outside = (values < quantity.lowest) | (values > quantity.highest)
    n_outside = int(np.count_nonzero(outside))
    n_zero = int(np.count_nonzero(values == 0.0)) if name == "hr_bpm" else 0
    if n_zero:
        caveats.append(code("heart rate zero", n_records=n_zero, of_records=int(values.size)))
    if n_outside > n_zero:
        caveats.append(code("values outside range", quantity=name, n_records=n_outside - n_zero))
    return np.where(outside, np.nan, values)


def _outside_pauses(
    times: np.ndarray, columns: dict[str, np.ndarray], pauses: list[tuple[float, float]], caveats: list[Code]
) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """The records that are not strictly inside a pause; all of them where none would be left."""
    if not pauses:
        return times, columns
    starts, stops = np.array(pauses).T
    before = np.searchsorted(starts, times, side="left") - 1
    paused = (before >= 0) & (times < stops[before])
    if paused.all():
        caveats.append(code("timer not believed"))
        return times, columns
    if paused.any():
        caveats.append(code("records inside pauses", n_records=int(np.count_nonzero(paused))))
    return times[~paused], {name: values[~paused] for name, values in columns.items()}


def _merged(
    times: np.ndarray, columns: dict[str, np.ndarray], caveats: list[Code]
) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """One row a time: of records with the same time the first value that is there, column by column."""
    unique, row = np.unique(times, return_inverse=True)
    if unique.size == times.size:
        return times, columns
    caveats.append(code("records merged", n_records=int(times.size - unique.size)))
    merged = {}
    for name, values in columns.items():
        there = np.flatnonzero(np.isfinite(values))[::-1]
        merged[name] = np.full(unique.size, np.nan)
        merged[name][row[there]] = values[there]  # backwards, so that the first one stays
    return unique, merged
