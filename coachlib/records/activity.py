"""One activity as it was recorded: samples, laps, pauses, beat intervals."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd

from coachlib.measures.common.codes import Code


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One session of a file that holds several: which, what, when, and how much heart rate it has."""

    number: int
    sport: str
    start_s: float
    stop_s: float
    hr_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Totals:
    """What the device itself summed up for a session; None where its file does not say.

    ``timer_s`` leaves pauses of the timer out, ``elapsed_s`` does not.
    """

    elapsed_s: float | None = None
    timer_s: float | None = None
    distance_m: float | None = None
    ascent_m: float | None = None
    hr_mean_bpm: float | None = None
    hr_max_bpm: float | None = None


@dataclass(frozen=True, kw_only=True, eq=False)
class Activity:
    """A decoded recording.  Nothing in it was smoothed, filled or removed by judgement.

    Parameters
    ----------
    samples : DataFrame
        One row a record, ``time_s`` increasing from 0: ``time_s``, ``hr_bpm``, ``speed_mps``, ``power_w``,
        ``cadence_rpm`` (running: steps of both feet), ``altitude_m``, ``distance_m``, ``temperature_c``;
        all float, missing is NaN, every column always present.
    laps, pauses : DataFrame
        ``start_s``, ``stop_s`` in elapsed seconds; pauses also ``why`` ("timer" or "gap"),
        laps also ``number`` from 1.
    rr_s, rr_time_s : ndarray
        Beat intervals [s] and the elapsed time at which each ended [s]; empty without a beat recording.
    started_at : datetime
        Aware UTC instant of the first record.
    utc_offset_s : float or None
        Local time minus UTC as the file has it, where that is sane.
    sport, sub_sport : str
        As in the file's profile ("running", "treadmill"); "" where unknown.
    is_indoor : bool
        By sub-sport, or because no position was recorded.
    sha256 : str
        Checksum of the file's bytes.
    part, parts
        Which session of the file this is, and all of them.
    device : str
        Opaque identity of the recording device (serial number as text), "" where unknown.
    heart_rate_sensor, power_sensor, stride_sensor : str
        Opaque identity of the connected strap ("wrist" for the watch's own sensor), power meter and foot pod, ""
        where unknown.
    n_developer_fields : int
        Developer fields met and left aside.
    totals : Totals
        The device's own totals of this session.
    caveats : tuple of Code
        What was salvaged, skipped or odd; ``report.words.files`` says it.
    """

    samples: pd.DataFrame
    laps: pd.DataFrame
    pauses: pd.DataFrame
    rr_s: np.ndarray
    rr_time_s: np.ndarray
    started_at: datetime
    utc_offset_s: float | None
    sport: str
    sub_sport: str
    is_indoor: bool
    sha256: str
    part: int
    parts: tuple[Part, ...]
    device: str
    heart_rate_sensor: str = ""
    power_sensor: str = ""
    stride_sensor: str = ""
    n_developer_fields: int
    totals: Totals = Totals()
    caveats: tuple[Code, ...]

    @property
    def elapsed_s(self) -> float:
        """Seconds from the first to the last record."""
        return float(self.samples["time_s"].iloc[-1]) if len(self.samples) else 0.0

    def local_start(self, time_zone: str | None) -> datetime:
        """Start in the athlete's zone; else with the file's own offset; else in UTC.

        The athlete's zone goes first because it knows about summer time and the file's offset may be
        a phone's guess.
        """
        if time_zone:
            return self.started_at.astimezone(ZoneInfo(time_zone))
        if self.utc_offset_s is not None:
            return self.started_at.astimezone(timezone(timedelta(seconds=self.utc_offset_s)))
        return self.started_at

    @property
    def is_transition(self) -> bool:
        """Whether this part of a file is the change from one sport to the next: named, not judged."""
        return self.sport == "transition"

    def started_on(self, time_zone: str | None) -> date:
        """The local calendar day of the start."""
        return self.local_start(time_zone).date()
