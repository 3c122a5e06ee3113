"""The days that are planned: what each is for, how long, by which range it is led."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, time
from typing import Protocol

from coachlib.analysis.plan.lead_range import LeadRange, lead_range
from coachlib.analysis.week.meant import meant_as
from coachlib.measures.plan.archetypes import archetype
from coachlib.records.athlete import Athlete
from coachlib.records.diary import DiaryRow
from coachlib.records.sports import sport_family
from coachlib.records.thresholds import Threshold


class Done(Protocol):
    """A session that tells which sport is done."""

    @property
    def sport(self) -> str:
        """What was done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedDay:
    """One planned session, or a day of rest.

    ``meant`` is one of ``records.diary.TARGETS`` or "intervals"; ``words`` are the coach's own, ``target`` the coach's own
    word for what it is for where it is none that is known.  ``lead`` is the one range that leads it, None where there is
    none.
    """

    on: date
    start: time | None
    meant: str
    target: str | None
    kind: str | None
    words: str
    minutes: float | None
    sport: str | None
    lead: LeadRange | None

    @property
    def is_rest(self) -> bool:
        """Whether nothing is to be trained."""
        return self.meant == "rest"

    @property
    def is_test(self) -> bool:
        """Whether it is a field test."""
        return self.meant == "test"

    @property
    def is_hard(self) -> bool:
        """Whether it asks for a hard effort, so that a day after it is one to recover."""
        return archetype(self.meant).is_hard

    @property
    def trains(self) -> bool:
        """Whether it is training at all."""
        return not self.is_rest


def planned_days(
    rows: Iterable[DiaryRow],
    athlete: Athlete,
    *,
    done: Sequence[Done] = (),
    kept_below: Threshold | None = None,
) -> tuple[PlannedDay, ...]:
    """The planned days among rows of the diary, in the order of days and hours.

    Parameters
    ----------
    rows : iterable of DiaryRow
        Any rows; those that plan nothing are passed over.
    athlete : Athlete
        For thresholds, medicine and sports.
    done : sequence
        Sessions of the weeks before, for the sport where the plan does not say it.
    kept_below : Threshold, optional
        See ``lead_range``.

    Examples
    --------
    >>> rows = [DiaryRow(on="2026-11-26", target="rest"), DiaryRow(on="2026-11-24", planned="easy 50", planned_min=50)]
    >>> [(d.on.day, d.meant, d.minutes) for d in planned_days(rows, Athlete(slug="mira", name="Mira"))]
    [(24, 'easy', 50.0), (26, 'rest', None)]
    """
    found = []
    for row in rows:
        if not (row.is_planned or row.kind):
            continue
        meant = meant_as(row) or "other"
        sport = sport_of(row, athlete, done)
        found.append(
            PlannedDay(
                on=row.on,
                start=row.start,
                meant=meant,
                target=row.target,
                kind=row.kind,
                words=row.planned or "",
                minutes=row.planned_min,
                sport=sport,
                lead=lead_range(meant, athlete, on=row.on, sport=sport, kept_below=kept_below),
            )
        )
    return tuple(sorted(found, key=lambda d: (d.on, d.start is None, d.start or time())))


def sport_of(row: DiaryRow, athlete: Athlete, done: Sequence[Done] = ()) -> str | None:
    """The sport of a planned session: as written, else the only one the athlete does; None where there are several.

    Examples
    --------
    >>> row = DiaryRow(on="2026-11-24", planned="easy 50")
    >>> two = Athlete(slug="mira", name="Mira", sports=("running", "cycling"))
    >>> sport_of(row, two) is None, sport_of(row, Athlete(slug="mira", name="Mira", sports=("Trail running",)))
    (True, 'trail_running')
    """
    if row.sport:
        return as_recorded(row.sport)
    of_athlete = [as_recorded(s) for s in athlete.sports] or [s.sport for s in done]
    families = {sport_family(s) for s in of_athlete}
    return of_athlete[0] if len(families) == 1 else None


def as_recorded(sport: str) -> str:
    """A sport's name as recordings have it.

    Examples
    --------
    >>> as_recorded("Cross-country skiing")
    'cross_country_skiing'
    """
    return "_".join(sport.casefold().replace("-", " ").split())
