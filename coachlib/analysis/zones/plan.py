"""An athlete's zones, what stands beside them, and where there are none, why."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import Protocol

import numpy as np

from coachlib.analysis.first_threshold.consistency import bound, threshold_doubts
from coachlib.analysis.zones.holding import by_effort, unchecked_since
from coachlib.analysis.zones.measured import Measured, OutputLine, output_line
from coachlib.measures.common.codes import Code, code
from coachlib.measures.zones.scales import NEEDED, OWN_SCALE, ZoneSet, zone_set
from coachlib.measures.zones.zone_table import (
    ZoneComparison,
    ZoneOutput,
    ZoneShares,
    compare_zones,
    zone_outputs,
    zone_shares,
)
from coachlib.records.athlete import Athlete, Threshold, Which
from coachlib.records.sports import same_sport


class Session(Protocol):
    """What zones count of a session."""

    @property
    def on(self) -> date:
        """Its day."""

    @property
    def sport(self) -> str:
        """What was done."""

    @property
    def seconds_at_bpm(self) -> tuple[float, ...]:
        """Seconds at each whole heart rate. [s]"""


@dataclass(frozen=True, kw_only=True)
class Known:
    """What zones are made from, whatever the choices; ``day`` is the one they are made for."""

    athlete: Athlete
    coach: str
    sessions: tuple[Session, ...]
    n_weeks: int
    measured: tuple[Measured, ...]
    day: date


@dataclass(frozen=True, kw_only=True)
class Compared:
    """Another set of zones, and the same ``n_sessions`` of ``n_weeks`` under both; of a watch, or those before."""

    of_watch: bool
    zones: ZoneSet
    result: ZoneComparison
    n_sessions: int
    n_weeks: int


@dataclass(frozen=True, kw_only=True)
class ZonePlan:
    """Everything a zone sheet says.

    ``zones`` is None where there may be none: ``refused`` then says why.  ``on`` is the day of the newest threshold
    behind them, ``sport`` the one they are for where they are not for all.  ``output`` is None where no speed or power
    can be told; ``no_output`` then says why.
    """

    athlete: str
    coach: str
    on: date | None
    sport: str | None
    zones: ZoneSet | None
    refused: tuple[Code, ...]
    doubts: tuple[Code, ...]
    shares: tuple[ZoneShares, ...]
    outputs: tuple[ZoneOutput, ...]
    output: OutputLine | None
    no_output: Code | None
    thresholds: tuple[Threshold, ...]
    hr_max_bpm: float | None
    hr_max_from: str | None
    hr_rest_bpm: float | None
    compared: tuple[Compared, ...]
    withdrawn: tuple[Code, ...] = ()

    @property
    def own_bands(self) -> bool:
        """Whether these are this project's five bands."""
        return self.zones is not None and self.zones.scale == OWN_SCALE


def sports_of(known: Known) -> tuple[str, ...]:
    """The sports that zones can be made for, the athlete's own order first."""
    told = [*known.athlete.sports, *(m.sport for m in known.measured if m.sport)]
    told += [s for t in known.athlete.thresholds if not t.withdrawn and (s := t.sport)]
    found: list[str] = []
    for sport in told:
        if not any(same_sport(sport, other) for other in found):
            found.append(sport)
    return tuple(found)


def usual_sport(known: Known) -> str | None:
    """The sport to begin with: the first one with a threshold that holds for it; None where there is no sport."""
    sports = sports_of(known)
    with_threshold = [
        s for s in sports if any(known.athlete.accepted_on(w, known.day, s) for w in ("first", "second"))
    ]
    return next(iter((*with_threshold, *sports)), None)


def zone_plan_of(
    known: Known, *, scale: str | None = None, sport: str | None = None, watch: ZoneSet | None = None
) -> ZonePlan:
    """Everything an athlete's zone sheet says.

    Parameters
    ----------
    known : Known
        What was read.
    scale : str, optional
        One of those of ``measures.zones.scales.zone_set``; None takes the athlete's own.
    sport : str, optional
        For which sport; None takes the one to begin with.
    watch : ZoneSet, optional
        The zones a watch has, to stand beside them.

    Source
    ------
    The zones carry their own sources, see ``measures.zones.scales``.
    """
    athlete = known.athlete
    scale = scale or athlete.zones
    sport = sport or usual_sport(known)
    first, second = (_in_force(athlete, which, known.day, sport) for which in ("first", "second"))
    refused = _refused(athlete, scale, known.day, sport)
    zones = None if refused else _zones(athlete, scale, known.day, sport)
    by_thresholds = scale == OWN_SCALE
    in_force = [t for t in (first, second) if t is not None] if by_thresholds else []
    made = output_line(known.measured, first, second, sport=sport)
    line = made if isinstance(made, OutputLine) else None
    doubts = threshold_doubts(first, second, hr_max_bpm=athlete.hr_max_bpm) if by_thresholds else ()
    return ZonePlan(
        athlete=athlete.name,
        coach=known.coach,
        on=max((t.on for t in in_force), default=None) if zones else None,
        sport=sport if len(sports_of(known)) > 1 else None,
        zones=zones,
        refused=refused,
        doubts=(*doubts, *_not_checked(athlete, in_force, known.day), *(line.doubts if line else ()))
        if zones
        else (),
        shares=zone_shares(zones, hr_max_bpm=athlete.hr_max_bpm, hr_rest_bpm=athlete.hr_rest_bpm)
        if zones and athlete.hr_max_bpm
        else (),
        outputs=zone_outputs(zones, line.line) if zones and line else (),
        output=line,
        no_output=made if isinstance(made, Code) else None,
        thresholds=tuple(in_force) if zones else (),
        hr_max_bpm=athlete.hr_max_bpm,
        hr_max_from=athlete.hr_max_from,
        hr_rest_bpm=athlete.hr_rest_bpm,
        compared=_compared(known, zones, sport, watch) if zones else (),
        withdrawn=tuple(withdrawn(t) for t in athlete.withdrawn_on(known.day) if _is_for(t, sport)),
    )


def withdrawn(threshold: Threshold) -> Code:
    """That a threshold holds no longer."""
    t = threshold
    return code("threshold withdrawn", which=t.which, on=t.on, hr_bpm=t.hr_bpm, sport=t.sport)


def _is_for(threshold: Threshold, sport: str | None) -> bool:
    return threshold.sport is None or sport is None or same_sport(threshold.sport, sport)


def _in_force(athlete: Athlete, which: Which, day: date, sport: str | None) -> Threshold | None:
    """The threshold of a day as a value, the sport's own before a general one; a bound is none."""
    return athlete.threshold_on(which, day, sport)


def _refused(athlete: Athlete, scale: str, day: date, sport: str | None) -> tuple[Code, ...]:
    """Why there are no zones by heart rate; nothing where they can be made."""
    if (instead := by_effort(athlete, day)) is not None:
        return (instead,)
    known = _what_is_known(athlete, day, sport)
    missing = tuple(name for name in NEEDED[scale] if known[name] is None)
    bounds = [
        bound(t)
        for which in ("first", "second")
        if f"{which} threshold" in missing and (t := athlete.accepted_on(which, day, sport)) is not None
    ]
    if bounds:
        return tuple(bounds)
    if missing:
        return (code("zones still need", scale=scale, missing=missing),)
    given = [(name, value) for name in NEEDED[scale] if (value := known[name]) is not None]
    return tuple(
        code("limits do not rise", lower=lower, lower_bpm=low, higher=higher, higher_bpm=high)
        for (lower, low), (higher, high) in pairwise(given)
        if high <= low
    )


def _what_is_known(athlete: Athlete, day: date, sport: str | None) -> dict[str, float | None]:
    """What zones are made from, by name."""
    first, second = (_in_force(athlete, which, day, sport) for which in ("first", "second"))
    return {
        "resting heart rate": athlete.hr_rest_bpm,
        "first threshold": first.hr_bpm if first else None,
        "second threshold": second.hr_bpm if second else None,
        "maximum heart rate": athlete.hr_max_bpm,
    }


def _zones(athlete: Athlete, scale: str, day: date, sport: str | None) -> ZoneSet | None:
    """The zones by what holds on a day; None where they cannot be made."""
    if _refused(athlete, scale, day, sport):
        return None
    known = _what_is_known(athlete, day, sport)
    return zone_set(
        scale,
        first_bpm=known["first threshold"],
        second_bpm=known["second threshold"],
        hr_rest_bpm=known["resting heart rate"],
        hr_max_bpm=known["maximum heart rate"],
    )


def _not_checked(athlete: Athlete, in_force: Sequence[Threshold], day: date) -> list[Code]:
    """Thresholds from before an illness, a pregnancy or a change of medicine."""
    return [
        code("threshold not checked since", which=t.which, **dict(since))
        for t in in_force
        if (since := unchecked_since(athlete, [(day, t)])) is not None
    ]


def _compared(known: Known, zones: ZoneSet, sport: str | None, watch: ZoneSet | None) -> tuple[Compared, ...]:
    """The zones against those before, and against a watch's own, on the training of that sport."""
    before = _before(known, zones, sport)
    others = [(False, before)] if before is not None and before != zones else []
    others += [(True, watch)] if watch is not None else []
    several = len(sports_of(known)) > 1
    sessions = [s for s in known.sessions if not several or sport is None or same_sport(s.sport, sport)]
    seconds = _seconds(sessions)
    return tuple(
        Compared(
            of_watch=of_watch,
            zones=other,
            result=compare_zones(other, zones, seconds),
            n_sessions=len(sessions),
            n_weeks=known.n_weeks,
        )
        for of_watch, other in others
    )


def _before(known: Known, zones: ZoneSet, sport: str | None) -> ZoneSet | None:
    """The athlete's zones until now: on the scale kept so far, or before the newest threshold."""
    athlete, day = known.athlete, known.day
    if zones.scale == athlete.zones:
        in_force = [_in_force(athlete, which, day, sport) for which in ("first", "second")]
        day = max((t.on for t in in_force if t), default=day) - timedelta(days=1)
    return _zones(athlete, athlete.zones, day, sport)


def _seconds(sessions: Sequence[Session]) -> tuple[float, ...]:
    """Seconds at each heart rate over several sessions."""
    total = np.zeros(max((len(s.seconds_at_bpm) for s in sessions), default=1))
    for session in sessions:
        total[: len(session.seconds_at_bpm)] += session.seconds_at_bpm
    return tuple(total.tolist())
