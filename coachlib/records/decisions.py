"""What the coach decided about one recording."""

from itertools import combinations
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from coachlib.measures.common.spans import Stretch
from coachlib.records.base import ELAPSED, GRADE, LACTATE, POWER, SPEED, Record

#: The kinds of session; the first group are field tests.
TEST_KINDS = ("drift test", "time trial", "step test", "ramp", "critical trial")
KINDS = ("easy", "long", *TEST_KINDS, "intervals", "race", "other")
Kind = Literal[
    "easy",
    "long",
    "drift test",
    "time trial",
    "step test",
    "ramp",
    "critical trial",
    "intervals",
    "race",
    "other",
]
Purpose = Literal["steady", "warm-up", "trial", "stage"]
#: What an exclusion may leave out: every measured column of a recording.
ExcludedQuantity = Literal["hr_bpm", "speed_mps", "power_w", "cadence_rpm", "altitude_m"]

CHECKSUM = Field(pattern=r"^[0-9a-f]{64}$", description="the 64 hexadecimal digits of a SHA-256 checksum")


class _Timed(Record):
    """A half-open stretch [start_s, stop_s) of elapsed time."""

    start_s: Annotated[float, ELAPSED]
    stop_s: Annotated[float, ELAPSED]

    @model_validator(mode="after")
    def _stops_after_start(self) -> Self:
        if self.stop_s <= self.start_s:
            raise ValueError(
                f"`stop_s` is {self.stop_s:g} and `start_s` is {self.start_s:g}; "
                "the stop must lie after the start"
            )
        return self


class Window(_Timed):
    """A half-open stretch [start_s, stop_s) that a calculation uses."""

    purpose: Purpose = "steady"
    note: str = ""


class Exclusion(_Timed):
    """A half-open stretch of one quantity left out, why, and who found it."""

    quantity: ExcludedQuantity = "hr_bpm"
    reason: str = ""
    found_by: str = "coach"


class Stage(_Timed):
    """A stretch at one setting that is not in the file: belt speed and grade, or power; lactate at its end."""

    speed_mps: Annotated[float | None, SPEED] = None
    grade: Annotated[float | None, GRADE] = None
    power_w: Annotated[float | None, POWER] = None
    lactate_mmol_l: Annotated[float | None, LACTATE] = None


class Decisions(Record):
    """Everything decided about one recording; ``fit_sha256`` ties it to the file's bytes."""

    fit_sha256: Annotated[str, CHECKSUM]
    kind: Kind | None = None
    part: Annotated[int | None, Field(ge=0, le=99, description="a whole number from 0 to 99")] = None
    windows: tuple[Window, ...] = ()
    exclusions: tuple[Exclusion, ...] = ()
    stages: tuple[Stage, ...] = ()

    @model_validator(mode="after")
    def _one_thing_at_a_time(self) -> Self:
        for first, second in combinations(self.stages, 2):
            _refuse_overlap("stages", first, second)
        for one, other in combinations(self.windows, 2):
            if one.purpose == other.purpose:
                _refuse_overlap(f"{one.purpose} windows", one, other)
        return self


def _refuse_overlap(what: str, one: Stretch, other: Stretch) -> None:
    """Two stretches of the same sort may touch but not overlap."""
    if one.start_s < other.stop_s and other.start_s < one.stop_s:
        raise ValueError(
            f"two {what} overlap: {one.start_s:g} to {one.stop_s:g} s "
            f"and {other.start_s:g} to {other.stop_s:g} s; they may touch but not overlap"
        )
