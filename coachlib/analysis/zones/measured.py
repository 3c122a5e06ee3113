"""What an athlete was measured at, and the line of output that follows: tests, stages, trials, accepted pairs."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import Literal

import numpy as np
import scipy

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.second_threshold.efforts import ReadTrial, Trial
from coachlib.measures.common.codes import Code, code
from coachlib.measures.common.constants import DAY_HR_SD_BPM
from coachlib.measures.first_threshold.heart_rate_line import RUNNING_FROM_MPS, demand_on_treadmill
from coachlib.measures.output.energy import LEVEL_VO2_PER_MPS, REST_VO2
from coachlib.measures.output.monotone import MonotoneLine, Pair, monotone_line
from coachlib.measures.output.slopes import (
    CYCLING_SLOPE,
    OWN_CYCLING_SD,
    OWN_RUNNING_SD,
    RUNNING_SLOPE,
    HeartRateSlope,
    joined_slope,
)
from coachlib.records.athlete import Threshold
from coachlib.records.sports import RUNNING_SPORTS, same_sport

#: What is older than this before the newest counts no longer. [d]  Own choice.
LONGEST_AGE = timedelta(days=365)
#: Without the accepted outputs of both thresholds, a line needs so many different ones.  Own choice.
LEAST_OUTPUTS = 3
#: An all-out trial at least so long bounds what lies below the second threshold. [s]  Own choice: 25 minutes.
LONG_TRIAL_S = 1500.0
#: What is accepted is kept in whole watts and tenths of km/h, so it may differ by this share.  Own choice.
KEPT_FRAC = 0.01
#: Heart rate rises with output at least by this share of the usual slope, whatever few tests say.  Own choice.
LEAST_SLOPE_FRAC = 0.5

Unit = Literal["m/s", "W"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A settled effort, or an all-out one: heart rate and output that belong together.

    ``output`` is power [W] or running speed brought to the level [m/s], as ``unit`` says; ``sport`` None where it is
    not known.  ``all_out_s`` is the length of an all-out trial, ``hr_bpm`` then the highest that it holds for: it bounds
    the line, and lends it no shape.
    """

    on: date
    kind: Literal["test", "stage", "trial"]
    sport: str | None
    unit: Unit
    hr_bpm: float
    output: float
    all_out_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputLine:
    """Output on heart rate in one sport, and what it was made from.

    ``day_pct`` is by how much output at a heart rate differs on the day; ``low`` and ``high`` are the ends of what was
    measured; ``doubts`` say what contradicts itself.
    """

    line: MonotoneLine
    unit: Unit
    low: float
    high: float
    day_pct: float
    made_from: Code
    doubts: tuple[Code, ...]


def level_speed(speed_mps: float, grade: float | None) -> float:
    """Speed on the level with the oxygen demand of a speed on a gradient [m/s].

    Source
    ------
    ACSM running and walking equations, see ``measures.output.energy``.

    Examples
    --------
    >>> 3.6 * level_speed(10 / 3.6, 0.05)
    12.25
    """
    return (float(demand_on_treadmill([speed_mps], [grade or 0.0])[0]) - REST_VO2) / LEVEL_VO2_PER_MPS


def output_of_setting(
    *, speed_mps: float | None, grade: float | None, power_w: float | None
) -> tuple[float, Unit] | None:
    """Power, or running speed brought to the level; None for a walk, and where nothing is known."""
    if power_w is not None:
        return power_w, "W"
    if speed_mps is None or speed_mps < RUNNING_FROM_MPS:
        return None
    return level_speed(speed_mps, grade), "m/s"


def measured_in_test(test: SeriesTest) -> Measured | None:
    """A drift test by the heart rate of its first half; None without a setting."""
    found = output_of_setting(speed_mps=test.speed_mps, grade=test.grade, power_w=test.power_w)
    if found is None:
        return None
    return Measured(
        on=test.on,
        kind="test",
        sport=getattr(test, "sport", None),
        unit=found[1],
        hr_bpm=test.first_half_bpm,
        output=found[0],
    )


def measured_in_time_trial(trial: ReadTrial) -> Measured | None:
    """A 30-minute trial by what it gives; None without power, or without speed on foot."""
    if trial.result.output is None or not _tells(trial.unit, trial.sport):
        return None
    return Measured(
        on=trial.on,
        kind="trial",
        sport=trial.sport,
        unit="W" if trial.unit == "W" else "m/s",
        hr_bpm=trial.result.hr_bpm,
        output=trial.result.output,
        all_out_s=trial.length_s,
    )


def measured_in_trial(trial: Trial) -> Measured | None:
    """A shorter all-out trial, up to the heart rate it ended with; None where that is not known, or on wheels."""
    unit: Unit = "W" if trial.unit == "J" else "m/s"
    if trial.on is None or not np.isfinite(trial.hr_end_bpm) or not _tells(unit, trial.sport):
        return None
    return Measured(
        on=trial.on,
        kind="trial",
        sport=trial.sport,
        unit=unit,
        hr_bpm=trial.hr_end_bpm,
        output=trial.work / trial.time_s,
        all_out_s=trial.time_s,
    )


def _tells(unit: str, sport: str | None) -> bool:
    """Whether output of this unit tells effort: power does, speed only of running."""
    return unit == "W" or (unit == "m/s" and (sport is None or sport in RUNNING_SPORTS))


def accepted_pair(threshold: Threshold) -> tuple[Pair, Unit] | None:
    """A threshold's heart rate with its output; None where it has none."""
    found = output_of_setting(speed_mps=threshold.speed_mps, grade=threshold.grade, power_w=threshold.power_w)
    return None if found is None else ((threshold.hr_bpm, found[0]), found[1])


def output_line(
    measured: Sequence[Measured],
    first: Threshold | None,
    second: Threshold | None,
    *,
    sport: str | None = None,
) -> OutputLine | Code:
    """The athlete's line of output on heart rate, or why there is none.

    Power goes before speed.  The line meets the accepted output of both thresholds and stays at or below every all-out
    trial, up to the heart rate that it ended with; up to the second threshold at or below the newest long one.

    Parameters
    ----------
    measured : sequence of Measured
        Everything, of all sports.
    first, second : Threshold or None
        Those in force in this sport.
    sport : str, optional
        Which sport; None takes all.

    Source
    ------
    See ``measures.output.monotone`` and ``measures.output.slopes``.

    Examples
    --------
    >>> output_line([], None, None)
    Code(name='too few outputs', values=(('least', 3),))
    """
    newest_first = sorted((t for t in (first, second) if t is not None), key=lambda t: t.on, reverse=True)
    pairs = [p for p in map(accepted_pair, newest_first) if p is not None]
    of_sport = [m for m in measured if sport is None or m.sport is None or same_sport(m.sport, sport)]
    units: tuple[Unit, ...] = ("W", "m/s")
    for unit in (u for u in units if _tells(u, sport)):
        kept = _recent([m for m in of_sport if m.unit == unit])
        met = [pair for pair, of in pairs if of == unit]
        outputs = [*(m.output for m in kept if not _is_short(m)), *(output for _, output in met)]
        if len(met) == 2 or len({round(output, 3) for output in outputs}) >= LEAST_OUTPUTS:
            return _line(kept, met, unit, second)
    return code("too few outputs", least=LEAST_OUTPUTS)


def _recent(measured: Sequence[Measured]) -> list[Measured]:
    """What is not much older than the newest."""
    newest = max((m.on for m in measured), default=date.min)
    return [m for m in measured if newest - m.on <= LONGEST_AGE]


def _is_short(measured: Measured) -> bool:
    """An all-out trial too short for its heart rate to settle."""
    return measured.all_out_s is not None and measured.all_out_s < LONG_TRIAL_S


def _line(kept: list[Measured], met: list[Pair], unit: Unit, second: Threshold | None) -> OutputLine:
    """The line; of accepted pairs that contradict each other the newest, which comes first, is met.

    Where the second threshold has no output, the line meets the newest long trial in its place.
    """
    settled = [m for m in kept if m.all_out_s is None]
    slope = _slope(settled, unit)
    doubts = [
        code("accepted outputs do not rise", low_bpm=a[0], low=a[1], high_bpm=b[0], high=b[1], unit=unit)
        for a, b in pairwise(sorted(met))
        if b[1] <= a[1]
    ]
    met = met[:1] if doubts else met
    ceilings = _ceilings(kept, second)
    doubts += [
        code("output above an all-out trial", hr_bpm=bpm, output=value, trial=top, unit=unit)
        for bpm, value in met
        if value
        > (1 + KEPT_FRAC) * (top := min((o for reach, o in ceilings if reach >= bpm), default=np.inf))
    ]
    through = _with_trial(met, kept)
    line = monotone_line(
        [m.hr_bpm for m in settled],
        [m.output for m in settled],
        slope=slope,
        through=through,
        ceilings=ceilings,
    )
    known = [*(m.output for m in kept), *(output for _, output in met)]
    return OutputLine(
        line=line,
        unit=unit,
        low=min(known),
        high=max(known),
        day_pct=100 * float(np.hypot(DAY_HR_SD_BPM / slope, line.scatter)) / float(np.median(known)),
        made_from=code(
            "outputs made from",
            n_tests=sum(m.kind == "test" for m in kept),
            n_stages=sum(m.kind == "stage" for m in kept),
            n_trials=sum(m.kind == "trial" for m in kept),
            n_accepted=len(met),
        ),
        doubts=tuple(doubts),
    )


def _with_trial(met: Sequence[Pair], kept: Sequence[Measured]) -> list[Pair]:
    """What is accepted, and the newest long trial where it lies above all of that in heart rate and output."""
    long = [m for m in kept if m.all_out_s is not None and not _is_short(m)]
    if not long:
        return list(met)
    newest = max(long, key=lambda m: m.on)
    is_above = all(newest.hr_bpm > bpm and newest.output > output for bpm, output in met)
    return [*met, (newest.hr_bpm, newest.output)] if is_above else list(met)


def _ceilings(kept: Sequence[Measured], second: Threshold | None) -> list[Pair]:
    """How far up each all-out trial holds: to the heart rate it ended with, a long one to the second threshold.

    A trial that a later one of at least its length went beyond holds no longer.
    """
    trials = [m for m in kept if m.all_out_s is not None]
    found = []
    for m in trials:
        length = m.all_out_s or 0.0
        if any(o.on > m.on and (o.all_out_s or 0.0) >= length and o.output > m.output for o in trials):
            continue
        reach = m.hr_bpm
        if second is not None and length >= LONG_TRIAL_S:
            reach = max(reach, second.hr_bpm)
        found.append((reach, m.output))
    return found


def _slope(settled: Sequence[Measured], unit: Unit) -> float:
    """Heart rate for each unit of output: the athlete's own where tests and stages tell it, beside the usual one."""
    usual, floor = (CYCLING_SLOPE, OWN_CYCLING_SD) if unit == "W" else (RUNNING_SLOPE, OWN_RUNNING_SD)
    if len({round(m.output, 3) for m in settled}) < LEAST_OUTPUTS:
        return usual.mean
    fit = scipy.stats.linregress([m.output for m in settled], [m.hr_bpm for m in settled])
    own = HeartRateSlope(float(fit.slope), float(fit.stderr))
    return max(joined_slope(usual, own, own_floor_sd=floor).mean, LEAST_SLOPE_FRAC * usual.mean)
