"""How well the threshold is found from simulated series: coverage, error, and what the next-test rule adds.

Run: ``python tests/benchmarks/threshold_series.py [n_athletes] [seed]``.

Each athlete has a hidden curve of drift against heart rate (hinge, soft bend, quadratic or logistic), a floor
of 0 to 1.5 % and a slope at 5 % that is lognormal about 0.45 % per bpm.  Heart rate of a day is off by
1.8 bpm that also moves drift and 1.8 bpm that does not; drift by 1 %; one day in seven is hot.  Simulation shows
that the arithmetic holds under stated noise, not that drift marks a laboratory threshold.
"""

import sys
import time

import numpy as np

from coachlib.measures.first_threshold.estimate import estimate_first_threshold
from coachlib.measures.first_threshold.next_test import target_heart_rate

CHECKED = (3, 4, 6, 8)
TARGETS = {3: 5.0, 4: 3.0, 6: 2.0, 8: 1.7}


class Athlete:
    """A hidden curve and threshold."""

    def __init__(
        self, rng: np.random.Generator, *, day_drift_sd: float = 1.0, label_sd: float = 1.8, hot: float = 0.15
    ) -> None:
        self.rng = rng
        self.hr_max = rng.normal(187, 9)
        self.threshold = rng.normal(0.83 * self.hr_max, 9)
        self.floor = rng.uniform(0.0, 1.5)
        self.slope = 0.45 * np.exp(0.45 * rng.standard_normal())
        self.family = rng.integers(4)
        self.day_drift_sd, self.label_sd, self.hot = day_drift_sd, label_sd, hot

    def drift(self, hr: float) -> float:
        """Expected drift at a heart rate; 5 % at the threshold with the athlete's slope."""
        rise, x = 5.0 - self.floor, hr - self.threshold
        if self.family == 0:
            return self.floor + max(0.0, rise + self.slope * x)
        if self.family == 1:
            width = min(4.0, 0.8 * rise / self.slope)
            u = _softplus_shift(rise / (self.slope * width))
            steep = self.slope * (1 + np.exp(-u))
            return self.floor + steep * width * np.logaddexp(0.0, x / width + u)
        if self.family == 2:
            reach = 2.0 * rise / self.slope
            return self.floor + rise * max(0.0, 1.0 + x / reach) ** 2
        top = 3.0 * rise
        k = self.slope / (rise * (1 - rise / top))
        return self.floor + top / (1 + (top / rise - 1) * np.exp(-k * x))

    def test(self, aim: float) -> tuple[float, float, float, float]:
        """One test aimed at a heart rate: first half, drift, standard error, temperature."""
        rng = self.rng
        hot = rng.uniform(2, 8) if rng.random() < self.hot else 0.0
        internal, label = rng.normal(0, 1.8), rng.normal(0, self.label_sd)
        se = rng.choice([0.27, 0.48, 0.76])
        drift = self.drift(aim + internal) + rng.normal(0.4, 0.15) * hot
        drift += rng.normal(0, self.day_drift_sd) + rng.normal(0, se)
        return aim + internal + label + rng.normal(0.8, 0.3) * hot, drift, se, 21.0 + hot


def _softplus_shift(target: float) -> float:
    low, high = -40.0, 300.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        below = (1 + np.exp(-middle)) * np.log1p(np.exp(middle)) < target
        low, high = (middle, high) if below else (low, middle)
    return 0.5 * (low + high)


def by_habit(athlete: Athlete, n: int) -> np.ndarray:
    """Start well below, go up by 4 to 9 bpm, back by 2 to 5 after more than 5 %; shape (n, 4)."""
    aim = athlete.threshold - athlete.rng.uniform(10, 25)
    rows = []
    for _ in range(n):
        rows.append(athlete.test(aim))
        aim += -athlete.rng.uniform(2, 5) if rows[-1][1] > 5 else athlete.rng.uniform(4, 9)
    return np.array(rows)


def by_rule(athlete: Athlete, n: int) -> np.ndarray:
    """Start well below, then aim as ``next_test`` says; settings give that heart rate within 3.4 bpm."""
    aim = athlete.threshold - athlete.rng.uniform(10, 25)
    rows: list[tuple[float, float, float, float]] = []
    for _ in range(n):
        rows.append(athlete.test(aim))
        hr, drift, se, temperature = np.array(rows).T
        found = estimate_first_threshold(hr, drift, se, temperature_c=temperature, hr_max_bpm=athlete.hr_max)
        target, _ = target_heart_rate(found, last_bpm=hr[-1], hr_max_bpm=athlete.hr_max)
        aim = target + athlete.rng.normal(0, 2.3)
    return np.array(rows)


def study(
    n_athletes: int, seed: int, plan=by_habit, *, checked=CHECKED, know_max: bool = False, **world
) -> dict[int, tuple]:
    """Median |error|, RMSE, coverage and median width after each number of tests."""
    rng = np.random.default_rng(seed)
    seen: dict[int, list] = {n: [] for n in checked}
    for _ in range(n_athletes):
        athlete = Athlete(rng, **world)
        rows = plan(athlete, max(checked))
        for n in checked:
            hr, drift, se, temperature = rows[:n].T
            found = estimate_first_threshold(
                hr, drift, se, temperature_c=temperature, hr_max_bpm=athlete.hr_max if know_max else None
            )
            inside = found.hr_low_bpm <= athlete.threshold <= found.hr_high_bpm
            seen[n].append((found.hr_bpm - athlete.threshold, inside, found.width_bpm))
    result = {}
    for n, values in seen.items():
        error, inside, width = np.array(values).T
        result[n] = (np.median(abs(error)), np.sqrt((error**2).mean()), inside.mean(), np.median(width))
    return result


def main() -> None:
    """Print the tables."""
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    print("tests: median |error|, RMSE [bpm], coverage of 90 %, median width [bpm]   (target of the error)")
    for name, options in (
        ("habit, maximum unknown", {}),
        ("habit, maximum known", {"know_max": True}),
        ("habit, drift SD 2 %", {"day_drift_sd": 2.0}),
        ("habit, label SD 3.5 bpm", {"label_sd": 3.5}),
        ("habit, half the days hot", {"hot": 0.5}),
        ("next-test rule", {"plan": by_rule, "know_max": True}),
    ):
        print(name)
        for tests, (error, rmse, cover, width) in study(n, seed, **options).items():
            print(f"  {tests}: {error:4.1f} {rmse:5.1f} {cover:5.2f} {width:6.1f}   ({TARGETS[tests]})")
    took = []
    for _ in range(100):
        start = time.perf_counter()
        estimate_first_threshold(np.linspace(140, 165, 8), np.linspace(0, 7, 8), np.full(8, 0.5))
        took.append(1e3 * (time.perf_counter() - start))
    print(f"8 tests: {np.median(took):.1f} ms usually, {max(took):.1f} ms at worst")


if __name__ == "__main__":
    main()
