"""A roster of one invented athlete for the panels' tests: one treadmill run with a talk in it."""

from pathlib import Path

import numpy as np
from fitbytes import RUNNING, START, TREADMILL, FitBytes

WARM_UP_S = 900
TALK_S = (2400, 2434)


def heart_rate(seconds: int) -> np.ndarray:
    """Heart rate of a run: warm-up, a step to test speed, slow noise, a slow rise, one talk."""
    rng = np.random.default_rng(20261003)
    time_s = np.arange(seconds)
    wanted = np.where(time_s < WARM_UP_S, 122.0, 150.0 + 4.5 * (time_s - WARM_UP_S) / 3600)
    hr_bpm, noise, level = np.empty(seconds), 0.0, 95.0
    for second in range(seconds):
        level += (wanted[second] - level) / 60
        noise = 0.98 * noise + rng.normal(0, 0.35)
        hr_bpm[second] = level + noise
    talk = np.clip(np.minimum(time_s - TALK_S[0], TALK_S[1] - time_s) / 6, 0, 1)
    return hr_bpm + 12.0 * talk


def treadmill_run(seconds: int = 5400) -> bytes:
    """The recording's bytes: one record a second, lap pressed every half hour."""
    fit = FitBytes().file_id()
    fit.timer(START, 0)
    for second, beats in enumerate(heart_rate(seconds)):
        speed = 2222 if second < WARM_UP_S else 2778
        fit.record(START + second, round(beats), (6, "uint16", speed), (4, "uint8", 84))
    fit.timer(START + seconds - 1, 4)
    for start in range(0, seconds, 1800):
        fit.lap(START + start, min(1800, seconds - 1 - start))
    fit.session(START, seconds - 1, RUNNING, TREADMILL)
    return fit.activity(START + seconds - 1, START + seconds - 1 + 7200).bytes()


def write_roster(folder: Path, *, seconds: int = 5400) -> Path:
    """A roster with the run of ``treadmill_run``; returns the recording's path."""
    recordings = folder / "mira" / "recordings"
    recordings.mkdir(parents=True)
    (folder / "roster.toml").write_text('schema = 1\nname = "Test roster"\n', encoding="utf-8")
    (folder / "mira" / "athlete.toml").write_text(
        'schema = 1\nname = "Mira"\nhr_max_bpm = 186\nhr_max_from = "measured"\n', encoding="utf-8"
    )
    (folder / "mira" / "diary.csv").write_text(
        "date,planned,kind,rpe,talk,temperature_c,sleep_h,equipment,remarks\n"
        "2026-10-03,drift test,drift test,4,comfortable,19,7.5,new shoes,talked once\n",
        encoding="utf-8",
    )
    fit_path = recordings / "2026-10-03_treadmill.fit"
    fit_path.write_bytes(treadmill_run(seconds))
    return fit_path
