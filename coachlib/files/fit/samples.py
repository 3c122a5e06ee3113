"""From the records of one session to the columns of ``Activity.samples``: cleaned, merged, in order."""

import numpy as np
import pandas as pd

from coachlib.files.fit.messages import SAMPLE_FIELDS
from coachlib.files.fit.parts import Session
from coachlib.quantities import SAMPLE_QUANTITIES

_WORDS = {
    "hr_bpm": "heart rate",
    "speed_mps": "speed",
    "power_w": "power",
    "cadence_rpm": "cadence",
    "altitude_m": "altitude",
    "distance_m": "distance",
    "temperature_c": "temperature",
}


def samples_of(session: Session, pauses: list[tuple[float, float]]) -> tuple[pd.DataFrame, float, list[str]]:
    """Samples of a session, the clock time of its first record, and what was odd about them.

    ``pauses`` are timer pauses on the file's clock, in order and apart.
    """
    caveats: list[str] = []
    times = session.times
    columns = {name: session.messages.samples[name][session.rows] for name in SAMPLE_FIELDS}
    if session.sport == "running":
        columns["cadence_rpm"] = columns["cadence_rpm"] * 2.0  # the file counts one foot
    for name, values in columns.items():
        columns[name] = _plausible(name, values, caveats)
    n_disordered = int(np.count_nonzero(np.diff(session.rows) < 0))
    if n_disordered:
        caveats.append(f"records were out of order in time at {n_disordered:,} places; they were sorted")
    times, columns = _outside_pauses(times, columns, pauses, caveats)
    times, columns = _merged(times, columns, caveats)
    start = float(times[0])
    return pd.DataFrame({"time_s": times - start, **columns}), start, caveats


def _plausible(name: str, values: np.ndarray, caveats: list[str]) -> np.ndarray:
    """Values with what no sensor can mean set to missing, counted in words."""
    quantity = SAMPLE_QUANTITIES[name]
    outside = (values < quantity.lowest) | (values > quantity.highest)
    if name == "hr_bpm":
        n_zero = int(np.count_nonzero(values == 0.0))
        if n_zero:
            caveats.append(
                f"heart rate is written as 0 in {n_zero:,} of {values.size:,} records; these count as missing"
            )
        n_outside = int(np.count_nonzero(outside)) - n_zero
    else:
        n_outside = int(np.count_nonzero(outside))
    if n_outside:
        caveats.append(
            f"{_WORDS[name]} lies outside {quantity.lowest:g} to {quantity.highest:g} {quantity.unit} "
            f"in {n_outside:,} records; these count as missing"
        )
    return np.where(outside, np.nan, values)


def _outside_pauses(
    times: np.ndarray, columns: dict[str, np.ndarray], pauses: list[tuple[float, float]], caveats: list[str]
) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """The records that are not strictly inside a pause; all of them where none would be left."""
    if not pauses:
        return times, columns
    starts, stops = np.array(pauses).T
    before = np.searchsorted(starts, times, side="left") - 1
    paused = (before >= 0) & (times < stops[before])
    if paused.all():
        caveats.append("every record lies inside a pause of the timer; the timer's events were not believed")
        return times, columns
    if paused.any():
        caveats.append(
            f"{np.count_nonzero(paused):,} records lie inside pauses of the timer; they were left out"
        )
    return times[~paused], {name: values[~paused] for name, values in columns.items()}


def _merged(
    times: np.ndarray, columns: dict[str, np.ndarray], caveats: list[str]
) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """One row a time: of records with the same time the first value that is there, column by column."""
    unique, row = np.unique(times, return_inverse=True)
    if unique.size == times.size:
        return times, columns
    caveats.append(
        f"{times.size - unique.size:,} records share their time with another one; they were merged"
    )
    merged = {}
    for name, values in columns.items():
        there = np.flatnonzero(np.isfinite(values))[::-1]
        merged[name] = np.full(unique.size, np.nan)
        merged[name][row[there]] = values[there]  # backwards, so that the first one stays
    return unique, merged
