"""How well the threshold is found from simulated series: coverage, error, one-sided statements, contradictions.

Run: ``python tests/benchmarks/threshold_series.py [n_athletes] [seed]``.

Each athlete has a hidden curve of drift against heart rate (hinge, soft bend, quadratic or logistic), a floor
of 0 to 1.5 % and a slope at 5 % that is lognormal about 0.45 % per bpm.  Heart rate of a day is off by
1.8 bpm that also moves drift and 1.8 bpm that does not; drift by 1 %; one day in seven is hot.  Simulation shows
that the arithmetic holds under stated noise, not that drift marks a laboratory threshold.

In further worlds the threshold moves between tests, the maximum is wrong or predicted from age (error SD 10.5), the
heart is slowed by medicine (0.62 of what lies above 60 bpm), tests are run by a heart-rate alarm that hides four
fifths of drift (slopes N(27, 7)), or one test is spoilt.
"""

import sys
import time

import numpy as np

from coachlib.measures.first_threshold.estimate import FirstThreshold, estimate_first_threshold
from coachlib.measures.first_threshold.next_test import target_heart_rate
from coachlib.measures.output.slopes import RUNNING_SLOPE

CHECKED = (3, 4, 6, 8)
TARGETS = {3: 4.8, 4: 2.7, 6: 1.8, 8: 1.5}


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
        self.moved = 0.0

    @property
    def today(self) -> float:
        """The threshold where it has moved to."""
        return self.threshold + self.moved

    def drift(self, hr: float) -> float:
        """Expected drift at a heart rate; 5 % at the threshold with the athlete's slope."""
        rise, x = 5.0 - self.floor, hr - self.today
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


MOVES = {
    "still": lambda rng, i, n: 0.0,
    "up 8 steadily": lambda rng, i, n: 8.0 * i / (n - 1),
    "down 8 steadily": lambda rng, i, n: -8.0 * i / (n - 1),
    "up 6 before the last three": lambda rng, i, n: 6.0 * (i >= n - 3),
    "down 6 before the last three": lambda rng, i, n: -6.0 * (i >= n - 3),
}


def moving(n_athletes: int, seed: int, move: str, *, n_tests: int, walk: float = 0.0) -> tuple[float, ...]:
    """Coverage, median |error| and median width after a series whose threshold moves; the maximum is right."""
    rng = np.random.default_rng(seed)
    seen = []
    for _ in range(n_athletes):
        athlete = Athlete(rng)
        walked, aim, rows = 0.0, athlete.threshold - rng.uniform(10, 25), []
        for i in range(n_tests):
            athlete.moved = MOVES[move](rng, i, n_tests) + walked
            rows.append(athlete.test(aim))
            aim += -rng.uniform(2, 5) if rows[-1][1] > 5 else rng.uniform(4, 9)
            walked += rng.normal(0, walk) if walk and i < n_tests - 1 else 0.0
        found = _estimate(np.array(rows), hr_max_bpm=athlete.hr_max)
        seen.append((_holds(found, athlete.today), abs(found.hr_bpm - athlete.today), found.width_bpm))
    inside, error, width = np.array(seen).T
    return inside.mean(), np.median(error), np.median(width)


def _estimate(rows: np.ndarray, **options) -> FirstThreshold:
    hr, drift, se, temperature = rows.T
    return estimate_first_threshold(hr, drift, se, temperature_c=temperature, **options)


def _holds(found: FirstThreshold, threshold: float) -> bool:
    return found.hr_low_bpm <= threshold <= found.hr_high_bpm


#: World -> what is said about the maximum, given the true one.
MAXIMA = {
    "right": lambda rng, true: {"hr_max_bpm": true},
    "unknown": lambda rng, true: {},
    "from age": lambda rng, true: {"hr_max_bpm": true + rng.normal(0, 10.5), "hr_max_from": "predicted"},
    "too high by 10": lambda rng, true: {"hr_max_bpm": true + 10},
    "too high by 15": lambda rng, true: {"hr_max_bpm": true + 15},
}


def one_sided(n_athletes: int, seed: int, world: str, n_tests: int) -> tuple[int, float, float]:
    """Statements "at least", share of them that are wrong, median distance of the threshold above them."""
    rng = np.random.default_rng(seed)
    gaps = []
    for _ in range(n_athletes):
        athlete = Athlete(rng)
        options = MAXIMA[world](rng, athlete.hr_max)
        found = _estimate(by_habit(athlete, n_tests), **options)
        if found.bounded == "below":
            gaps.append(athlete.threshold - found.hr_low_bpm)
    return len(gaps), float(np.mean(np.array(gaps) < 0)), float(np.median(gaps))


def at_most(n_athletes: int, seed: int) -> tuple[int, float]:
    """Four tests 6 to 20 above: statements "at most", share of them that are wrong."""
    rng = np.random.default_rng(seed)
    wrong = []
    for _ in range(n_athletes):
        athlete = Athlete(rng)
        rows = np.array([athlete.test(athlete.threshold + rng.uniform(6, 20)) for _ in range(4)])
        found = _estimate(rows, hr_max_bpm=athlete.hr_max)
        if found.bounded == "above":
            wrong.append(found.hr_high_bpm < athlete.threshold)
    return len(wrong), float(np.mean(wrong))


def medicine(n_athletes: int, seed: int, n_tests: int, *, told: bool) -> tuple[float, float, float]:
    """Coverage, median |error|, and wrong one-sided statements where medicine slows the heart; maximum from age."""
    rng = np.random.default_rng(seed)
    inside, errors, wrong = [], [], []
    for _ in range(n_athletes):
        athlete = Athlete(rng)
        options = MAXIMA["from age"](rng, athlete.hr_max)
        athlete.threshold = 60 + 0.62 * (athlete.threshold - 60)
        found = _estimate(by_habit(athlete, n_tests), medicine=told, **options)
        inside.append(_holds(found, athlete.threshold))
        errors.append(abs(found.hr_bpm - athlete.threshold))
        if found.bounded == "below":
            wrong.append(found.hr_low_bpm > athlete.threshold)
    return float(np.mean(inside)), float(np.median(errors)), float(np.mean(wrong)) if wrong else 0.0


def by_heart_rate(n_athletes: int, seed: int, n_tests: int) -> tuple[float, float]:
    """Coverage and median |error| where an alarm hides four fifths of drift in every test; usual slope."""
    rng = np.random.default_rng(seed)
    inside, errors = [], []
    for _ in range(n_athletes):
        athlete = Athlete(rng, hot=0.0)
        slope = max(rng.normal(27.0, 7.0), 8.0)
        rows = by_habit(athlete, n_tests)
        hidden = 0.8 * np.maximum(rows[:, 1], 0.0) / slope
        rows[:, 1] += hidden * (RUNNING_SLOPE.mean - slope)
        rows[:, 2] = np.hypot(rows[:, 2], hidden * RUNNING_SLOPE.sd)
        found = _estimate(rows, hr_max_bpm=athlete.hr_max)
        inside.append(_holds(found, athlete.threshold))
        errors.append(abs(found.hr_bpm - athlete.threshold))
    return float(np.mean(inside)), float(np.median(errors))


def contradictions(n_athletes: int, seed: int, *, n_tests: int, spoilt_pct: float = 0.0) -> float:
    """Share of series called contradictory; one test of each, not the highest, may be spoilt."""
    rng = np.random.default_rng(seed)
    found = []
    for _ in range(n_athletes):
        rows = by_habit(Athlete(rng), n_tests)
        if spoilt_pct:
            rows[rng.choice(np.argsort(rows[:, 0])[:-1]), 1] += spoilt_pct
        found.append(_estimate(rows).contradiction is not None)
    return float(np.mean(found))


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
    print("a threshold that moves: covers, median |error|, width")
    for move in MOVES:
        n_tests = 10 if "last" in move else 20
        print(f"  {move}, {n_tests} tests: {_row(moving(n // 2, seed, move, n_tests=n_tests))}")
    for walk in (0.5, 1.0, 2.0):
        print(
            f"  walks {walk} bpm a test, 20 tests: {_row(moving(n // 2, seed, 'still', n_tests=20, walk=walk))}"
        )
    print("at least: statements, wrong (at most .07), median distance")
    for world in MAXIMA:
        print(f"  maximum {world}: " + "; ".join(_row(one_sided(n, seed, world, k)) for k in (1, 2, 3, 4)))
    print(f"at most: {_row(at_most(n, seed))}")
    print("medicine: covers, median |error|, one-sided wrong after 1, 2, 4, 8 tests")
    for told in (True, False):
        print(f"  told {told}: " + "; ".join(_row(medicine(n, seed, k, told=told)) for k in (1, 2, 4, 8)))
    print(
        f"tests run by heart rate, after 4 and 6: {_row(by_heart_rate(n, seed, 4))}; {_row(by_heart_rate(n, seed, 6))}"
    )
    print(
        f"contradictions: ordinary six {contradictions(n, seed, n_tests=6):.3f}, one of four spoilt by 6 and 8 %: "
        f"{contradictions(n, seed, n_tests=4, spoilt_pct=6.0):.2f}, {contradictions(n, seed, n_tests=4, spoilt_pct=8.0):.2f}"
    )
    for n_tests in (8, 20):
        took = []
        for _ in range(60):
            start = time.perf_counter()
            estimate_first_threshold(
                np.linspace(140, 165, n_tests), np.linspace(0, 7, n_tests), np.full(n_tests, 0.5)
            )
            took.append(1e3 * (time.perf_counter() - start))
        print(f"{n_tests} tests: {np.median(took):.1f} ms usually, {max(took):.1f} ms at worst")


def _row(values: tuple) -> str:
    return " ".join(f"{v:d}" if isinstance(v, int) else f"{v:.2f}" for v in values)


if __name__ == "__main__":
    main()
