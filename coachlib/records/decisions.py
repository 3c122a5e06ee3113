"""What the coach decided about one recording."""

from itertools import combinations
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from coachlib.measures.common.spans import Stretch
from coachlib.records.base import ELAPSED, GRADE, LACTATE, POWER, SPEED, Record

#: The kinds of session; the first group are field tests.
TEST_KINDS = ("drift test", "time trial", "step test", "ramp", "critical trial")
KINDS = ("easy", "long", *TEST_KINDS, "intervals", "race", "other")
#: Kinds that are not steady, and that are hard, whatever they look like.
UNSTEADY_KINDS = frozenset({"intervals", "race", "time trial", "step test", "ramp", "critical trial"})
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

SESSION_NUMBER = Field(ge=0, le=99, description="a whole number from 0 to 99")
CHECKSUM = Field(pattern=r"^[0-9a-f]{64}$", description="the 64 hexadecimal digits of a SHA-256 checksum")


def _refuse_empty(start_s: float, stop_s: float) -> None:
    """Time runs forwards."""
    if stop_s <= start_s:
        raise ValueError(
            f"`stop_s` is {stop_s:g} and `start_s` is {start_s:g}; the stop must lie after the start"
        )


class _Timed(Record):
    """A half-open stretch [start_s, stop_s) of elapsed time."""

    start_s: Annotated[float, ELAPSED]
    stop_s: Annotated[float, ELAPSED]

    @model_validator(mode="after")
    def _stops_after_start(self) -> Self:
        _refuse_empty(self.start_s, self.stop_s)
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


class Trusted(Record):
    """A signal that looks odd and counts all the same, because the coach says so; without a stretch, all of it."""

    quantity: ExcludedQuantity = "hr_bpm"
    start_s: Annotated[float | None, ELAPSED] = None
    stop_s: Annotated[float | None, ELAPSED] = None
    note: str = ""

    @model_validator(mode="after")
    def _whole_stretch(self) -> Self:
        if (self.start_s is None) != (self.stop_s is None):
            raise ValueError("of `start_s` and `stop_s` only one is given; give both, or none for all of it")
        if self.start_s is not None and self.stop_s is not None:
            _refuse_empty(self.start_s, self.stop_s)
        return self


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
    part: Annotated[int | None, SESSION_NUMBER] = None
    windows: tuple[Window, ...] = ()
    exclusions: tuple[Exclusion, ...] = ()
    stages: tuple[Stage, ...] = ()
    trusted: tuple[Trusted, ...] = ()

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


class FileDecisions(Record):
    """What is decided about the sessions of one file.

    Decisions without ``part`` stand alone: they speak of the session that the reader takes by itself.
    """

    fit_sha256: Annotated[str, CHECKSUM]
    parts: tuple[Decisions, ...] = ()

    @model_validator(mode="after")
    def _each_session_once(self) -> Self:
        numbers = [decided.part for decided in self.parts]
        if len(set(numbers)) < len(numbers):
            raise ValueError("two [[part]] tables have the same `number`; keep one")
        if len(numbers) > 1 and None in numbers:
            raise ValueError("of several sessions each needs its number")
        return self

    def by_part(self, main: int) -> dict[int, Decisions]:
        """Decisions by the session's number; ``main`` is the session that those without number speak of."""
        return {main if decided.part is None else decided.part: decided for decided in self.parts}

    def with_part(self, decided: Decisions, *, main: int | None = None) -> "FileDecisions":
        """With one session's decisions in place of its former ones, those of all others kept.

        ``main`` is the session that decisions without number speak of; where it is not told, former ones
        without number give way, and new ones without number take the place of the only former ones.

        Raises
        ------
        ValueError
            When it cannot be told which of several sessions is meant.
        """
        number = main if decided.part is None else decided.part
        if number is None and len(self.parts) > 1:
            raise ValueError("decisions about several sessions are kept here; say which session these are of")
        if number is None and self.parts:
            number = self.parts[0].part
        others = [p if p.part is not None else p.model_copy(update={"part": main}) for p in self.parts]
        others = [p for p in others if p.part not in (None, number)]
        if others or (self.parts and self.parts[0].part is not None):
            decided = decided.model_copy(update={"part": number})
        return FileDecisions(
            fit_sha256=decided.fit_sha256, parts=tuple(sorted([*others, decided], key=lambda p: p.part or 0))
        )
