"""How often the season's trend calls a change, with one and without.

Readings are made from a hidden level with the noise of a named world.  Simulation shows that the arithmetic
holds under that noise, not how athletes behave.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from coachlib.measures.output.slopes import RUNNING_SLOPE
from coachlib.measures.season.heat import Heat
from coachlib.measures.season.output_reading import OutputReading
from coachlib.measures.season.trend import Trend, weekly_trend
from coachlib.measures.season.weekly_readings import TrendReading

N_WEEKS = 16
#: Detectable change between two single tests, usual conditions. [1/min]
MDC = 6.1
#: Weeks of a simulated year, and the week after which fitness changes in it.
YEAR, YEAR_CHANGE = 52, 30
RANKS = {"cannot tell": 0, "possible": 1, "likely": 2, "clear": 3}
#: Share of readings three times as far off as the others.
OUTLIERS = 0.05


@dataclass(frozen=True, kw_only=True)
class World:
    """Noise of readings: ``sd`` is that of all of them, outliers included; offsets that last come on top."""

    sd: float = 3.5
    lasting_sd: float = 0.0
    half_life_days: float = 4.0
    wave: float = 0.0
    missing: float = 0.0
    a_week: tuple[int, int] = (2, 5)


WORLDS = {
    "independent": World(),
    "sticky": World(sd=3.1, lasting_sd=1.6),
    "stickier": World(sd=2.9, lasting_sd=2.0, half_life_days=7.0),
    "cycle": World(wave=2.0),
    "missing": World(missing=0.2),
    "noisy": World(sd=4.5),
    "seldom": World(a_week=(1, 2)),
}


def beats_read(
    weeks: Sequence[int] | np.ndarray,
    beats: Sequence[float] | np.ndarray,
    *,
    sensor: str = "1",
    **changes: Any,
) -> list[TrendReading]:
    """Readings that tell output at 140 bpm in beats and nothing else: at the reference, no heat, no hills."""
    blank = OutputReading(hr_bpm=140.0, output=0.0, heat=Heat(), hills_pct=0.0, noise_sd_bpm=3.5)
    return [
        TrendReading(
            week=int(w), sensor=sensor, reading=replace(blank, output=float(b) / RUNNING_SLOPE.mean), **changes
        )
        for w, b in zip(weeks, beats, strict=True)
    ]  # fmt: skip


def trend_of_beats(
    weeks: Sequence[int] | np.ndarray,
    beats: Sequence[float] | np.ndarray,
    *,
    sensor: str = "1",
    **options: Any,
) -> Trend:
    """The trend of such readings."""
    return trend_of(beats_read(weeks, beats, sensor=sensor), **options)


def trend_of(readings: Sequence[TrendReading], **options: Any) -> Trend:
    """The trend of readings at 140 bpm, the running slope not learnt yet."""
    return weekly_trend(readings, hr_reference_bpm=140.0, slope=RUNNING_SLOPE, is_cycling=False, **options)


def season_of_readings(
    rng: np.random.Generator, truth: np.ndarray, world: str = "independent"
) -> tuple[np.ndarray, np.ndarray]:
    """Weeks and readings about a level given for each week."""
    noise, days = WORLDS[world], 7 * truth.size
    keep = 0.5 ** (1.0 / noise.half_life_days)
    offset, lasting = rng.normal(), np.empty(days)
    for day in range(days):
        offset = keep * offset + np.sqrt(1 - keep**2) * rng.normal()
        lasting[day] = noise.lasting_sd * offset
    lasting += noise.wave * np.sin(2 * np.pi * (np.arange(days) / 28 + rng.random()))
    usual_sd = noise.sd / np.sqrt(1 + 8 * OUTLIERS)
    weeks, readings = [], []
    for w, level in enumerate(truth):
        if rng.random() < noise.missing:
            continue
        low, high = noise.a_week
        on = rng.choice(7, rng.integers(low, high + 1), replace=False)
        errors = usual_sd * rng.standard_normal(on.size) * np.where(rng.random(on.size) < OUTLIERS, 3.0, 1.0)
        weeks += [w] * on.size
        readings += list(level + lasting[7 * w + on] + errors)
    return np.array(weeks), np.array(readings)


def ramp(size: float, weeks: float) -> np.ndarray:
    """Level of each week for a change of ``size`` that starts after week 4 and grows by the day."""
    days = np.arange(7 * N_WEEKS) + 0.5
    return (size * np.clip((days / 7 - 4) / weeks, 0, 1)).reshape(N_WEEKS, 7).mean(axis=1)


def first_call(trend: Trend, word: str, direction: str | None = None) -> float:
    """Week (counted from 1) of the first call at least this strong; infinity without one."""
    for row in trend.weeks:
        if RANKS[row.call] >= RANKS[word] and direction in (None, row.direction):
            return row.week + 1
    return np.inf


def trend_rates(n: int, seed: int, world: str) -> dict[str, float]:
    """False seasons and caught changes of the trend's calls in one world."""
    rng = np.random.default_rng(seed)

    def seasons(truth: np.ndarray) -> list[Trend]:
        made = (season_of_readings(rng, truth, world) for _ in range(n))
        return [trend_of_beats(*season, n_weeks=N_WEEKS) for season in made]

    still = seasons(np.zeros(N_WEEKS))
    rates = {
        f"false {word}": float(np.mean([first_call(s, word) < np.inf for s in still]))
        for word in ("possible", "likely", "clear")
    }
    for size, weeks, looks in ((2 * MDC, 6, (6,)), (MDC, 6, (6, 8)), (MDC, 12, (12,)), (-MDC, 1e-3, (4,))):
        way = "up" if size > 0 else "down"
        called = np.array([first_call(s, "likely", way) for s in seasons(ramp(size, weeks))])
        rates |= {f"{size:g} in {weeks:.0f} by {by}": float(np.mean(called <= 4 + by)) for by in looks}
    return rates


def year_rates(n: int, seed: int, world: str, *, sensor: str) -> dict[str, float]:
    """A year of weekly looks: false years, and a change after week 30 called likely in time."""
    rng = np.random.default_rng(seed)

    def years(truth: np.ndarray) -> list[Trend]:
        made = (season_of_readings(rng, truth, world) for _ in range(n))
        return [trend_of_beats(*year, n_weeks=YEAR, sensor=sensor) for year in made]

    rates = {
        "false likely": float(np.mean([first_call(y, "likely") < np.inf for y in years(np.zeros(YEAR))]))
    }
    weeks = np.arange(YEAR) + 0.5
    for size, length, by in ((2 * MDC, 6.0, 6), (-MDC, 1e-3, 4)):
        found = years(size * np.clip((weeks - YEAR_CHANGE) / length, 0, 1))
        called = [_since(year, size) <= YEAR_CHANGE + by for year in found]
        rates[f"{size:g} from week {YEAR_CHANGE} within {by}"] = float(np.mean(called))
    return rates


def _since(trend: Trend, size: float) -> float:
    """Week (counted from 1) of the first right call after the change; infinity without one."""
    way = "up" if size > 0 else "down"
    late = [r for r in trend.weeks if r.week >= YEAR_CHANGE and r.direction == way and RANKS[r.call] >= 2]
    return late[0].week + 1 if late else np.inf
