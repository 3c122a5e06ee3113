"""What an athlete's file notes that a series must know."""

from datetime import date

from coachlib.records.athlete import Athlete


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
