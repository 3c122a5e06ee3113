"""Accepted thresholds, and drift tests known only by two numbers."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from coachlib.records.base import GRADE, HEART_RATE, POWER, SPEED, TEMPERATURE, Day, Record, Sport, limits

Which = Literal["first", "second"]


class Threshold(Record):
    """An accepted threshold: value, 90 % interval, method and the tests behind it.

    Without ``sport`` it holds for every sport that has none of its own.  Where only one end is known
    ``bounded`` says on which side of ``hr_bpm`` the threshold lies; such a bound is no value: neither zones
    nor minutes below it come from it.
    """

    which: Which
    on: Day
    sport: Sport = None
    hr_bpm: Annotated[float, HEART_RATE]
    hr_low_bpm: Annotated[float | None, HEART_RATE] = None
    hr_high_bpm: Annotated[float | None, HEART_RATE] = None
    bounded: Literal["above", "below"] | None = None
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
        if (self.bounded == "above" and high is not None) or (self.bounded == "below" and low is not None):
            known = "hr_high_bpm" if self.bounded == "above" else "hr_low_bpm"
            raise ValueError(
                f'`bounded` is "{self.bounded}", and `{known}` is given too; where both ends are known leave '
                f"`bounded` away, else leave `{known}` away"
            )
        return self


class TypedTest(Record):
    """A drift test known only by its two half means."""

    on: Day
    sport: Sport = None
    first_half_bpm: Annotated[float, HEART_RATE]
    second_half_bpm: Annotated[float, HEART_RATE]
    minutes: Annotated[float, limits(5, 600, "minutes")]
    speed_mps: Annotated[float | None, SPEED] = None
    grade: Annotated[float | None, GRADE] = None
    power_w: Annotated[float | None, POWER] = None
    temperature_c: Annotated[float | None, TEMPERATURE] = None
    note: Annotated[str, Field(description="a text in quotes")] = ""
