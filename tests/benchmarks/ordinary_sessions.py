"""Ordinary sessions second by second: how far single readings err, and what a season of them shows.

Speed and power wander, grade bends measured speed, the day moves heart rate, heat and drift raise it.
"""

import numpy as np
from benchmarks.trend_calls import MDC, N_WEEKS, first_call, ramp
from scipy.signal import lfilter

from coachlib.errors import CoachError
from coachlib.measures.recording.lag import lagged_output
from coachlib.measures.season.output_reading import (
    CYCLING_SLOPE,
    RUNNING_SLOPE,
    OutputReading,
    output_at_heart_rate,
)
from coachlib.measures.season.trend import Trend, weekly_trend

#: A trend leaves out readings less sure than this. [1/min]
SUREST_BPM = 6.0


def wandering(rng: np.random.Generator, n: int, sd: float, tau_s: float) -> np.ndarray:
    """A series that forgets with a time constant."""
    keep = np.exp(-1.0 / tau_s)
    white = rng.standard_normal(n)
    return lfilter([np.sqrt(1 - keep**2) * sd], [1.0, -keep], white, zi=[keep * sd * rng.normal()])[0]


class Trainee:
    """An athlete with a slope, a threshold and a fitness that the season changes. ``cycling`` or running."""

    def __init__(self, rng: np.random.Generator, *, cycling: bool) -> None:
        self.rng, self.cycling = rng, cycling
        self.usual = CYCLING_SLOPE if cycling else RUNNING_SLOPE
        self.slope = self.usual * np.exp(0.25 * rng.standard_normal())
        self.output = 190.0 if cycling else 2.9
        self.reference = 140.0
        self.threshold = 152.0 + rng.normal(0, 4)
        self.drift_slope = 0.45 * np.exp(0.45 * rng.standard_normal())
        self.own_slope = self.slope * np.exp((0.06 if cycling else 0.13) * rng.standard_normal())
        #: error of flat-equivalent speed for a grade, and how hilly the country is
        self.grade_error, self.grade_sd = rng.normal(), rng.choice([0.005, 0.02, 0.035])

    def session(
        self, intended: float, fitness: float, temperature: float, *, hold_pace: bool, minutes: int = 31
    ) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Time, heart rate and measured output of one session, aimed at ``intended`` above the reference."""
        rng, n = self.rng, 60 * minutes
        t = np.arange(float(n))
        day = rng.normal(0, 2.55)
        heat = max(0.0, temperature - 21.0)
        at_reference = self.output + fitness / self.slope
        base = (self.output if hold_pace else at_reference - day / self.slope) + intended / self.slope
        true, measured = self._output(t, base)
        level = self.reference + day + self.slope * (lagged_output(t, true) - at_reference)
        mean = self.reference + day + self.slope * (base - at_reference)
        hourly = max(0.5, 5 + self.drift_slope * (mean - self.threshold)) + rng.normal(0, 1.0) + 0.4 * heat
        hr = level + hourly / 100 * mean * 2 * t / 3600 + 0.8 * heat
        hr -= rng.uniform(3, 10) * np.exp(-t / rng.uniform(180, 420)) + rng.uniform(20, 50) * np.exp(-t / 58)
        for sd, tau in ((1.1, 25), (0.8, 150), (0.6, 900)):
            hr += wandering(rng, n, sd, tau)
        return t, np.round(hr + rng.normal(0, 0.7, n)), np.maximum(measured, 0.0)

    def _output(self, t: np.ndarray, base: float) -> tuple[np.ndarray, np.ndarray]:
        """True output about a base, and what the device says of it."""
        rng, n = self.rng, t.size
        if self.cycling:
            true = base * (1 + wandering(rng, n, 0.22, 25) + wandering(rng, n, 0.07, 300))
            return true, true * (1 + rng.normal(0, 0.01))
        slow = 1 - 0.03 * np.exp(-t / 240)
        true = base * slow * (1 + wandering(rng, n, 0.03, 300) + wandering(rng, n, 0.02, 25))
        wrong = self.grade_error * wandering(rng, n, self.grade_sd, 90) + wandering(rng, n, 0.03, 20)
        return true, true * (1 + wrong + rng.normal(0, 0.012))


def reading_of(
    trainee: Trainee, session: tuple[np.ndarray, ...], temperature: float, *, own_slope: bool = True
) -> OutputReading | None:
    """The session's reading, None where it is refused."""
    t, hr, output = session
    try:
        return output_at_heart_rate(
            t, hr, output, np.ones(t.size, bool), hr_reference_bpm=trainee.reference,
            slope=trainee.own_slope if own_slope else trainee.usual, slope_is_own=own_slope,
            is_cycling=trainee.cycling, temperature_c=temperature,
        )  # fmt: skip
    except CoachError:
        return None


def season_of_sessions(
    rng: np.random.Generator, truth: np.ndarray, *, cycling: bool, hold_pace: bool
) -> Trend:
    """The trend of a season of 2 to 5 sessions a week, 8 to 24 degC from its first to its last week."""
    trainee = Trainee(rng, cycling=cycling)
    weeks, readings = [], []
    for w, fitness in enumerate(truth):
        temperature = 8 + 16 * w / (truth.size - 1)
        for _ in range(rng.integers(2, 6)):
            session = trainee.session(rng.normal(0, 5), fitness, temperature, hold_pace=hold_pace)
            reading = reading_of(trainee, session, temperature)
            if reading is not None and reading.se_bpm <= SUREST_BPM:
                weeks.append(w)
                readings.append(reading.reading_bpm)
    return weekly_trend(weeks, readings, n_weeks=truth.size)


def end_to_end(n: int, seed: int, *, cycling: bool) -> dict[str, float]:
    """From one-second records to calls, half the athletes at a held pace."""
    rng = np.random.default_rng(seed)
    still, gaining = (
        [season_of_sessions(rng, truth, cycling=cycling, hold_pace=bool(i % 2)) for i in range(n)]
        for truth in (np.zeros(N_WEEKS), ramp(2 * MDC, 6))
    )
    return {
        "false likely": float(np.mean([first_call(trend, "likely") < np.inf for trend in still])),
        "12.2 in 6 by 6": float(np.mean([first_call(trend, "likely", "up") <= 10 for trend in gaining])),
        "SD of a session": float(np.mean([trend.session_sd_bpm for trend in still])),
    }


def reading_errors(n: int, seed: int, *, cycling: bool, own_slope: bool = True) -> dict[str, float]:
    """Spread and bias of single readings, response to held pace, hot against cool."""
    rng = np.random.default_rng(seed)
    rows = []
    for _ in range(n):
        trainee = Trainee(rng, cycling=cycling)
        for intended, fitness, temperature in (
            (rng.uniform(-8, 8), 0.0, 15.0), (-8.0, 0.0, 15.0), (8.0, 0.0, 15.0), (0.0, 6.0, 15.0), (0.0, 0.0, 28.0),
        ):  # fmt: skip
            session = trainee.session(intended, fitness, temperature, hold_pace=True)
            found = reading_of(trainee, session, temperature, own_slope=own_slope)
            if found is not None:
                error = (found.output - trainee.output) * found.slope
                rows.append((intended, fitness, temperature, error))
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
