"""Ordinary sessions second by second: how far single readings err, and what a season of them shows.

Speed and power wander, grade bends measured speed, the day moves heart rate, heat and drift raise it.  ``SEASONS``
names the worlds in which nothing changes but what sessions are like, and what must then not be called.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from benchmarks.trend_calls import MDC, first_call, ramp
from scipy.signal import lfilter
from season_parts import at_heart_rate

from coachlib.measures.common.spans import inside
from coachlib.measures.output.slopes import CYCLING_SLOPE, RUNNING_SLOPE, HeartRateSlope
from coachlib.measures.recording.artefacts import suggest_exclusions
from coachlib.measures.season.heat import heat_of_session
from coachlib.measures.season.output_level import OutputLevel, output_level
from coachlib.measures.season.output_reading import OutputReading, output_reading, refusal_at
from coachlib.measures.season.trend import Trend, weekly_trend
from coachlib.measures.season.weekly_readings import TrendReading

#: Weeks of a simulated season.
N_WEEKS = 14
#: Usual slopes, the athletes about them, and the heart rate sessions are aimed at. [1/min]
REFERENCE_BPM = 140.0
#: Steps of both feet of a run whose sensor counts them. [1/min]
STEPS_RPM = 168.0


def lag(output: np.ndarray) -> np.ndarray:
    """Even seconds through the lag of heart rate, as a filter."""
    gain = 1 - np.exp(-1 / 58.0)
    return lfilter([gain], [1.0, gain - 1.0], output, zi=[(1 - gain) * output[0]])[0]


def wandering(rng: np.random.Generator, n: int, sd: float, tau_s: float) -> np.ndarray:
    """A series that forgets with a time constant."""
    keep = np.exp(-1.0 / tau_s)
    white = rng.standard_normal(n)
    return lfilter([np.sqrt(1 - keep**2) * sd], [1.0, -keep], white, zi=[keep * sd * rng.normal()])[0]


@dataclass(frozen=True, kw_only=True)
class Session:
    """One simulated session, a record a second."""

    hr_bpm: np.ndarray
    output: np.ndarray
    grade: np.ndarray
    cadence_rpm: np.ndarray | None = None

    @property
    def time_s(self) -> np.ndarray:
        return np.arange(float(self.hr_bpm.size))


class Trainee:
    """An athlete with a slope, a threshold and a fitness that the season changes. ``cycling`` or running."""

    def __init__(self, rng: np.random.Generator, *, cycling: bool, slope: float | None = None) -> None:
        self.rng, self.cycling = rng, cycling
        self.usual = CYCLING_SLOPE if cycling else RUNNING_SLOPE
        self.slope = slope or self.usual.mean * np.exp(0.25 * rng.standard_normal())
        self.output = 190.0 if cycling else 2.9
        self.threshold = 152.0 + rng.normal(0, 4)
        self.drift_slope = 0.45 * np.exp(0.45 * rng.standard_normal())
        #: error of flat-equivalent speed for a grade, and how hilly the country is
        self.grade_error, self.grade_sd = rng.normal(), rng.choice([0.005, 0.02, 0.035])

    def session(
        self, intended: float, fitness: float, temperature: float, *, hold_pace: bool, minutes: int = 31,
        grade_sd: float | None = None, day: float | None = None,
    ) -> Session:  # fmt: skip
        """One session aimed at ``intended`` above the reference heart rate."""
        rng, n = self.rng, 60 * minutes
        t = np.arange(float(n))
        day = rng.normal(0, 2.55) if day is None else day
        heat = max(0.0, temperature - 21.0)
        at_reference = self.output + fitness / self.slope
        base = (self.output if hold_pace else at_reference - day / self.slope) + intended / self.slope
        grade = wandering(rng, n, self.grade_sd if grade_sd is None else grade_sd, 90)
        true, measured = self._output(t, base, grade)
        level = REFERENCE_BPM + day + self.slope * (lag(true) - at_reference)
        mean = REFERENCE_BPM + day + self.slope * (base - at_reference)
        hourly = max(0.5, 5 + self.drift_slope * (mean - self.threshold)) + rng.normal(0, 1.0) + 0.4 * heat
        hr = level + hourly / 100 * mean * 2 * t / 3600 + 0.8 * heat
        hr -= rng.uniform(3, 10) * np.exp(-t / rng.uniform(180, 420)) + rng.uniform(20, 50) * np.exp(-t / 58)
        for sd, tau in ((1.1, 25), (0.8, 150), (0.6, 900)):
            hr += wandering(rng, n, sd, tau)
        return Session(
            hr_bpm=np.round(hr + rng.normal(0, 0.7, n)), output=np.maximum(measured, 0.0), grade=grade
        )

    def _output(self, t: np.ndarray, base: float, grade: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """True output about a base, and what the device says of it."""
        rng, n = self.rng, t.size
        if self.cycling:
            true = base * (1 + wandering(rng, n, 0.22, 25) + wandering(rng, n, 0.07, 300))
            return true, true * (1 + rng.normal(0, 0.01))
        slow = 1 - 0.03 * np.exp(-t / 240)
        true = base * slow * (1 + wandering(rng, n, 0.03, 300) + wandering(rng, n, 0.02, 25))
        wrong = self.grade_error * grade + wandering(rng, n, 0.03, 20)
        return true, true * (1 + wrong + rng.normal(0, 0.012))


def level_of(trainee: Trainee, session: Session, *, altitude: bool = True) -> OutputLevel:
    """The session's level, odd stretches looked for where the recording may have some."""
    undecided = None
    if session.cadence_rpm is not None:
        spans = suggest_exclusions(session.time_s, session.hr_bpm, cadence_rpm=session.cadence_rpm)
        undecided = inside(session.time_s, [s for s in spans if s.reason != "flat"])
    return output_level(
        session.time_s, session.hr_bpm, session.output, np.ones(session.hr_bpm.size, bool),
        is_cycling=trainee.cycling, undecided=undecided, cadence_rpm=session.cadence_rpm,
        grade=session.grade if altitude else None,
    )  # fmt: skip


def reading_of(
    trainee: Trainee,
    session: Session,
    temperature: float | None,
    *,
    altitude: bool = True,
    usual_c: float | None = None,
) -> OutputReading | None:
    """The session's reading, None where it is refused."""
    level = level_of(trainee, session, altitude=altitude)
    if level.refusal is not None:
        return None
    found = output_reading(
        level, slope=trainee.usual.mean, is_cycling=trainee.cycling, is_indoor=False,
        heat=heat_of_session(temperature, is_indoor=False, usual_c=usual_c),
    )  # fmt: skip
    return None if refusal_at(found, hr_reference_bpm=REFERENCE_BPM) else found


@dataclass(frozen=True, kw_only=True)
class Season:
    """A season's conditions.  Changes of conditions come with week 7.

    ``slope`` is the true one, drawn where None; ``easier`` how much lower sessions are aimed from week 7 on [1/min];
    ``steered`` by "pace", "heart rate" or half and half; ``temperatures`` of its first and last week [degC], typed or
    not; ``climate`` whether the place's usual temperature is known; ``grades`` before and after; ``odd`` what is
    wrong with the sensor.
    """

    cycling: bool = False
    slope: float | None = None
    easier: float = 0.0
    steered: str = "both"
    temperatures: tuple[float, float] = (8.0, 24.0)
    typed: bool = True
    climate: bool = False
    grades: tuple[float, float] | None = None
    altitude: bool = True
    odd: str = ""
    named: bool = False
    sticky: bool = False


#: Worlds without a change of fitness: name -> conditions.
SEASONS = {
    "nothing odd": Season(),
    "easier, slope 14": Season(slope=14, easier=9, steered="pace"),
    "easier, slope 16": Season(slope=16, easier=9, steered="pace"),
    "easier, slope 19": Season(slope=19, easier=9, steered="pace"),
    "easier, slope 36": Season(slope=36, easier=9, steered="pace"),
    "easier, slope 16, by heart rate": Season(slope=16, easier=9, steered="heart rate"),
    "easier, slope 14, named": Season(slope=14, easier=9, steered="pace", named=True),
    "no temperature, cooling": Season(temperatures=(28, 8), typed=False),
    "no temperature, warming": Season(temperatures=(8, 28), typed=False),
    "no temperature, cooling, named": Season(temperatures=(28, 8), typed=False, named=True),
    "climate known, cooling": Season(temperatures=(28, 8), typed=False, climate=True),
    "temperature typed, cooling": Season(temperatures=(28, 8)),
    "flat, then hilly": Season(grades=(0.005, 0.035)),
    "flat, then hilly, no altitude": Season(grades=(0.005, 0.035), altitude=False),
    "samples a quarter low": Season(odd="low"),
    "counts steps": Season(odd="lock"),
    "strap to wrist": Season(odd="wrist"),
    "sticky days": Season(sticky=True),
    "ride": Season(cycling=True),
}  # fmt: skip


def season_of_sessions(
    rng: np.random.Generator, truth: np.ndarray, world: Season, *, hold_pace: bool
) -> Trend | None:
    """The trend of a season of 2 to 5 sessions a week."""
    trainee = Trainee(rng, cycling=world.cycling, slope=world.slope)
    hold = {"pace": True, "heart rate": False}.get(world.steered, hold_pace)
    cold, warm = world.temperatures
    sticky, keep, readings = rng.normal(), 0.5**0.25, []
    off = {"wrist": 2.5}.get(world.odd, 0.0)
    for w, fitness in enumerate(truth):
        late = w >= N_WEEKS // 2
        usual = cold + (warm - cold) * w / (truth.size - 1)
        trained = rng.choice(7, rng.integers(2, 6), replace=False)
        for day in range(7):
            sticky = keep * sticky + np.sqrt(1 - keep**2) * rng.normal()
            if day not in trained:
                continue
            temperature = usual + (rng.normal(0, 4) if not world.typed else 0.0)
            session = trainee.session(
                rng.normal(0, 5) - world.easier * late, fitness, temperature, hold_pace=hold,
                grade_sd=None if world.grades is None else world.grades[late],
                day=rng.normal(0, 2.0) + 1.6 * sticky if world.sticky else None,
            )  # fmt: skip
            session = SPOILT.get(world.odd, lambda rng, session, late: session)(rng, session, late)
            found = reading_of(
                trainee, session, temperature if world.typed else None, altitude=world.altitude,
                usual_c=usual if world.climate else None,
            )  # fmt: skip
            if found is not None:
                found = replace(found, hr_bpm=found.hr_bpm + off * late)
                sensor = "1" if world.named else ""
                readings.append(TrendReading(week=w, reading=found, sensor=sensor))
    if not readings:
        return None
    return weekly_trend(
        readings,
        hr_reference_bpm=REFERENCE_BPM,
        slope=trainee.usual,
        is_cycling=world.cycling,
        n_weeks=truth.size,
    )


def _low(rng: np.random.Generator, session: Session, late: bool) -> Session:
    """From week 7 on three in ten samples, in stretches of about 20 s, are a quarter low."""
    if not late:
        return replace(session, cadence_rpm=np.full(session.hr_bpm.size, np.nan))
    blocks = np.repeat(rng.random(session.hr_bpm.size // 20 + 1) < 0.3, 20)[: session.hr_bpm.size]
    hr = np.where(blocks, np.round(0.75 * session.hr_bpm), session.hr_bpm)
    return replace(session, hr_bpm=hr, cadence_rpm=np.full(hr.size, np.nan))


def _lock(rng: np.random.Generator, session: Session, late: bool) -> Session:
    """From week 7 on in four of ten runs the sensor counts steps."""
    cadence = STEPS_RPM - 20 + np.round(wandering(rng, session.hr_bpm.size, 1.5, 30))
    if late and rng.random() < 0.4:
        return replace(session, hr_bpm=cadence + rng.integers(-1, 2, cadence.size), cadence_rpm=cadence)
    return replace(session, cadence_rpm=cadence)


SPOILT: dict[str, Callable[[np.random.Generator, Session, bool], Session]] = {"low": _low, "lock": _lock}


def false_calls(n: int, seed: int, world: str) -> dict[str, float]:
    """Share of seasons without a change that are called likely, and clear."""
    rng = np.random.default_rng(seed)
    made = [
        season_of_sessions(rng, np.zeros(N_WEEKS), SEASONS[world], hold_pace=bool(i % 2)) for i in range(n)
    ]
    return {
        f"false {word}": float(np.mean([s is not None and first_call(s, word) < np.inf for s in made]))
        for word in ("likely", "clear")
    }


def caught_changes(n: int, seed: int, world: Season) -> dict[str, float]:
    """Share of real changes called likely in time: 12.2 bpm within six weeks, a step of -6.1 within four."""
    rng = np.random.default_rng(seed)
    rates = {}
    for size, weeks, by in ((2 * MDC, 6, 6), (-MDC, 1e-3, 4)):
        way, truth = "up" if size > 0 else "down", ramp(size, weeks)[:N_WEEKS]
        made = [season_of_sessions(rng, truth, world, hold_pace=bool(i % 2)) for i in range(n)]
        called = [s is not None and first_call(s, "likely", way) <= 4 + by for s in made]
        rates[f"{size:g} in {weeks:.0f} by {by}"] = float(np.mean(called))
    return rates


def reading_errors(n: int, seed: int, *, cycling: bool) -> dict[str, float]:
    """Spread and bias of single readings by the true slope, response to held pace, hot against cool."""
    rng = np.random.default_rng(seed)
    rows = []
    for _ in range(n):
        trainee = Trainee(rng, cycling=cycling)
        own = trainee.slope * np.exp((0.06 if cycling else 0.13) * rng.standard_normal())
        for intended, fitness, temperature in (
            (rng.uniform(-8, 8), 0.0, 15.0), (-8.0, 0.0, 15.0), (8.0, 0.0, 15.0), (0.0, 6.0, 15.0), (0.0, 0.0, 28.0),
        ):  # fmt: skip
            session = trainee.session(intended, fitness, temperature, hold_pace=True)
            found = reading_of(trainee, session, temperature)
            if found is not None:
                at = at_heart_rate(
                    found, hr_reference_bpm=REFERENCE_BPM, slope=HeartRateSlope(own, 0.1 * own)
                )
                rows.append((intended, fitness, temperature, (at.output - trainee.output) * own))
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
