"""A person: profile, accepted thresholds, days apart, what is compared with and what is ahead."""

from datetime import date
from typing import Annotated, Literal, Self
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import AfterValidator, Field, model_validator

from coachlib.records.base import HEART_RATE, Day, Name, OpenEnd, Record, Sport, limits, refuse_backwards
from coachlib.records.health import (
    SESSIONS_BACK,
    Block,
    Medicine,
    Settled,
    back_since,
    blocks_on,
    medicine_on,
)
from coachlib.records.machine import Ergometer, Treadmill
from coachlib.records.sports import sport_family
from coachlib.records.thresholds import Threshold, TypedTest, Which
from coachlib.records.units import Units

__all__ = [
    "Athlete",
    "Block",
    "Event",
    "Medicine",
    "Reference",
    "Settled",
    "Threshold",
    "TimeZone",
    "TypedTest",
    "Which",
    "ZoneScale",
]

ZoneScale = Literal["two thresholds", "heart-rate reserve", "share of maximum"]
#: Who is younger trains under other rules, and tests with a guardian's consent only.
OF_AGE = 18


def _known_zone(name: str | None) -> str | None:
    """Refuse a time zone that no table of zones knows."""
    if name is not None:
        try:
            ZoneInfo(name)
        except (ZoneInfoNotFoundError, ValueError, OSError):
            raise ValueError(f"{name} is no time zone") from None
    return name


#: A zone of the IANA tables.
TimeZone = Annotated[
    str | None, AfterValidator(_known_zone), Field(description='a time zone\'s name such as "Europe/Vienna"')
]


#: One address: what a mail's head cannot be led astray with.
Email = Annotated[
    str | None,
    Field(
        pattern=r"^[^\s@,;:<>()\[\]\"\\]+@[^\s@,;:<>()\[\]\"\\]+$",
        max_length=254,
        description='one address such as "mira@example.org"',
    ),
]


class Reference(Record):
    """Weeks that later weeks of the season are compared with, because the coach says so.

    *moved* only changes what is compared with; after new gear the readings before are not comparable and are
    left out; *compare on* takes back a new reference that was found in the recordings or the diary on one of
    these days.  Without ``stop_on`` a reference is as long as the season's first one.  *First weeks* is written
    by the program for sessions of one sort, with the heart rate that outputs are compared at, so that the comparison
    stands still.  What is not said of ``sport``, ``where`` and ``output`` holds for all of them.
    """

    start_on: Day
    stop_on: OpenEnd = None
    sport: Sport = None
    where: Literal["outdoors", "indoors"] | None = None
    output: Literal["speed", "power"] | None = None
    hr_bpm: Annotated[float | None, HEART_RATE] = None
    because: Literal[
        "moved",
        "new watch",
        "new strap",
        "new shoes",
        "new power meter",
        "new foot pod",
        "compare on",
        "first weeks",
    ] = "moved"
    note: str = ""

    @model_validator(mode="after")
    def _ends_after_start(self) -> Self:
        refuse_backwards(self.start_on, self.stop_on)
        return self


class Event(Record):
    """A day that matters, ahead or past."""

    on: Day
    name: Name
    kind: Literal["race", "camp", "other"] = "race"


class Athlete(Record):
    """One athlete as ``athlete.toml`` tells, in the units of this package.

    ``units`` are those of pages, sheets and panels; files carry metric ones.  ``treadmill`` and ``ergometer`` are None where nothing is noted about them.
    """

    slug: Annotated[str, Field(exclude=True)]
    name: Name
    birth_year: Annotated[int | None, Field(ge=1910, le=2030, description="a year from 1910 to 2030")] = None
    sex: Literal["female", "male"] | None = None
    mass_kg: Annotated[float | None, limits(20, 250, "kg")] = None
    hr_max_bpm: Annotated[float | None, limits(100, 250, "beats per minute")] = None
    hr_max_from: Literal["measured", "predicted"] | None = None
    hr_rest_bpm: Annotated[float | None, limits(25, 120, "beats per minute")] = None
    heart_rate_medicine: bool | None = None
    sports: tuple[str, ...] = ()
    time_zone: TimeZone = None
    email: Email = None
    units: Units = "metric"
    zones: ZoneScale = "two thresholds"
    thresholds: tuple[Threshold, ...] = ()
    typed_tests: tuple[TypedTest, ...] = ()
    medicines: tuple[Medicine, ...] = ()
    blocks: tuple[Block, ...] = ()
    settled: tuple[Settled, ...] = ()
    events: tuple[Event, ...] = ()
    references: tuple[Reference, ...] = ()
    treadmill: Treadmill | None = None
    ergometer: Ergometer | None = None

    @model_validator(mode="after")
    def _rest_below_maximum(self) -> Self:
        if (
            self.hr_max_bpm is not None
            and self.hr_rest_bpm is not None
            and self.hr_rest_bpm >= self.hr_max_bpm
        ):
            raise ValueError(
                f"`hr_rest_bpm` is {self.hr_rest_bpm:g} and `hr_max_bpm` is {self.hr_max_bpm:g}; "
                "rest must lie below the maximum"
            )
        return self

    def accepted_on(self, which: Which, day: date, sport: str | None = None) -> Threshold | None:
        """What was accepted for a day, a value or a bound: the newest on or before it that was not withdrawn.

        Parameters
        ----------
        which : "first" or "second"
            The threshold.
        day : date
            The athlete's day.
        sport : str, optional
            The sport's own beats a general one, that of another sport never counts.  Where no sport is asked
            for, the newest of all.
        """
        valid = [t for t in self.thresholds if t.which == which and t.on <= day and not t.withdrawn]
        if sport is not None:
            family = sport_family(sport)
            own = [t for t in valid if t.sport is not None and sport_family(t.sport) == family]
            valid = own or [t for t in valid if t.sport is None]
        return max(valid, key=lambda t: t.on) if valid else None

    def threshold_on(self, which: Which, day: date, sport: str | None = None) -> Threshold | None:
        """The threshold that stands on a day as a value; None where there is none, or only a bound is accepted.

        A bound that was accepted later takes the place of a value: ``accepted_on`` gives it.
        """
        accepted = self.accepted_on(which, day, sport)
        return None if accepted is None or accepted.bounded else accepted

    def withdrawn_on(self, day: date) -> tuple[Threshold, ...]:
        """The thresholds that held until they were withdrawn, where none accepted on their day or since took their place.

        Of one kind and sport the newest; one that was withdrawn before another was accepted is past.
        """
        found: dict[tuple[str, str | None], Threshold] = {}
        for t in sorted(self.thresholds, key=lambda t: t.on):
            if t.on <= day:
                of = t.which, sport_family(t.sport) if t.sport else None
                if (
                    t.withdrawn and (of not in found or found[of].withdrawn or found[of].on < t.on)
                ) or not t.withdrawn:
                    found[of] = t
        return tuple(t for t in found.values() if t.withdrawn)

    def block_on(self, day: date) -> Block | None:
        """The block of days apart that a day lies in; of several, the one that weighs most."""
        return next(iter(self.blocks_on(day)), None)

    def blocks_on(self, day: date) -> tuple[Block, ...]:
        """All blocks that a day lies in, the one that weighs most first."""
        return blocks_on(self.blocks, day)

    def back_since(self, day: date) -> date | None:
        """The day from which sessions count towards being back from the last illness or injury, if any."""
        return back_since(self.blocks, day)

    def newly_back(self, day: date, n_sessions_since: int) -> bool:
        """Whether fewer than three sessions passed the gates since the last illness or injury.

        ``n_sessions_since`` counts them from ``back_since`` of the day on.
        """
        return self.back_since(day) is not None and n_sessions_since < SESSIONS_BACK

    def medicine_on(self, day: date) -> bool:
        """Whether a medicine that changes heart rate is taken on a day; without dates, always or never."""
        return medicine_on(self.medicines, day) if self.medicines else bool(self.heart_rate_medicine)

    def by_effort_on(self, day: date) -> Literal["medicine", "pregnancy"] | None:
        """Why limits by heart rate do not hold on a day, and talk and effort take their place; None where they hold."""
        if self.medicine_on(day):
            return "medicine"
        return "pregnancy" if any(b.kind == "pregnant" for b in self.blocks_on(day)) else None

    def medicine_changes_between(self, one: date, other: date) -> tuple[Medicine, ...]:
        """Changes of medicine after the earlier of two days, up to and with the later one, in order."""
        first, last = sorted((one, other))
        return tuple(sorted((m for m in self.medicines if first < m.on <= last), key=lambda m: m.on))

    def is_settled(self, remark_on: date, day: date) -> bool:
        """Whether the coach had settled, by a day, what the athlete wrote on another."""
        return any(s.remark_on == remark_on and s.on <= day for s in self.settled)

    def age_on(self, day: date) -> int | None:
        """The age reached in the year of a day [years]; until the birthday it is one less."""
        return None if self.birth_year is None else day.year - self.birth_year

    def is_under_age(self, day: date) -> bool:
        """Whether the athlete may still be under 18: only the year of birth is known, so all of that year."""
        age = self.age_on(day)
        return age is not None and age <= OF_AGE
