"""Everything known of one athlete's second threshold, side by side; the coach chooses."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np

from coachlib.analysis.second_threshold.candidates import (
    Candidate,
    doubts_of,
    kept_sport,
    of_steps,
    of_trial,
)
from coachlib.analysis.second_threshold.efforts import ReadTrial, Trial
from coachlib.analysis.second_threshold.steps import Steps
from coachlib.errors import CoachError
from coachlib.measures.common.codes import Code, code
from coachlib.measures.second_threshold.critical_speed import (
    TWO_PARAMETER_FORMS,
    CriticalOutput,
    critical_three_parameter,
)
from coachlib.records.athlete import Athlete, Threshold
from coachlib.records.sports import same_sport


@dataclass(frozen=True, kw_only=True)
class SecondThreshold:
    """Everything the page says.

    ``accepted`` is what stands, a value or a bound; ``doubts`` what speaks against a candidate beside the first
    threshold.  ``unit`` is that of critical output, "m/s" or "W"; ``critical_refused`` says why a form is missing,
    ``left_out`` what could not be used.
    """

    athlete: Athlete
    sport: str | None
    accepted: Threshold | None
    first: Threshold | None
    candidates: tuple[Candidate, ...]
    doubts: tuple[tuple[Candidate, Code], ...]
    trial_caveats: tuple[tuple[date, Code], ...]
    steps: Steps | None
    critical: tuple[CriticalOutput, ...]
    critical_refused: tuple[Code, ...]
    unit: Literal["m/s", "W"]
    left_out: tuple[str | Code, ...]


def second_threshold_of(
    athlete: Athlete,
    *,
    trials: Sequence[ReadTrial],
    short_trials: Sequence[Trial],
    steps: Steps | None,
    estimate: Candidate | None = None,
    sport: str | None = None,
    left_out: Sequence[str | Code] = (),
) -> SecondThreshold:
    """Put the methods side by side.

    Parameters
    ----------
    athlete : Athlete
        Whose.
    trials, short_trials, steps
        What was read or typed in; what is of another sport is left aside.
    estimate : Candidate, optional
        One from elsewhere, typed in.
    sport : str, optional
        For which sport; None takes that of the newest trial or step test.
    left_out : sequence of str or Code
        What could not be read.

    Source
    ------
    The methods carry their own sources, see ``measures.second_threshold``.
    """
    dated = [(t.on, t.sport) for t in trials]
    dated += [(steps.on, steps.sport)] if steps is not None and steps.on and steps.sport else []
    if sport is None and dated:
        sport = kept_sport(max(dated)[1])

    def fits(other: str | None) -> bool:
        return sport is None or other is None or same_sport(other, sport)

    newest_first = sorted((t for t in trials if fits(t.sport)), key=lambda t: t.on, reverse=True)
    steps = steps if steps is not None and fits(steps.sport) else None
    days = [*(t.on for t in athlete.thresholds), *(t.on for t in newest_first)]
    day = max(days, default=date.min)
    first = athlete.threshold_on("first", day, sport)
    candidates = (
        *((estimate,) if estimate else ()),
        *map(of_trial, newest_first),
        *(of_steps(steps) if steps else ()),
    )
    critical, unit, refused = _critical([t for t in short_trials if fits(t.sport)])
    return SecondThreshold(
        athlete=athlete,
        sport=sport,
        accepted=athlete.accepted_on("second", day, sport),
        first=first,
        candidates=candidates,
        doubts=doubts_of(candidates, first, hr_max_bpm=athlete.hr_max_bpm),
        trial_caveats=tuple((t.on, caveat) for t in newest_first for caveat in t.result.caveats),
        steps=steps,
        critical=critical,
        critical_refused=refused,
        unit=unit,
        left_out=tuple(left_out),
    )


def _critical(
    trials: Sequence[Trial],
) -> tuple[tuple[CriticalOutput, ...], Literal["m/s", "W"], tuple[Code, ...]]:
    """Every form of the model on the trials of one unit, the unit with more trials; why a form is missing."""
    unit = max(("m", "J"), key=lambda u: sum(t.unit == u for t in trials))
    kept = [t for t in trials if t.unit == unit]
    if not kept:
        return (), "m/s", ()
    time_s, work = np.array([t.time_s for t in kept]), np.array([t.work for t in kept])
    found, refused = [], []
    for form in TWO_PARAMETER_FORMS:
        try:
            found.append(form(time_s, work))
        except CoachError as problem:
            refused.append(code("form is missing", form="", why=str(problem)))
    try:
        found.append(critical_three_parameter(time_s, work))
    except CoachError as problem:
        refused += [code("form is missing", form="three parameters", why=str(problem))] * bool(found)
    return tuple(found), "m/s" if unit == "m" else "W", tuple(dict.fromkeys(refused))
