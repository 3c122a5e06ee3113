"""How often the season's calls are right: trend, threshold watch, easy share and load range, simulated.

Run: ``python tests/benchmarks/season_calls.py [n_seasons] [seed]``.
"""

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))
from benchmarks.ordinary_sessions import SEASONS, Season, caught_changes, false_calls, reading_errors
from benchmarks.shares_and_loads import easy_rates, load_rates
from benchmarks.trend_calls import (
    N_WEEKS,
    WORLDS,
    beats_read,
    season_of_readings,
    trend_of,
    trend_rates,
    year_rates,
)
from benchmarks.watch_calls import MIXES, caught_moves, watch_rates

from coachlib.measures.season.threshold_watch import watch_threshold


def _say(title: str, rates: dict[str, float]) -> None:
    print(f"{title}: " + "; ".join(f"{name} {value:.3f}" for name, value in rates.items()), flush=True)


def _milliseconds(call: Callable[[], object], *, repeats: int = 30) -> str:
    took = []
    for _ in range(repeats):
        start = time.perf_counter()
        call()
        took.append(1e3 * (time.perf_counter() - start))
    return f"{np.median(took):.2f} ms usually, {max(took):.2f} at worst"


def main() -> None:
    """Print the tables."""
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    for world in WORLDS:
        _say(f"trend, {world}", trend_rates(n, seed, world))
    for mix in MIXES:
        _say(f"watch, {mix}", watch_rates(n // 2, seed, mix) | caught_moves(n // 4, seed, mix))
    for sd in (2.0, 4.0, 6.0):
        _say(f"easy share, threshold SD {sd:g}", easy_rates(n, seed, sd))
    for cv in (0.2, 0.3, 0.4):
        _say(f"load, CV {cv:g}", load_rates(10 * n, seed, cv))
    for cycling in (False, True):
        name = "ride" if cycling else "run"
        _say(f"readings, {name}", reading_errors(n, seed, cycling=cycling))
    for world in SEASONS:
        _say(f"no change, {world}", false_calls(max(n // 8, 20), seed, world))
    for cycling in (False, True):
        for named in (False, True):
            name = f"{'ride' if cycling else 'run'}, sensor {'named' if named else 'not named'}"
            found = caught_changes(max(n // 8, 20), seed, Season(cycling=cycling, named=named))
            _say(f"real change, {name}", found)
    for world in ("independent", "sticky", "stickier"):
        for sensor in ("1", ""):
            _say(
                f"a year, {world}, sensor {sensor or 'not named'}",
                year_rates(max(n // 4, 20), seed, world, sensor=sensor),
            )
    readings = beats_read(*season_of_readings(np.random.default_rng(seed), np.zeros(N_WEEKS)))
    print("a trend:", _milliseconds(lambda: trend_of(readings, n_weeks=N_WEEKS)))
    year = np.repeat(np.arange(25), 4), np.full(100, 150.0), np.full(100, 2.0), np.full(100, 1.0)
    print("a watch of 100 sessions:", _milliseconds(lambda: watch_threshold(*year, n_weeks=25)))


if __name__ == "__main__":
    main()
