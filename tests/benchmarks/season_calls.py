"""How often the season's calls are right: trend, threshold watch, easy share and load range, simulated.

Run: ``python tests/benchmarks/season_calls.py [n_seasons] [seed]``.

Readings and sessions are made from hidden truths with the noise named in each function.  Simulation shows
that the arithmetic holds under that noise, not how athletes behave.
"""

import sys
import time

import numpy as np
from scipy.signal import lfilter

from coachlib.errors import CoachError
from coachlib.measures.drift import lagged_output
from coachlib.measures.easy_share import easy_share, easy_share_of_week
from coachlib.measures.load_range import load_in_own_range
from coachlib.measures.output_reading import output_at_heart_rate
from coachlib.measures.threshold_watch import watch_threshold
from coachlib.measures.trend import weekly_trend

N_WEEKS = 16
#: Detectable change between two single tests, usual conditions. [1/min]
MDC = 6.1
RANKS = {"cannot tell": 0, "possible": 1, "likely": 2, "clear": 3}


# --- trend from readings -----------------------------------------------------------------------------


def season_of_readings(
    rng: np.random.Generator, truth: np.ndarray, world: str = "independent"
) -> tuple[np.ndarray, np.ndarray]:
    """Weeks and readings: 2 to 5 a week, SD 3.5 with one in twenty three times as large.

    "sticky": SD 3.1 and an offset of SD 1.6 with a half-life of four days; "missing": a fifth of the weeks.
    """
    sd = 3.1 if world == "sticky" else 3.5
    keep, offset = 0.5 ** (1 / 4), 0.0
    daily = np.empty(7 * truth.size)
    for day in range(daily.size):
        offset = keep * offset + np.sqrt(1 - keep**2) * rng.normal(0, 1.6)
        daily[day] = offset if world == "sticky" else 0.0
    weeks, readings = [], []
    for w, level in enumerate(truth):
        if world == "missing" and rng.random() < 0.2:
            continue
        days = rng.choice(7, rng.integers(2, 6), replace=False)
        noise = rng.normal(0, sd, days.size) * np.where(rng.random(days.size) < 0.05, 3.0, 1.0)
        weeks += [w] * days.size
        readings += list(level + daily[7 * w + days] + noise)
    return np.array(weeks), np.array(readings)


def ramp(size: float, weeks: int) -> np.ndarray:
    """A change of ``size`` that starts after week 4 and takes ``weeks``."""
    return size * np.clip((np.arange(N_WEEKS) - 3) / weeks, 0, 1)


def first_call(weeks: np.ndarray, readings: np.ndarray, word: str, direction: str | None) -> float:
    """Week (counted from 1) of the first call at least this strong; infinity without one."""
    for row in weekly_trend(weeks, readings, n_weeks=N_WEEKS).weeks:
        if RANKS[row.call] >= RANKS[word] and direction in (None, row.direction):
            return row.week + 1
    return np.inf


def trend_rates(n: int, seed: int, world: str) -> dict[str, float]:
    """False seasons and caught changes of the trend's calls in one world."""
    rng = np.random.default_rng(seed)
    still = [season_of_readings(rng, np.zeros(N_WEEKS), world) for _ in range(n)]
    rates = {
        f"false {word}": float(np.mean([first_call(*s, word, None) < np.inf for s in still]))
        for word in ("possible", "likely", "clear")
    }
    for name, size, weeks, by in (
        ("12.2 in 6 by 6", 2 * MDC, 6, 6),
        ("6.1 in 6 by 8", MDC, 6, 8),
        ("6.1 in 12 by 12", MDC, 12, 12),
        ("-6.1 at once by 4", -MDC, 1e-3, 4),
    ):
        way = "up" if size > 0 else "down"
        seasons = [season_of_readings(rng, ramp(size, weeks), world) for _ in range(n)]
        rates[name] = float(np.mean([first_call(*s, "likely", way) <= 4 + by for s in seasons]))
    return rates


# --- sessions second by second -----------------------------------------------------------------------


def wandering(rng: np.random.Generator, n: int, sd: float, tau_s: float) -> np.ndarray:
    """A series that forgets with a time constant."""
    keep = np.exp(-1.0 / tau_s)
    white = rng.standard_normal(n)
    return lfilter([np.sqrt(1 - keep**2) * sd], [1.0, -keep], white, zi=[keep * sd * rng.normal()])[0]


class Trainee:
    """An athlete with a slope, a threshold and a fitness that the season changes. ``cycling`` or running."""

    def __init__(self, rng: np.random.Generator, *, cycling: bool) -> None:
        self.rng, self.cycling = rng, cycling
        self.usual = 0.34 if cycling else 24.2
        self.slope = self.usual * np.exp(0.25 * rng.standard_normal())
        self.output = 190.0 if cycling else 2.9
        self.reference = 140.0
        self.threshold = 152.0 + rng.normal(0, 4)
        self.drift_slope = 0.45 * np.exp(0.45 * rng.standard_normal())
        self.own_slope = self.slope * np.exp((0.06 if cycling else 0.13) * rng.standard_normal())

    def session(
        self, intended: float, fitness: float, temperature: float, *, hold_pace: bool, minutes: int = 60
    ) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Time, heart rate and measured output of one session, aimed at ``intended`` above the reference."""
        rng, n = self.rng, 60 * minutes
        t = np.arange(float(n))
        day = rng.normal(0, 2.55)
        heat = max(0.0, temperature - 21.0)
        at_reference = self.output + fitness / self.slope
        held = self.output if hold_pace else at_reference - day / self.slope
        base = held + intended / self.slope
        if self.cycling:
            true = base * (1 + wandering(rng, n, 0.22, 25) + wandering(rng, n, 0.07, 300))
            measured = true * (1 + rng.normal(0, 0.01))
        else:
            slow = 1 - 0.03 * np.exp(-t / 240)
            true = base * slow * (1 + wandering(rng, n, 0.03, 300) + wandering(rng, n, 0.02, 25))
            measured = true * (1 + wandering(rng, n, 0.03, 20) + rng.normal(0, 0.012))
        level = self.reference + day + self.slope * (lagged_output(t, true) - at_reference)
        mean = self.reference + day + self.slope * (base - at_reference)
        hourly = max(0.5, 5 + self.drift_slope * (mean - self.threshold)) + rng.normal(0, 1.0) + 0.4 * heat
        hours = t / 3600
        hr = level + hourly / 100 * mean * 2 * hours + 0.8 * heat
        hr = (
            hr
            - rng.uniform(3, 10) * np.exp(-t / rng.uniform(180, 420))
            - rng.uniform(20, 50) * np.exp(-t / 58)
        )
        for sd, tau in ((1.1, 25), (0.8, 150), (0.6, 900)):
            hr = hr + wandering(rng, n, sd, tau)
        return t, np.round(hr + rng.normal(0, 0.7, n)), np.maximum(measured, 0.0)


def reading(trainee: Trainee, session: tuple, temperature: float) -> float | None:
    """The session's reading in bpm-equivalents, None where it is refused."""
    t, hr, output = session
    try:
        found = output_at_heart_rate(
            t, hr, output, np.ones(t.size, bool), hr_reference_bpm=trainee.reference, slope=trainee.own_slope,
            slope_is_own=True, is_cycling=trainee.cycling, temperature_c=temperature,
        )  # fmt: skip
    except CoachError:
        return None
    return found.reading_bpm if found.se_bpm <= 6 else None


def end_to_end(n: int, seed: int, *, cycling: bool) -> dict[str, float]:
    """From one-second records to calls: no change, and twice the detectable change in six weeks."""
    rng = np.random.default_rng(seed)
    rates, spreads = {}, []
    for name, truth in (("false", np.zeros(N_WEEKS)), ("12.2 in 6 by 6", ramp(2 * MDC, 6))):
        found = []
        for i in range(n):
            trainee = Trainee(rng, cycling=cycling)
            calendar = np.random.default_rng([seed, i])
            weeks, readings = [], []
            for w, fitness in enumerate(truth):
                temperature = 8 + 16 * w / (N_WEEKS - 1)
                for _ in range(calendar.integers(2, 6)):
                    session = trainee.session(
                        rng.normal(0, 5), fitness, temperature, hold_pace=bool(i % 2), minutes=31
                    )
                    value = reading(trainee, session, temperature)
                    if value is not None:
                        weeks.append(w)
                        readings.append(value)
            by = first_call(np.array(weeks), np.array(readings), "likely", None if name == "false" else "up")
            found.append(by <= (N_WEEKS if name == "false" else 10))
            if name == "false":
                spreads.append(np.std(readings))
        rates[name] = float(np.mean(found))
    rates["SD of a session"] = float(np.mean(spreads))
    return rates


def reading_errors(n: int, seed: int, *, cycling: bool) -> dict[str, float]:
    """Spread and bias of single readings, response to held pace, hot against cool."""
    rng = np.random.default_rng(seed)
    rows = []
    for _ in range(n):
        trainee = Trainee(rng, cycling=cycling)
        truth = trainee.slope * trainee.output
        slope = trainee.own_slope
        for intended, fitness, temperature, hold in (
            (rng.uniform(-8, 8), 0.0, 15.0, True), (-8.0, 0.0, 15.0, True), (8.0, 0.0, 15.0, True),
            (0.0, 6.0, 15.0, True), (0.0, 0.0, 28.0, True),
        ):  # fmt: skip
            t, hr, output = trainee.session(intended, fitness, temperature, hold_pace=hold, minutes=31)
            try:
                found = output_at_heart_rate(
                    t, hr, output, np.ones(t.size, bool), hr_reference_bpm=trainee.reference, slope=slope,
                    slope_is_own=True, is_cycling=cycling, temperature_c=temperature,
                )  # fmt: skip
                rows.append((intended, fitness, temperature, (found.output - truth / trainee.slope) * slope))
            except CoachError:
                continue
    intended, fitness, temperature, error = np.array(rows).T
    cool = (fitness == 0) & (temperature < 20)
    free = cool & (abs(intended) < 8)
    return {
        "SD": float(error[free].std()),
        "bias at -8": float(error[cool & (intended == -8)].mean()),
        "bias at +8": float(error[cool & (intended == 8)].mean()),
        "response to +6.0": float(error[fitness > 0].mean() - error[free].mean()),
        "hot - cool": float(error[temperature > 20].mean() - error[free].mean()),
    }


# --- threshold watch ---------------------------------------------------------------------------------

MIXES = {"easy": (-22, 6), "typical": (-14, 7), "mixed": (-8, 8), "hard": (-3, 7)}


def watch_rates(n: int, seed: int, mix: str) -> dict[str, float]:
    """Twelve weeks of three sessions a week: coverage, bound, point printed, false disagreement."""
    rng = np.random.default_rng(seed)
    mean, sd = MIXES[mix]
    rows = []
    for _ in range(n):
        hr_max = rng.normal(187, 9)
        threshold, slope, floor = (
            rng.normal(0.83 * hr_max, 9),
            0.45 * np.exp(0.45 * rng.standard_normal()),
            rng.uniform(0, 1.5),
        )
        shared = rng.normal(0, 0.5)
        week = np.repeat(np.arange(12), 3)
        minutes = rng.choice([30, 45, 60, 75], 36)
        se = np.hypot(np.interp(minutes, [30, 45, 60, 90], [2.3, 1.4, 1.0, 0.6]), 0.5)
        true_hr = threshold + rng.normal(mean, sd, 36)
        internal, label = rng.normal(0, 1.8, (2, 36))
        width = 4.0
        shift = np.log(np.expm1((5 - floor) / (slope * width)))
        bend = slope * width * np.logaddexp(0, (true_hr + internal - threshold) / width + shift)
        drift = floor + bend + shared + rng.normal(0, 1.5, 36) + rng.normal(0, se)
        hr = true_hr + internal + label
        vague = watch_threshold(week, hr, drift, se, n_weeks=12).latest
        accepted = threshold + rng.uniform(-3, 3)
        held = watch_threshold(week, hr, drift, se, n_weeks=12, accepted_bpm=accepted)
        rows.append((
            vague.hr_low_bpm <= threshold <= vague.hr_high_bpm, vague.at_least_bpm > threshold,
            vague.hr_bpm is not None, any(w.disagrees for w in held.weeks),
            vague.hr_high_bpm - vague.hr_low_bpm,
        ))  # fmt: skip
    covered, wrong, printed, false, width = np.array(rows, dtype=float).T
    return {
        "coverage": covered.mean(), "bound wrong": wrong.mean(), "point printed": printed.mean(),
        "false disagreement": false.mean(), "median width": float(np.median(width)),
    }  # fmt: skip


# --- easy share and load -----------------------------------------------------------------------------


def easy_rates(n: int, seed: int, sd: float) -> dict[str, float]:
    """Coverage and bias of the easy share of one session and of a week of five."""
    rng = np.random.default_rng(seed)
    one, week = [], []
    for _ in range(n):
        judged_at = 150.0
        threshold = judged_at + rng.normal(0, sd)
        hrs, weights, truth = [], [], []
        for _ in range(5):
            offset = rng.normal(0, 1.8)
            hr = np.round(rng.normal(rng.choice([138, 144, 149, 158]), 6, 3600))
            hrs.append(hr)
            weights.append(np.ones(hr.size))
            truth.append((hr - offset <= threshold).mean())
        found = easy_share(hrs[0], weights[0], threshold_bpm=judged_at, threshold_sd_bpm=sd)
        one.append((found.share_low_frac <= truth[0] <= found.share_high_frac, found.share_frac - truth[0]))
        found = easy_share_of_week(hrs, weights, threshold_bpm=judged_at, threshold_sd_bpm=sd)
        mean = float(np.mean(truth))
        week.append((found.share_low_frac <= mean <= found.share_high_frac, found.share_frac - mean))
    one_cover, one_bias = np.array(one, float).mean(axis=0)
    week_cover, week_bias = np.array(week, float).mean(axis=0)
    return {
        "session coverage": one_cover,
        "bias": one_bias,
        "week coverage": week_cover,
        "week bias": week_bias,
    }


def load_rates(n: int, seed: int, cv: float) -> dict[str, float]:
    """Share of ordinary weeks called high, and of doubled weeks found."""
    rng = np.random.default_rng(seed)
    sd = np.sqrt(np.log1p(cv**2))
    usual, flag, found = [], [], []
    for _ in range(n):
        loads = 300 * np.exp(sd * rng.standard_normal(9))
        judged = load_in_own_range(loads[:8], loads[8])
        usual.append(judged.side == "high")
        flag.append(judged.side == "high" and judged.verdict == "flag")
        doubled = load_in_own_range(loads[:8], 2 * loads[8])
        found.append(doubled.verdict == "flag" and doubled.side == "high")
    return {"high, unusual": np.mean(usual), "high, flag": np.mean(flag), "doubled found": np.mean(found)}


def _say(title: str, rates: dict[str, float]) -> None:
    print(f"{title}: " + "; ".join(f"{name} {value:.3f}" for name, value in rates.items()))


def main() -> None:
    """Print the tables."""
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    for world in ("independent", "sticky", "missing"):
        _say(f"trend, {world}", trend_rates(n, seed, world))
    for mix in MIXES:
        _say(f"watch, {mix}", watch_rates(n // 2, seed, mix))
    for sd in (2.0, 4.0, 6.0):
        _say(f"easy share, threshold SD {sd:g}", easy_rates(n, seed, sd))
    for cv in (0.2, 0.3, 0.4):
        _say(f"load, CV {cv:g}", load_rates(10 * n, seed, cv))
    for cycling in (False, True):
        name = "ride" if cycling else "run"
        _say(f"readings, {name}", reading_errors(n, seed, cycling=cycling))
        _say(f"end to end, {name}", end_to_end(max(n // 6, 20), seed, cycling=cycling))
    rng = np.random.default_rng(seed)
    weeks, readings = season_of_readings(rng, np.zeros(N_WEEKS))
    start = time.perf_counter()
    for _ in range(20):
        weekly_trend(weeks, readings, n_weeks=N_WEEKS)
    print(f"trend of {N_WEEKS} weeks: {(time.perf_counter() - start) / 20 * 1e3:.1f} ms")
    start = time.perf_counter()
    watch_threshold(np.repeat(np.arange(12), 3), [150.0] * 36, [2.0] * 36, [1.0] * 36, n_weeks=12)
    print(f"watch of 36 sessions: {(time.perf_counter() - start) / 36 * 1e3:.2f} ms a session")


if __name__ == "__main__":
    main()
