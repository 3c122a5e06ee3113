"""Simulated steady runs with a known drift, known noise and known artefacts.

Model: first-order response to the setting, a slow component, a drift that bends a little, four noise terms,
a sensor's smoothing and rounding.  Time constants: "Identification of heart rate dynamics during
moderate-to-vigorous treadmill exercise" (2015), BioMed Eng OnLine, doi 10.1186/s12938-015-0112-7; the noise
levels were matched to outdoor recordings; the other constants are assumptions.
"""

from dataclasses import dataclass

import numpy as np

#: Standard deviations of white noise and of slower noise with time constants of 25, 150 and 900 s. [1/min]
NOISE = {"quiet": (0.6, 0.8, 0.5, 0.3), "normal": (0.7, 1.1, 0.8, 0.6), "busy": (1.2, 1.5, 1.2, 1.0)}


@dataclass(frozen=True, kw_only=True, eq=False)
class Run:
    """A simulated run: what was recorded, what is true, and where artefacts were put."""

    time_s: np.ndarray
    hr_bpm: np.ndarray
    clean_bpm: np.ndarray
    drift_pct: float
    artefacts: tuple[tuple[float, float, str], ...]


def slow_noise(rng: np.random.Generator, n: int, sd: float, tau_s: float) -> np.ndarray:
    """First-order noise of a given spread and time constant."""
    keep = np.exp(-1 / tau_s)
    steps = rng.normal(0, sd * np.sqrt(1 - keep**2), n)
    level, out = rng.normal(0, sd), np.empty(n)
    for at in range(n):
        level = keep * level + steps[at]
        out[at] = level
    return out


def smoothed(values: np.ndarray, tau_s: float = 3.0) -> np.ndarray:
    """A sensor's first-order smoothing."""
    out, gain, level = np.empty(values.size), 1 - np.exp(-1 / tau_s), values[0]
    for at, value in enumerate(values):
        level += gain * (value - level)
        out[at] = level
    return out


def steady_run(
    rng: np.random.Generator,
    *,
    minutes: float,
    noise: str = "normal",
    level_bpm: float = 150.0,
    drift_pct: float | None = None,
    settled: bool = True,
) -> Run:
    """A run at one setting; ``settled`` leaves out the first 20 minutes after the setting began."""
    window = int(minutes * 60)
    lead = 1200 if settled else 0
    t = np.arange(lead + window, dtype=float)
    drift = float(rng.uniform(0, 9)) if drift_pct is None else drift_pct
    kappa = rng.uniform(-0.3, 0.8)
    hours = t / 3600
    shape = hours + kappa * hours**2
    half = lead + window // 2
    rise = shape[half:].mean() - shape[lead:half].mean()
    base = level_bpm + drift * minutes / 60 / 100 * level_bpm / rise * (shape - shape[lead:half].mean())
    base -= rng.uniform(8, 25) * np.exp(-t / (58 * rng.lognormal(0, 0.25)))
    base -= rng.uniform(3, 10) * np.exp(-t / rng.uniform(180, 480))
    white, *slow = NOISE[noise]
    noisy = base + rng.normal(0, white, t.size)
    for sd, tau in zip(slow, (25, 150, 900), strict=True):
        noisy = noisy + slow_noise(rng, t.size, sd, tau)
    noisy = noisy + 0.3 * np.sin(2 * np.pi * rng.uniform(0.5, 0.75) * t)
    truth = base[lead:]
    first, second = truth[: window // 2].mean(), truth[window // 2 :].mean()
    return Run(
        time_s=np.arange(window, dtype=float),
        hr_bpm=np.rint(smoothed(noisy)[lead:]),
        clean_bpm=truth,
        drift_pct=100 * (second - first) / first,
        artefacts=(),
    )


def with_artefacts(rng: np.random.Generator, run: Run, *, cadence_rpm: float = 176.0) -> Run:
    """The same run with talking, dropouts, flat lines, strap static and cadence lock put in."""
    hr = run.hr_bpm.copy()
    hours = hr.size / 3600
    put: list[tuple[float, float, str]] = []

    def place(length: int) -> int | None:
        for _ in range(30):
            at = int(rng.integers(60, max(hr.size - length - 60, 61)))
            if all(at > b + 90 or at + length < a - 90 for a, b, _ in put):
                return at
        return None

    def spread(rate: float, shortest: float, longest: float):
        for _ in range(rng.poisson(rate * hours)):
            length = int(rng.uniform(shortest, longest))
            at = place(length)
            if at is not None:
                yield at, length

    for at, length in spread(2.5, 8, 40):
        tail = min(24, hr.size - at - length)
        bulge = np.concatenate((1 - np.exp(-np.arange(length) / 4), np.exp(-np.arange(tail) / 8)))
        hr[at : at + length + tail] = np.rint(hr[at : at + length + tail] + rng.uniform(6, 15) * bulge)
        put.append((at, at + length, "rise"))
    for at, length in spread(1.0, 3, 60):
        hr[at : at + length] = np.nan
        put.append((at, at + length, "dropout"))
    for at, length in spread(0.5, 40, 180):
        hr[at : at + length] = hr[at]
        put.append((at, at + length, "flat"))
    for at, length in spread(0.5, 10, 90):
        hr[at : at + length] = np.rint(
            hr[at : at + length] + rng.uniform(20, 60, length) * rng.choice([-1, 1], length)
        )
        put.append((at, at + length, "static"))
    for at, length in spread(0.5, 60, 600):
        hr[at : at + length] = np.rint(cadence_rpm + rng.normal(0, 0.7, length))
        put.append((at, at + length, "cadence lock"))
    return Run(
        time_s=run.time_s,
        hr_bpm=hr,
        clean_bpm=run.clean_bpm,
        drift_pct=run.drift_pct,
        artefacts=tuple(put),
    )
