"""The one range that leads a planned session: heart rate where it is easy, pace or power where it is hard, else effort."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from coachlib.analysis.week.easy import threshold_interval
from coachlib.analysis.zones.holding import unchecked_since
from coachlib.measures.plan.archetypes import Archetype, archetype
from coachlib.records.athlete import Athlete
from coachlib.records.sports import sport_family
from coachlib.records.thresholds import Threshold, Which

By = Literal["heart rate", "speed", "power", "effort"]
#: Long repetitions near the second threshold are led from this share of its output up to it.  Own choice: what lies
#: above cannot be kept up.
NEAR_SECOND_FRAC = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadRange:
    """From where to where, in 1/min, m/s, W or CR-10; one end may be open.

    ``grade`` is that of the setting where the threshold has one, ``sport`` says how a speed is told.
    """

    by: By
    low: float | None = None
    high: float | None = None
    grade: float | None = None
    sport: str | None = None


def lead_range(
    meant: str, athlete: Athlete, *, on: date, sport: str | None, kept_below: Threshold | None = None
) -> LeadRange | None:
    """The range that leads a kind of session on a day, by what is accepted for that sport.

    Parameters
    ----------
    meant : str
        What it is for, see ``analysis.week.meant``.
    athlete : Athlete
        For thresholds and medicine.
    on : date
        The day.
    sport : str or None
        Of the session; None where it is not known: then only thresholds for every sport count.
    kept_below : Threshold, optional
        A first threshold below whose lower end the athlete is asked to keep: then easy ends there.

    Returns
    -------
    LeadRange or None
        None where the kind has no range: rest, strength, strides, a test, a race, anything else.

    Source
    ------
    Domains and efforts: ``measures.plan.archetypes``.  Heart rate lags behind short repetitions, so that output leads
    them: common practice, no source.  Where heart rate misleads, effort leads: see ``analysis.zones.holding``.  It also
    leads where the threshold was not checked since an illness, a change of medicine or at altitude: own choice.

    Examples
    --------
    >>> known = {"which": "first", "on": "2026-10-05", "hr_bpm": 150, "hr_low_bpm": 146, "hr_high_bpm": 155}
    >>> mira = Athlete(slug="mira", name="Mira", thresholds=[known])
    >>> easy = lead_range("easy", mira, on=date(2026, 10, 12), sport="running")
    >>> easy.by, easy.high
    ('heart rate', 150.0)
    >>> lead_range("short hard", mira, on=date(2026, 10, 12), sport="running").by
    'effort'
    """
    kind = archetype(meant)
    if kind.domain is None:
        return None
    which: Which = "second" if kind.domain in ("near second", "above second") else "first"
    known = None if athlete.by_effort_on(on) else accepted(athlete, which, on, sport)
    if known is None or unchecked_since(athlete, [(on, known)]) is not None:
        return _by_effort(kind)
    if which == "second":
        return _by_output(kind, known, sport) or _by_effort(kind)
    first = known
    if kind.domain == "below first":
        top = threshold_interval(first)[0] if first == kept_below else first.hr_bpm
        return LeadRange(by="heart rate", high=top)
    low, high = first.hr_low_bpm, first.hr_high_bpm
    if low is None or high is None:
        low = high = first.hr_bpm
    return LeadRange(by="heart rate", low=low, high=high)


def accepted(athlete: Athlete, which: Which, on: date, sport: str | None) -> Threshold | None:
    """The value that holds for a sport on a day; where the sport is not known, one that holds for every sport."""
    if sport is not None:
        return athlete.threshold_on(which, on, sport)
    general = athlete.model_copy(
        update={"thresholds": tuple(t for t in athlete.thresholds if t.sport is None)}
    )
    return general.threshold_on(which, on)


def _by_output(kind: Archetype, second: Threshold, sport: str | None) -> LeadRange | None:
    """Power or speed by that of the second threshold; None where none is accepted with it."""
    by: By
    if second.power_w is not None:
        by, at, grade = "power", second.power_w, None
    elif second.speed_mps is not None:
        by, at, grade = "speed", second.speed_mps, second.grade
    else:
        return None
    is_above = kind.domain == "above second"
    return LeadRange(
        by=by,
        low=at if is_above else NEAR_SECOND_FRAC * at,
        high=None if is_above else at,
        grade=grade,
        sport=None if sport is None else sport_family(sport),
    )


def _by_effort(kind: Archetype) -> LeadRange:
    return LeadRange(by="effort", low=kind.effort_low, high=kind.effort_high)
