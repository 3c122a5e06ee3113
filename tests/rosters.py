"""Small rosters for tests: recordings of known heart rate, profiles and diaries as a person types them."""

import numpy as np
from fitbytes import RUNNING, START, TREADMILL, FitBytes

DAY_S = 86400


def wandering(seconds=900, *, seed=1, around=140):
    """Heart rate that wanders as a runner's does, whole beats."""
    steps = np.random.default_rng(seed).normal(0, 0.5, seconds)
    return np.clip(np.round(around + np.cumsum(steps)), 90, 180).astype(int)


def fit_data(hr_bpm, *, start=START, sport=RUNNING, sub_sport=TREADMILL, serial=12345):
    """A FIT file with a record a second; heart rate 255 is missing."""
    fit = FitBytes().file_id(serial=serial, created=start)
    for second, bpm in enumerate(hr_bpm):
        fit.record(start + second, int(bpm))
    stop_s = len(hr_bpm) - 1
    return fit.lap(start, stop_s).session(start, stop_s, sport, sub_sport).bytes()


def make_roster(folder, *athletes):
    """A roster with the athletes named; each has a profile and nothing else."""
    folder.mkdir(exist_ok=True)
    (folder / "roster.toml").write_text(
        'name = "Test roster"\ncoach = "Coach"\ntime_zone = "Europe/Vienna"\n'
    )
    for slug in athletes:
        (folder / slug / "recordings").mkdir(parents=True)
        (folder / slug / "athlete.toml").write_text(f'schema = 1\nname = "{slug.title()} Example"\n')
    return folder


def put(folder, name, data):
    """Put a recording into an athlete's folder."""
    path = folder / "recordings" / name
    path.write_bytes(data)
    return path
