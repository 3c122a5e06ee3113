"""A person: profile, accepted thresholds, tests known only by two numbers, days apart."""

from datetime import date
from typing import Annotated, Literal, Self
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import AfterValidator, Field, model_validator

from coachlib.records.base import GRADE, HEART_RATE, POWER, SPEED, TEMPERATURE, Day, Record, limits
from coachlib.records.machine import Ergometer, Treadmill

Which = Literal["first", "second"]
ZoneScale = Literal["two thresholds", "heart-rate reserve", "share of maximum"]


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


class Threshold(Record):
    """An accepted threshold: value, 90 % interval, method and the tests behind it."""

    which: Which
    on: Day
    hr_bpm: Annotated[float, HEART_RATE]
    hr_low_bpm: Annotated[float | None, HEART_RATE] = None
    hr_high_bpm: Annotated[float | None, HEART_RATE] = None
    speed_mps: Annotated[float | None, SPEED] = None
    grade: Annotated[float | None, GRADE] = None
    power_w: Annotated[float | None, POWER] = None
    method: str = ""
    tests: tuple[str, ...] = ()
    withdrawn: bool = False
    note: str = ""

    @model_validator(mode="after")
    def _interval_holds_value(self) -> Self:
        low, high = self.hr_low_bpm, self.hr_high_bpm
        if (low is not None and low > self.hr_bpm) or (high is not None and high < self.hr_bpm):
            said = " to ".join("open" if bound is None else f"{bound:g}" for bound in (low, high))
            raise ValueError(
                f"`hr_bpm` is {self.hr_bpm:g} and its interval {said}; the value must lie inside its interval"
            )
        return self


class TypedTest(Record):
    """A drift test known only by its two half means."""

    on: Day
    first_half_bpm: Annotated[float, HEART_RATE]
    second_half_bpm: Annotated[float, HEART_RATE]
    minutes: Annotated[float, limits(5, 600, "minutes")]
    speed_mps: Annotated[float | None, SPEED] = None
    grade: Annotated[float | None, GRADE] = None
    power_w: Annotated[float | None, POWER] = None
    temperature_c: Annotated[float | None, TEMPERATURE] = None
    note: str = ""


def _refuse_backwards(start_on: date, stop_on: date | None) -> None:
    """Days run forwards."""
    if stop_on is not None and stop_on < start_on:
        raise ValueError(f"`to` is {stop_on} and `from` is {start_on}; `to` may not lie before `from`")


class Block(Record):
    """Days whose readings are left out of trends, first and last day included."""

    start_on: Day
    stop_on: Day
    kind: Literal["ill", "travel", "altitude"]

    @model_validator(mode="after")
    def _ends_after_start(self) -> Self:
        _refuse_backwards(self.start_on, self.stop_on)
        return self


class Reference(Record):
    """Weeks that later weeks of the season are compared with, because the coach says so.

    *moved* only changes what is compared with; after new gear the readings before are not comparable and are
    left out; *compare on* takes back a new reference that was found in the recordings or the diary on one of
    these days.  Without ``stop_on`` a reference is as long as the season's first one.
    """

    start_on: Day
    stop_on: Annotated[Day | None, Field(description="a day such as 2026-11-01, from 1990 to 2100")] = None
    because: Literal[
        "moved", "new watch", "new strap", "new shoes", "new power meter", "new foot pod", "compare on"
    ] = "moved"
    note: str = ""

    @model_validator(mode="after")
    def _ends_after_start(self) -> Self:
        _refuse_backwards(self.start_on, self.stop_on)
        return self


class Athlete(Record):
    """One athlete as ``athlete.toml`` tells, in the units of this package.

    ``treadmill`` and ``ergometer`` are None where nothing is noted about them.
    """

    slug: str
    name: Annotated[str, Field(min_length=1, description="a name of at least one letter")]
    birth_year: Annotated[int | None, Field(ge=1910, le=2030, description="a year from 1910 to 2030")] = None
    sex: Literal["female", "male"] | None = None
    mass_kg: Annotated[float | None, limits(20, 250, "kg")] = None
    hr_max_bpm: Annotated[float | None, limits(100, 250, "beats per minute")] = None
    hr_max_from: Literal["measured", "predicted"] | None = None
    hr_rest_bpm: Annotated[float | None, limits(25, 120, "beats per minute")] = None
    heart_rate_medicine: bool | None = None
    sports: tuple[str, ...] = ()
    time_zone: TimeZone = None
    zones: ZoneScale = "two thresholds"
    thresholds: tuple[Threshold, ...] = ()
    typed_tests: tuple[TypedTest, ...] = ()
    blocks: tuple[Block, ...] = ()
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

    def threshold_on(self, which: Which, day: date) -> Threshold | None:
        """The threshold valid on a day: the newest accepted on or before it that was not withdrawn."""
        valid = [t for t in self.thresholds if t.which == which and t.on <= day and not t.withdrawn]
        return max(valid, key=lambda t: t.on) if valid else None

    def block_on(self, day: date) -> Block | None:
        """The block of days apart that a day lies in."""
        return next((b for b in self.blocks if b.start_on <= day <= b.stop_on), None)
