"""What the coach decided about one recording."""

from typing import Literal

from pydantic import BaseModel, ConfigDict

#: The kinds of session; the first group are field tests.
TEST_KINDS = ("drift test", "time trial", "step test", "ramp", "critical trial")
KINDS = ("easy", "long", *TEST_KINDS, "intervals", "race", "other")
Kind = Literal[
    "easy", "long", "drift test", "time trial", "step test", "ramp", "critical trial", "intervals", "race", "other"
]
Purpose = Literal["steady", "warm-up", "trial", "stage"]


class _Record(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Window(_Record):
    """A half-open stretch [start_s, stop_s) that a calculation uses."""

    start_s: float
    stop_s: float
    purpose: Purpose = "steady"
    note: str = ""


class Exclusion(_Record):
    """A half-open stretch of one quantity left out, why, and who found it."""

    start_s: float
    stop_s: float
    quantity: str = "hr_bpm"
    reason: str = ""
    found_by: str = "coach"


class Stage(_Record):
    """A stretch at one setting that is not in the file: belt speed and grade, or power."""

    start_s: float
    stop_s: float
    speed_mps: float | None = None
    grade: float | None = None
    power_w: float | None = None


class Decisions(_Record):
    """Everything decided about one recording; ``fit_sha256`` ties it to the file's bytes."""

    fit_sha256: str
    kind: Kind | None = None
    part: int | None = None
    windows: tuple[Window, ...] = ()
    exclusions: tuple[Exclusion, ...] = ()
    stages: tuple[Stage, ...] = ()
