"""A person: profile, accepted thresholds, tests known only by two numbers, days apart."""

from datetime import date
from typing import Literal

from pydantic import BaseModel, ConfigDict

Which = Literal["first", "second"]
ZoneScale = Literal["two thresholds", "heart-rate reserve", "share of maximum"]


class _Record(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Threshold(_Record):
    """An accepted threshold: value, 90 % interval, method and the tests behind it."""

    which: Which
    on: date
    hr_bpm: float
    hr_low_bpm: float | None = None
    hr_high_bpm: float | None = None
    speed_mps: float | None = None
    grade: float | None = None
    power_w: float | None = None
    method: str = ""
    tests: tuple[str, ...] = ()
    withdrawn: bool = False
    note: str = ""


class TypedTest(_Record):
    """A drift test known only by its two half means."""

    on: date
    first_half_bpm: float
    second_half_bpm: float
    minutes: float
    speed_mps: float | None = None
    grade: float | None = None
    power_w: float | None = None
    temperature_c: float | None = None
    note: str = ""


class Block(_Record):
    """Days whose readings are left out of trends."""

    start_on: date
    stop_on: date
    kind: Literal["ill", "travel", "altitude"]


class Athlete(_Record):
    """One athlete as ``athlete.toml`` tells, in the units of this package."""

    slug: str
    name: str
    birth_year: int | None = None
    sex: Literal["female", "male"] | None = None
    mass_kg: float | None = None
    hr_max_bpm: float | None = None
    hr_max_from: Literal["measured", "predicted"] | None = None
    hr_rest_bpm: float | None = None
    heart_rate_medicine: bool | None = None
    sports: tuple[str, ...] = ()
    time_zone: str | None = None
    zones: ZoneScale = "two thresholds"
    thresholds: tuple[Threshold, ...] = ()
    typed_tests: tuple[TypedTest, ...] = ()
    blocks: tuple[Block, ...] = ()

    def threshold_on(self, which: Which, day: date) -> Threshold | None:
        """The threshold valid on a day: the newest accepted on or before it that was not withdrawn."""
        valid = [t for t in self.thresholds if t.which == which and t.on <= day and not t.withdrawn]
        return max(valid, key=lambda t: t.on) if valid else None
