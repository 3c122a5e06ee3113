"""From a line in a season's plan to a recording: what was done, what the heart answered, what a watch kept.

A plan says stretches of minutes and output, such as ``15*8.5@4 60*9.5@4 5*5``: minutes, then km/h on a belt
(with grade in per cent) or flat-equivalent km/h outdoors, watts on a bicycle or rowing machine, metres
climbed an hour on foot with poles (below zero: descent).  Extras are such as ``talk@50:20+10`` (minute,
seconds, bpm), ``dropout@33:25``, ``flat@..``, ``static@..``, ``lock@..`` and ``pause@20:90``.
"""

import re
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta, timezone

import numpy as np

from demo import simulate
from demo.simulate import DriftCurve
from demo.write_fit import Recording

#: Last Sunday of October 2026: from here on local time is one hour ahead of UTC, before that two.
WINTER_TIME_ON = date(2026, 10, 25)

#: Name in the file's own -> sport, sub-sport, outdoors.
SPORTS = {
    "treadmill": ("running", "treadmill", False),
    "running": ("running", "road", True),
    "cycling": ("cycling", "road", True),
    "trainer": ("cycling", "indoor_cycling", False),
    "rowing": ("rowing", "indoor_rowing", False),
    "hiking": ("hiking", "generic", True),
    "skiing": ("cross_country_skiing", "generic", True),
}


@dataclass(frozen=True, kw_only=True)
class Physiology:
    """What is true of a person and no tool can read.

    ``ref_bpm`` is the settled heart rate at ``ref_output`` (m/s on the flat, W, or W/kg on foot with poles),
    ``bpm_per_output`` the slope; ``fitness`` are dates and how many bpm lower the heart beats from there on
    at the same output, straight lines between.
    """

    ref_bpm: float
    ref_output: float
    bpm_per_output: float
    rest_bpm: float
    top_bpm: float
    curve: DriftCurve
    fitness: tuple[tuple[date, float], ...]
    calm: float = 0.7
    noise: str = "normal"

    def gain_on(self, day: date) -> float:
        """Beats per minute won by a day."""
        days, gains = zip(*[(d.toordinal(), g) for d, g in self.fitness], strict=True)
        return float(np.interp(day.toordinal(), days, gains))

    def demand_bpm(self, output: np.ndarray, on: date) -> np.ndarray:
        """Settled heart rate for an output; standing still asks for a little more than rest."""
        asked = self.ref_bpm - self.gain_on(on) + self.bpm_per_output * (output - self.ref_output)
        return np.maximum(asked, self.rest_bpm + 25.0)


@dataclass(frozen=True, kw_only=True, eq=False)
class Done:
    """Output and what a watch sees of it, a sample a second."""

    output: np.ndarray
    series: dict[str, np.ndarray]
    steps_per_min: np.ndarray


def recording_of(
    plan: Mapping[str, str],
    truth: Physiology,
    *,
    slug: str,
    serial: int,
    every_s: int,
    smart: bool,
    beats: bool,
) -> Recording:
    """The recording that a line of a season's plan leads to."""
    on, sport = date.fromisoformat(plan["date"]), plan["name"]
    rng = np.random.default_rng(zlib.crc32(f"{slug} {plan['date']} {sport}".encode()))
    pieces = [_piece(text) for text in plan["do"].split()]
    extras = [_extra(text) for text in plan["extras"].split()]
    pauses = tuple((float(e.at_s), float(e.at_s + e.length_s)) for e in extras if e.what == "pause")
    size = round(sum(60 * minutes for minutes, *_ in pieces)) + round(sum(b - a for a, b in pauses)) + 1
    time_s = np.arange(size, dtype=float)
    value = _spread(pieces, 1, size, pauses)
    grade = _spread(pieces, 2, size, pauses) / 100.0
    done = _DOERS[sport](value, grade, rng)
    heat = float(plan["temperature_c"]) if plan["temperature_c"] else None
    day = simulate.some_day(rng, temperature_c=heat, calm=truth.calm)
    demand = truth.demand_bpm(done.output, on)
    heart = simulate.heart_rate(
        time_s,
        demand,
        curve=truth.curve,
        day=day,
        rng=rng,
        start_bpm=truth.rest_bpm + 30.0,
        top_bpm=truth.top_bpm,
        noise=truth.noise,
    )
    hr = simulate.as_recorded(heart)
    for extra in extras:
        hr = _spoilt(hr, extra, done, rng)
    kept = _kept(time_s, pauses, every_s=every_s, smart=smart, rng=rng)
    series = {"heart_rate": hr, **done.series}
    is_outdoors = SPORTS[sport][2]
    return Recording(
        started_at=_utc(on, plan["start"]),
        utc_offset_h=_offset_h(on),
        sport=SPORTS[sport][0],
        sub_sport=SPORTS[sport][1],
        serial=serial,
        time_s=time_s[kept],
        series={name: values[kept] for name, values in series.items()},
        laps_s=_laps(plan["laps"], pieces, float(time_s[-1]), pauses),
        pauses_s=pauses,
        rr_s=simulate.beats(time_s, heart, curve=truth.curve, rng=rng) if beats else np.zeros(0),
        is_outdoors=is_outdoors,
    )


@dataclass(frozen=True, slots=True)
class Extra:
    """Something that happens on the way."""

    what: str
    at_s: int
    length_s: int
    by_bpm: float


def _piece(text: str) -> tuple[float, float, float]:
    minutes, _, rest = text.partition("*")
    value, _, grade = rest.partition("@")
    return float(minutes), float(value), float(grade or 0.0)


def _extra(text: str) -> Extra:
    what, minute, seconds, by = re.fullmatch(r"(\w+)@([\d.]+):(\d+)(?:\+(\d+))?", text).groups()
    return Extra(what, round(float(minute) * 60), int(seconds), float(by or 0.0))


def _spread(pieces: list, place: int, size: int, pauses: tuple) -> np.ndarray:
    """One setting of all stretches on the 1-s grid; nothing is put out in a pause."""
    moving = np.repeat([p[place] for p in pieces], [round(60 * p[0]) for p in pieces])
    values = [*moving, moving[-1]]
    for stop, start in pauses:
        values[int(stop) : int(stop)] = [0.0] * int(start - stop)
    return np.array(values[:size])


def _belt(value: np.ndarray, grade: np.ndarray, rng: np.random.Generator) -> Done:
    """Running on a belt; the watch's own speed comes from the arm or a pod and wavers."""
    speed = value / 3.6
    flat_speed = speed * simulate.running_cost(grade) / simulate.running_cost(np.zeros(1))
    seen = np.maximum(0.0, speed * (1 + 0.012 * simulate.ornstein_uhlenbeck(speed.size, tau_s=40, rng=rng)))
    steps = _steps(speed, rng, base=148.0, per_mps=7.5)
    return Done(
        output=flat_speed,
        series={"speed": seen, "distance": np.cumsum(seen), "cadence": steps / 2},
        steps_per_min=steps,
    )


def _road(value: np.ndarray, _: np.ndarray, rng: np.random.Generator) -> Done:
    """Running over rolling ground, a little harder uphill."""
    size = value.size
    grade = _loop(0.018 * simulate.ornstein_uhlenbeck(size, tau_s=90, rng=rng))
    wavering = 1 + 0.03 * simulate.ornstein_uhlenbeck(size, tau_s=300, rng=rng)
    wavering += 0.02 * simulate.ornstein_uhlenbeck(size, tau_s=25, rng=rng)
    flat_speed = value / 3.6 * wavering * (1 + 0.8 * grade)
    speed = flat_speed * simulate.running_cost(np.zeros(1)) / simulate.running_cost(grade)
    seen = np.maximum(0.0, speed * (1 + 0.02 * simulate.ornstein_uhlenbeck(size, tau_s=20, rng=rng)))
    steps = _steps(speed, rng, base=146.0, per_mps=8.0)
    return Done(
        output=flat_speed,
        series={
            "speed": seen,
            "distance": np.cumsum(seen),
            "cadence": steps / 2,
            "altitude": 310.0 + np.cumsum(grade * speed),
        },
        steps_per_min=steps,
    )


def _ride(value: np.ndarray, _: np.ndarray, rng: np.random.Generator) -> Done:
    """Cycling with a power meter over rolling ground."""
    size = value.size
    grade = _loop(0.015 * simulate.ornstein_uhlenbeck(size, tau_s=120, rng=rng))
    wavering = 1 + 0.18 * simulate.ornstein_uhlenbeck(size, tau_s=25, rng=rng)
    wavering += 0.06 * simulate.ornstein_uhlenbeck(size, tau_s=300, rng=rng) + 4.0 * grade
    power = np.maximum(0.0, value * wavering)
    speed = np.maximum(0.0, np.cbrt(power / 0.32) * (1 - 6.0 * grade)) * (value > 0)
    speed = simulate.lagged(speed, 15.0, 0.0)
    return _pedalled(power, speed, rng, altitude=280.0 + np.cumsum(grade * speed))


def _loop(grade: np.ndarray) -> np.ndarray:
    """Grade that comes back about to where it began."""
    return grade - grade.mean()


def _trainer(value: np.ndarray, _: np.ndarray, rng: np.random.Generator) -> Done:
    """Cycling on a trainer that holds the power."""
    power = np.maximum(0.0, value * (1 + 0.03 * simulate.ornstein_uhlenbeck(value.size, tau_s=6, rng=rng)))
    return _pedalled(power, np.cbrt(power / 0.32), rng, altitude=None)


def _pedalled(power: np.ndarray, speed: np.ndarray, rng: np.random.Generator, *, altitude) -> Done:
    turns = np.clip(86.0 + 4.0 * simulate.ornstein_uhlenbeck(power.size, tau_s=60, rng=rng), 50, 115)
    turns = np.where(power > 0, turns, 0.0)
    series = {"power": power, "cadence": turns, "speed": speed, "distance": np.cumsum(speed)}
    if altitude is not None:
        series["altitude"] = altitude
    return Done(output=power, series=series, steps_per_min=turns)


def _row(value: np.ndarray, _: np.ndarray, rng: np.random.Generator) -> Done:
    """Rowing on a machine that shows its power, stroke by stroke."""
    power = np.maximum(0.0, value * (1 + 0.04 * simulate.ornstein_uhlenbeck(value.size, tau_s=8, rng=rng)))
    speed = np.cbrt(power / 2.8)
    strokes = np.where(value > 0, np.clip(13.0 + value / 22.0 + rng.normal(0, 0.4, value.size), 14, 36), 0.0)
    return Done(
        output=power,
        series={"power": power, "cadence": strokes, "speed": speed, "distance": np.cumsum(speed)},
        steps_per_min=strokes,
    )


def _poles(value: np.ndarray, _: np.ndarray, rng: np.random.Generator) -> Done:
    """On foot or on skis with poles, up and down; effort follows the metres climbed an hour."""
    size = value.size
    steep = 0.13 + 0.025 * simulate.ornstein_uhlenbeck(size, tau_s=200, rng=rng)
    grade = np.where(value < 0, -1.0, 1.0) * np.clip(steep, 0.06, 0.25)
    wavering = 1 + 0.06 * simulate.ornstein_uhlenbeck(size, tau_s=60, rng=rng)
    speed = np.abs(value) / 3600.0 / np.abs(grade) * wavering
    steps = np.where(speed > 0, _steps(speed, rng, base=68.0, per_mps=22.0), 0.0)
    return Done(
        output=speed * simulate.walking_cost(grade),
        series={
            "speed": speed,
            "distance": np.cumsum(speed),
            "cadence": steps / 2,
            "altitude": 520.0 + np.cumsum(grade * speed),
        },
        steps_per_min=steps,
    )


def _steps(speed: np.ndarray, rng: np.random.Generator, *, base: float, per_mps: float) -> np.ndarray:
    """Steps a minute of both feet."""
    steps = base + per_mps * speed + 1.5 * simulate.ornstein_uhlenbeck(speed.size, tau_s=45, rng=rng)
    return np.where(speed > 0.3, 2 * np.rint(steps / 2), 0.0)


_DOERS = {
    "treadmill": _belt,
    "running": _road,
    "cycling": _ride,
    "trainer": _trainer,
    "rowing": _row,
    "hiking": _poles,
    "skiing": _poles,
}


def _spoilt(hr: np.ndarray, extra: Extra, done: Done, rng: np.random.Generator) -> np.ndarray:
    """Heart rate after something happened to the sensor or the person."""
    where = {"at_s": extra.at_s, "length_s": extra.length_s}
    match extra.what:
        case "talk":
            return simulate.talk(hr, **where, by_bpm=extra.by_bpm)
        case "dropout":
            return simulate.dropout(hr, **where)
        case "flat":
            return simulate.flat(hr, **where)
        case "static":
            return simulate.static(hr, **where, rng=rng)
        case "lock":
            return simulate.cadence_lock(hr, done.steps_per_min, **where, rng=rng)
    return hr


def _kept(
    time_s: np.ndarray, pauses: tuple, *, every_s: int, smart: bool, rng: np.random.Generator
) -> np.ndarray:
    """Which seconds the watch writes down: every few, none inside a pause."""
    steps = rng.integers(2, 6, time_s.size) if smart else np.full(time_s.size, every_s)
    at = np.concatenate([[0], np.cumsum(steps)])
    at = at[at < time_s.size]
    kept = np.zeros(time_s.size, dtype=bool)
    kept[at] = True
    kept[-1] = True
    for stop, start in pauses:
        kept[int(stop)] = kept[int(start)] = True
        kept[int(stop) + 1 : int(start)] = False
    return kept


def _laps(text: str, pieces: list, stop_s: float, pauses: tuple) -> tuple[float, ...]:
    """Lap borders: none but the whole, one a stretch, or at the minutes given."""
    if text == "stretches":
        borders = list(np.cumsum([60.0 * p[0] for p in pieces])[:-1])
    else:
        borders = [60.0 * float(minute) for minute in text.split()]
    shifted = [b + sum(e - a for a, e in pauses if a <= b) for b in borders]
    return (0.0, *shifted, stop_s)


def _offset_h(on: date) -> int:
    return 1 if on >= WINTER_TIME_ON else 2


def _utc(on: date, clock: str) -> datetime:
    local = datetime.fromisoformat(f"{on.isoformat()}T{clock}")
    return local.replace(tzinfo=timezone(timedelta(hours=_offset_h(on))))
