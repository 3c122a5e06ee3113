"""What an athlete's file notes that a series must know."""

from datetime import date

from coachlib.records.athlete import Athlete, Threshold, Which


def takes_medicine(athlete: Athlete, on: date) -> bool:
    """Whether a medicine that changes heart rate is taken on a day.

    Examples
    --------
    >>> takes_medicine(Athlete(slug="anna", name="Anna", heart_rate_medicine=True), date(2026, 10, 3))
    True
    """
    dated = getattr(athlete, "medicine_on", None)
    return bool(dated(on)) if dated is not None else bool(athlete.heart_rate_medicine)


def medicine_changed_between(athlete: Athlete, one: date, other: date) -> bool:
    """Whether such a medicine was begun, changed or stopped between two days: then they cannot be compared."""
    changes = getattr(athlete, "medicine_changes_between", None)
    return bool(changes(one, other)) if changes is not None else False


def accepted(athlete: Athlete, which: Which, on: date, sport: str) -> Threshold | None:
    """What was accepted for a sport and stands on a day: a value or a bound.

    Examples
    --------
    >>> accepted(Athlete(slug="anna", name="Anna"), "first", date(2026, 10, 3), "running") is None
    True
    """
    by_sport = getattr(athlete, "accepted_on", None)
    if by_sport is not None:
        found: Threshold | None = by_sport(which, on, sport or None)
        return found
    return athlete.threshold_on(which, on)


def threshold_of(*, sport: str | None, bounded: str | None, **fields: object) -> Threshold:
    """A threshold as the files can hold it: with its sport and its open end."""
    newer = {"sport": sport, "bounded": bounded}
    return Threshold.model_validate(
        fields | {name: value for name, value in newer.items() if name in Threshold.model_fields}
    )
