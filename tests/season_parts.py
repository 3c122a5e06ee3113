"""Sessions, readings and weeks built for tests of seasons and call sheets: what they hold is known."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from types import SimpleNamespace

import numpy as np

from coachlib.analysis.recording.domains import DomainTime
from coachlib.analysis.recording.gear import Gear
from coachlib.analysis.recording.judged import JudgedRecording, OutputSummary, SteadyStretch
from coachlib.analysis.season.reading import SessionReading
from coachlib.measures.common.spans import Span
from coachlib.measures.drift_test.constant_output import ConstantOutputDrift, drift_meaning
from coachlib.measures.drift_test.drift import heart_rate_drift
from coachlib.measures.season.heat import Heat
from coachlib.measures.season.output_level import output_level
from coachlib.measures.season.output_reading import OutputReading
from coachlib.measures.season.threshold_watch import DriftReading
from coachlib.records.athlete import Athlete, Threshold
from coachlib.records.diary import DiaryRow
from coachlib.records.roster import RosterSettings

SETTINGS = RosterSettings(name="Test roster")
#: Monday of the season's first week; the season's last week is 2026-W47.
FIRST_MONDAY, LAST_WEEK = date(2026, 8, 3), "2026-W47"


def day(week, weekday=0):
    """A day of the season, both counted from 0."""
    return FIRST_MONDAY + timedelta(days=7 * week + weekday)


def anna(**changes):
    first = Threshold(which="first", on=day(0), hr_bpm=150, hr_low_bpm=147, hr_high_bpm=153)
    fields = {"slug": "anna", "name": "Anna", "hr_max_bpm": 188, "thresholds": (first,)}
    return Athlete(**(fields | changes))


#: What the athlete writes, not the watch.
WRITTEN = ("planned", "target", "rpe", "talk", "health", "remarks", "temperature_c", "sleep_h", "equipment")


def stretch_with(hr, drift_pct, minutes=60):
    """A steady window with a known drift, quite sure."""
    t = np.arange(minutes * 60.0)
    rate = np.where(t < t.size / 2, float(hr), hr * (1 + drift_pct / 100))
    drift = heart_rate_drift(t, rate, t >= 0, start_s=0, stop_s=float(t.size))
    fields = dict.fromkeys(SteadyStretch.__dataclass_fields__)
    fields |= {
        "window": Span(start_s=0, stop_s=float(t.size)), "window_from": "decisions", "drift": drift,
        "findings": (), "suggestions": (), "excluded_s": 0.0, "criterion_pct": 5.0,
        "window_criterion_pct": 5.0 * minutes / 60, "method": "", "caveats": (),
        "meaning": drift_meaning(drift, None, criterion_pct=5.0, setting_known=True),
    }  # fmt: skip
    return SteadyStretch(**fields)


def session(on, *, hr=140, minutes=60, drift_pct=None, drift_minutes=60, **changes):
    """One session at one heart rate; ``drift_pct`` gives it a steady window with that drift, quite sure."""
    started = datetime(on.year, on.month, on.day, 6, 0, tzinfo=UTC)
    written = {name: changes.pop(name) for name in WRITTEN if name in changes}
    row = DiaryRow(on=on, **written) if written else None
    fields = dict.fromkeys(JudgedRecording.__dataclass_fields__)
    fields |= {
        "recording": f"{on.isoformat()}.fit", "sha256": on.isoformat(), "started_at": started,
        "local_start": started, "on": on, "sport": "running", "sub_sport": "", "is_indoor": False,
        "kind": "easy",
        "decided": True, "elapsed_s": minutes * 60.0, "moving_s": minutes * 60.0, "hr_s": minutes * 60.0,
        "seconds_at_bpm": (0.0,) * hr + (minutes * 60.0,), "minute_bpm": (float(hr),) * minutes,
        "steady": None if drift_pct is None else stretch_with(hr, drift_pct, drift_minutes), "row": row, "part": 0,
        "domains": DomainTime(
            first_bpm=150, second_bpm=None, below_s=minutes * 60.0, between_s=0.0, above_s=None
        ),
        "excluded_s": 0.0, "exclusions": (), "n_suggestions": 0, "trimp": 60.0, "device": "A", "caveats": (),
        "hr_missing_s": 0.0, "gear": (),
    }  # fmt: skip
    return JudgedRecording(**(fields | changes))


def judged(
    on, *, hr=140.0, speed=3.0, power_w=None, is_set=False, minutes=75, drift_pct=0.0, u_pct=0.6, **changes
):
    """A judged recording at one heart rate and output, as a season reads it; ``power_w`` makes it a ride."""
    t = np.arange(minutes * 60.0)
    output = np.full(t.size, float(power_w or speed))
    level = output_level(t, np.full(t.size, float(hr)), output, t >= 0, is_cycling=power_w is not None)
    found = stretch_with(hr, drift_pct, minutes - 15)
    if not is_set:
        drift = found.drift
        held = ConstantOutputDrift(
            drift_pct=drift.drift_pct, drift_low_pct=drift.drift_low_pct, drift_high_pct=drift.drift_high_pct,
            day_low_pct=drift.day_low_pct, day_high_pct=drift.day_high_pct, se_pct=drift.se_pct, u_pct=u_pct, correction_pct=0.0, output_change_pct=0.0, first_output=speed,
            second_output=speed, is_corrected=True, used_s=drift.used_s, method="", caveats=(),
        )  # fmt: skip
        found = replace(found, held=held)
    unit = "m/s" if power_w is None else "W"
    fields = {
        "sha256": f"{on.isoformat()} {changes.get('sport', '')} {changes.get('kind', '')}", "temperature_c": 15.0,
        "level": level, "steady": found,
        "output": OutputSummary(kind="", unit=unit, mean=float(output[0]), is_set=is_set),
    }  # fmt: skip
    return session(on, hr=int(hr), **(fields | changes))


def wears(**things):
    """Gear that a recording tells: ``wears(watch="A", strap="B")``."""
    return tuple(Gear(thing=t.replace("_", " "), which=w, is_recorded=True) for t, w in things.items())


def reading(on, *, output=3.0, first_half=140.0, drift=1.0, se=1.0, **changes):
    """One session's reading: output at 140 bpm, and drift over an hour."""
    fields = {
        "sha256": on.isoformat(), "on": on, "group": "running", "sport": "running", "unit": "m/s",
        "gear": wears(watch="A"),
        "output": OutputReading(hr_bpm=140.0, output=output, heat=Heat(), hills_pct=0.0, noise_sd_bpm=3.0),
        "drift": DriftReading(
            first_half_bpm=first_half, drift_pct=drift, se_pct=se, minutes=60.0, temperature_c=15.0,
        ),
    }  # fmt: skip
    return SessionReading(**(fields | changes))


def readings_of(truth, *, seed=0, per_week=3, noise=0.13, **changes):
    """Three readings a week about a known output, noise 0.13 m/s (3 bpm)."""
    rng = np.random.default_rng(seed)
    return [
        reading(day(w, 2 * i), output=float(level + rng.normal(0, noise)), **changes)
        for w, level in enumerate(truth)
        for i in range(per_week)
    ]


def at_heart_rate(reading, *, hr_reference_bpm, slope):
    """A reading brought to a reference heart rate along a slope, by hand."""
    distance = reading.hr_bpm - hr_reference_bpm
    return SimpleNamespace(
        output=reading.output - distance / slope.mean, reading_bpm=slope.mean * reading.output - distance,
        se_bpm=float(np.hypot(reading.noise_sd_bpm, slope.sd / slope.mean * distance)), distance_bpm=distance,
    )  # fmt: skip
