"""Values of the second threshold that can be accepted, each with where it comes from."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from pydantic import ValidationError

from coachlib.analysis.first_threshold.consistency import threshold_doubts
from coachlib.analysis.second_threshold.efforts import ReadTrial
from coachlib.analysis.second_threshold.steps import Steps
from coachlib.errors import BadArgument
from coachlib.measures.common.codes import Code, code
from coachlib.measures.second_threshold.lactate import SECOND
from coachlib.records.athlete import Threshold, Which
from coachlib.records.sports import RUNNING_SPORTS


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One value that can be accepted; ``on`` is the first day it could hold, None where the coach says it."""

    origin: Code
    on: date | None
    sport: str | None
    hr_bpm: float
    hr_low_bpm: float | None = None
    hr_high_bpm: float | None = None
    speed_mps: float | None = None
    power_w: float | None = None
    method: str
    tests: tuple[str, ...] = ()
    note: str = ""
    which: Which = "second"

    def threshold(self, on: date) -> Threshold:
        """As it would be accepted from a day on.

        Raises
        ------
        BadArgument
            When one of its numbers cannot be true.
        """
        try:
            return Threshold(
                which=self.which,
                on=on,
                sport=self.sport,
                hr_bpm=self.hr_bpm,
                hr_low_bpm=self.hr_low_bpm,
                hr_high_bpm=self.hr_high_bpm,
                speed_mps=self.speed_mps,
                power_w=self.power_w,
                method=self.method,
                tests=self.tests,
                note=self.note,
            )
        except ValidationError as problem:
            where = problem.errors()[0]["loc"][0] if problem.errors()[0]["loc"] else "hr_bpm"
            noun = {"speed_mps": "speed", "power_w": "power", "on": "day"}.get(str(where), "heart rate")
            raise BadArgument(
                f"a {self.which} threshold of {self.hr_bpm:g} bpm cannot be kept: its {noun} is none that a person can have. "
                "Correct what was typed in."
            ) from None

    def doubts(self, first: Threshold | None, *, hr_max_bpm: float | None) -> tuple[Code, ...]:
        """What speaks against it beside a first threshold."""
        return threshold_doubts(first, self, hr_max_bpm=hr_max_bpm)


def kept_sport(sport: str | None) -> str | None:
    """The sport a threshold is kept for; a recording that does not tell one tells none.

    Examples
    --------
    >>> kept_sport("trail_running"), kept_sport("generic"), kept_sport("rowing")
    ('running', None, 'rowing')
    """
    if sport in RUNNING_SPORTS:
        return "running"
    return None if sport in ("", "generic") else sport


def of_trial(trial: ReadTrial) -> Candidate:
    """What a 30-minute trial gives, from the day after it."""
    found = trial.result
    return Candidate(
        origin=code("from a time trial", on=trial.on),
        on=trial.on + timedelta(days=1),
        sport=kept_sport(trial.sport),
        hr_bpm=round(found.hr_bpm),
        hr_low_bpm=round(found.hr_low_bpm),
        hr_high_bpm=round(found.hr_high_bpm),
        speed_mps=_kept_speed(found.output) if trial.unit == "m/s" else None,
        power_w=_kept_power(found.output) if trial.unit == "W" else None,
        method=found.method,
        tests=(trial.sha256,),
    )


def of_steps(steps: Steps) -> tuple[Candidate, ...]:
    """The answers of a step test that usually lie near the second threshold and have a heart rate."""
    return tuple(
        Candidate(
            origin=code("from a step test", method=t.name),
            on=None if steps.on is None else steps.on + timedelta(days=1),
            sport=kept_sport(steps.sport),
            hr_bpm=round(t.hr_bpm),
            speed_mps=_kept_speed(t.load / 3.6) if steps.unit == "km/h" else None,
            power_w=_kept_power(t.load) if steps.unit == "W" else None,
            method=f"lactate, {t.method}",
            tests=steps.tests,
            note=steps.note,
        )
        for t in steps.lactate.thresholds
        if t.kind == SECOND and t.hr_bpm is not None
    )


def typed_estimate(
    *,
    hr_bpm: float,
    hr_low_bpm: float,
    hr_high_bpm: float,
    source: str,
    sport: str | None,
    speed_mps: float | None = None,
    power_w: float | None = None,
    which: Which = "second",
) -> Candidate:
    """An estimate from elsewhere of one of the thresholds, with its interval and where it comes from.

    Raises
    ------
    BadArgument
        When the value does not lie inside its interval, or nothing says where it comes from.

    Source
    ------
    Whoever is named.

    Examples
    --------
    >>> found = typed_estimate(hr_bpm=172, hr_low_bpm=168, hr_high_bpm=176, source="laboratory, spring", sport=None)
    >>> found.method
    'laboratory, spring'
    """
    if not hr_low_bpm <= hr_bpm <= hr_high_bpm:
        raise BadArgument(
            f"an estimate lies inside its interval; found {hr_bpm:g} bpm from {hr_low_bpm:g} to {hr_high_bpm:g}. Correct "
            "one of the three."
        )
    if not 60 <= hr_low_bpm <= hr_high_bpm <= 230:
        raise BadArgument(
            f"a {which} threshold lies between 60 and 230 bpm; found {hr_low_bpm:g} to {hr_high_bpm:g}. Correct the numbers."
        )
    if not source.strip():
        raise BadArgument(
            "an estimate needs where it comes from, such as a laboratory and its day. Type it in beside the numbers."
        )
    return Candidate(
        origin=code("typed estimate", source=source.strip()),
        on=None,
        sport=sport,
        hr_bpm=hr_bpm,
        hr_low_bpm=hr_low_bpm,
        hr_high_bpm=hr_high_bpm,
        speed_mps=speed_mps,
        power_w=power_w,
        method=source.strip(),
        note="typed in by the coach",
        which=which,
    )


def doubts_of(
    candidates: Sequence[Candidate], first: Threshold | None, *, hr_max_bpm: float | None
) -> tuple[tuple[Candidate, Code], ...]:
    """What speaks against each of the candidates."""
    return tuple((c, doubt) for c in candidates for doubt in c.doubts(first, hr_max_bpm=hr_max_bpm))


def _kept_speed(speed_mps: float | None) -> float | None:
    """Speed as a file keeps it: tenths of km/h."""
    return None if speed_mps is None else round(speed_mps * 36) / 36


def _kept_power(power_w: float | None) -> float | None:
    """Power as a file keeps it: whole watts."""
    return None if power_w is None else float(round(power_w))
