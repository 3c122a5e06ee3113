"""How often drift at constant output and its side are right where pace, power or hills change on the way.

Run: ``python tests/benchmarks/constant_output.py [n_runs] [seed]``.

Runs are those of ``runs.py`` with heart rate moved along a true slope by what output does.  Every person's slope is
drawn from N(27, 7) bpm per m/s, or N(0.35, 0.08) per W; the estimate knows the usual slope, or the person's own with
its error.  Simulation shows that the arithmetic holds under stated noise.
"""

import sys
from dataclasses import dataclass

import numpy as np

from coachlib.measures.drift_test.constant_output import drift_at_constant_output, drift_meaning
from coachlib.measures.drift_test.drift import heart_rate_drift
from coachlib.measures.output.slopes import (
    CYCLING_SLOPE,
    OWN_RUNNING_SD,
    RUNNING_SLOPE,
    HeartRateSlope,
    joined_slope,
)
from coachlib.measures.recording.lag import lagged_output
from tests.benchmarks.runs import slow_noise, steady_run

HOUR = np.arange(3600.0)
ALL = np.ones(HOUR.size, dtype=bool)
SPEED_MPS, POWER_W = 3.0, 200.0
WORLDS = (
    "constant", "by heart rate", "by heart rate, own slope", "fade", "negative split", "ride", "hills, altitude",
    "hills, no altitude",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Cell:
    """One world over many runs: errors and shares."""

    bias_pct: float
    rmse_pct: float
    covers: float
    wrong_side: float
    right_side: float
    cannot_tell: float
    change_pct: float
    below: float


def study(
    world: str, *, n_runs: int, seed: int, truth_pct: tuple[float, float] = (1.0, 8.0), fall: float = 0.12
) -> Cell:
    """One cell of the table; ``fall`` is the share of output lost in the window where it fades."""
    rng = np.random.default_rng(seed)
    seen = [_one(rng, world, float(rng.uniform(*truth_pct)), fall) for _ in range(n_runs)]
    error, inside, side, name, change = (np.array(a) for a in zip(*seen, strict=True))
    is_side = side != "near"
    told = np.isin(name, ("below", "above"))
    return Cell(
        bias_pct=float(error.mean()), rmse_pct=float(np.sqrt((error**2).mean())), covers=float(inside.mean()),
        wrong_side=float((told & (name != side))[is_side].mean()), right_side=float((name == side)[is_side].mean()),
        cannot_tell=float(np.isin(name, ("output changed", "hills decide")).mean()), change_pct=float(change.mean()),
        below=float((name == "below").mean()),
    )  # fmt: skip


def _one(
    rng: np.random.Generator, world: str, truth: float, fall: float
) -> tuple[float, bool, str, str, float]:
    """Error, whether the interval holds the truth, true side, what was told, change of output."""
    run = steady_run(rng, minutes=60, drift_pct=truth)
    is_ride = world == "ride"
    k = max(float(rng.normal(0.35, 0.08)), 0.1) if is_ride else max(float(rng.normal(27.0, 7.0)), 8.0)
    level = POWER_W if is_ride else SPEED_MPS
    effort, raw = _course(rng, world, run.clean_bpm, level, k, fall)
    measured = effort + slow_noise(rng, HOUR.size, 0.02 * level, 20.0)
    hr = np.rint(run.hr_bpm + k * (lagged_output(HOUR, effort) - level))
    usual = CYCLING_SLOPE if is_ride else RUNNING_SLOPE
    if world.endswith("own slope"):
        own = HeartRateSlope(k + float(rng.normal(0, np.hypot(2.0, OWN_RUNNING_SD))), 2.0)
        usual = joined_slope(usual, own, own_floor_sd=OWN_RUNNING_SD)
    held = drift_at_constant_output(
        HOUR, hr, raw if world == "hills, no altitude" else measured, ALL, start_s=0, stop_s=3600,
        slope=usual.mean, slope_sd=usual.sd, raw_speed_mps=raw if world == "hills, altitude" else None,
        hills_unknown=world == "hills, no altitude",
    )  # fmt: skip
    plain = heart_rate_drift(HOUR, hr, ALL, start_s=0, stop_s=3600)
    told = drift_meaning(plain, held, criterion_pct=5.0, setting_known=True)
    true = run.drift_pct
    side = "near" if abs(true - 5.0) <= 0.5 else "below" if true < 5.0 else "above"
    return (
        held.drift_pct - true, held.drift_low_pct <= true <= held.drift_high_pct, side, told.name,
        held.output_change_pct,
    )  # fmt: skip


def _course(
    rng: np.random.Generator, world: str, clean_bpm: np.ndarray, level: float, k: float, fall: float
) -> tuple[np.ndarray, np.ndarray]:
    """Output that heart rate answers to, and speed over ground."""
    share = HOUR / HOUR.size
    effort = np.full(HOUR.size, level)
    if world.startswith("by heart rate"):
        effort = level - 0.9 * (clean_bpm - clean_bpm[0]) / k
    elif world in ("fade", "ride"):
        effort = level * (1 - fall * share)
    elif world == "negative split":
        effort = level * (1 + fall * (share - 0.5))
    if not world.startswith("hills"):
        return effort, effort
    # hills as long as minutes, held at an even effort that is not quite even
    grade = slow_noise(rng, HOUR.size, 0.025, 90.0)
    grade -= np.where(HOUR < 1800, grade[:1800].mean(), grade[1800:].mean())
    effort = level * (1 + 0.5 * grade)
    return effort, effort / (1 + 5.4 * np.clip(grade, -0.1, 0.2))


def main() -> None:
    """Print the table of every world."""
    n_runs = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    print("world: output change %, bias, RMSE [pp], covers, wrong side, right side, cannot tell")
    for world in WORLDS:
        c = study(world, n_runs=n_runs, seed=seed)
        print(
            f"{world:26} {c.change_pct:5.1f} {c.bias_pct:6.2f} {c.rmse_pct:5.2f} {c.covers:5.2f} {c.wrong_side:5.2f} "
            f"{c.right_side:5.2f} {c.cannot_tell:5.2f}"
        )
    c = study("by heart rate", n_runs=n_runs, seed=seed + 1, truth_pct=(6.0, 6.5))
    print(f"true 6 %, pace down {-c.change_pct:.0f} %: called below in {c.below:.2f}")


if __name__ == "__main__":
    main()
