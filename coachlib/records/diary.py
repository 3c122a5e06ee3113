"""What the athlete wrote down about one session.  An empty cell is unknown, never zero."""

import re
from datetime import time
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from coachlib.measures.week.load import session_rpe_load
from coachlib.records.base import TEMPERATURE, Day, Record, Sport, limits, small

_CLOCK = re.compile(
    r"(?P<hour>[0-9]{1,2})(?:[:.h](?P<minute>[0-9]{2})(?:[:.](?P<second>[0-9]{2}))?)?"
    r"(?:\s*(?P<half>[ap])\.?m\.?)?",
    re.IGNORECASE,
)


def _clock(typed: object) -> object:
    """Take a time of day as hours and minutes, or hours with am or pm: "730" is no time.

    Examples
    --------
    >>> _clock("5:30 PM"), _clock("12:05 a.m."), _clock("7.30")
    (datetime.time(17, 30), datetime.time(0, 5), datetime.time(7, 30))
    """
    if not isinstance(typed, str):
        return typed
    found = _CLOCK.fullmatch(typed.strip())
    if not found or not (found["minute"] or found["half"]):
        raise ValueError(f"{typed} is no time of day")
    hour = int(found["hour"])
    if found["half"]:
        if not 1 <= hour <= 12:
            raise ValueError(f"{typed} is no time of day")
        hour = hour % 12 + (12 if found["half"] in "pP" else 0)
    return time(hour, int(found["minute"] or 0), int(found["second"] or 0))


#: What a planned session is for; the coach's own words stand beside these.
TARGETS = (
    "easy",
    "long",
    "steady",
    "threshold",
    "short hard",
    "strides",
    "strength",
    "rest",
    "test",
    "race",
    "other",
)


def _known_small(typed: object) -> object:
    """One of the known targets however it is written; other words stay as they are."""
    return typed.strip().lower() if isinstance(typed, str) and typed.strip().lower() in TARGETS else typed


Clock = Annotated[time | None, BeforeValidator(_clock), Field(description="a time of day such as 17:30")]
Talk = Annotated[Literal["comfortable", "equivocal", "not"] | None, BeforeValidator(small)]
Health = Annotated[Literal["ok", "tired", "ill", "pain"] | None, BeforeValidator(small)]


#: As long as the longest recording.
DURATION = limits(0, 14400, "minutes")


def recording_name(typed: str | None) -> str:
    """A recording as it is compared: without its ending, in small letters; "" where none is named.

    Examples
    --------
    >>> recording_name("2026-10-03_Run.FIT"), recording_name(None)
    ('2026-10-03_run', '')
    """
    return (typed or "").casefold().removesuffix(".fit")


class DiaryRow(Record):
    """One row of ``diary.csv``; with a date ahead it is a plan, without a recording ``done_min`` tells its length.

    ``sport`` is needed where an athlete has several: recordings name theirs themselves.
    """

    on: Annotated[Day, Field(validation_alias="date")]
    start: Clock = None
    recording: str | None = None
    sport: Sport = None
    planned: str | None = None
    planned_min: Annotated[float | None, DURATION] = None
    target: Annotated[str | None, BeforeValidator(_known_small)] = None
    done_min: Annotated[float | None, DURATION] = None
    kind: Annotated[str | None, BeforeValidator(small)] = None
    rpe: Annotated[float | None, limits(0, 10, "(CR-10)")] = None
    talk: Talk = None
    temperature_c: Annotated[float | None, TEMPERATURE] = None
    humidity_pct: Annotated[float | None, limits(0, 100, "%")] = None
    sleep_h: Annotated[float | None, limits(0, 24, "hours")] = None
    hours_awake: Annotated[float | None, limits(0, 72, "hours")] = None
    hours_since_food: Annotated[float | None, limits(0, 72, "hours")] = None
    caffeine: str | None = None
    fluid_l: Annotated[float | None, limits(0, 20, "litres")] = None
    equipment: str | None = None
    health: Health = None
    remarks: str | None = None

    @property
    def is_planned(self) -> bool:
        """Whether something was planned for it."""
        return bool(self.planned or self.target or self.planned_min)

    @property
    def was_done(self) -> bool:
        """Whether the athlete says that it was done: its minutes, or how it felt."""
        return bool(self.done_min or self.rpe or self.talk)

    @property
    def moving_s(self) -> float:
        """Time of a session without a recording; 0 where it is not known. [s]"""
        return 60.0 * (self.done_min or 0.0)

    @property
    def rpe_load(self) -> float | None:
        """Rating times minutes of a session without a recording; None where one of them is not known."""
        return (
            None if self.rpe is None or self.done_min is None else session_rpe_load(self.rpe, self.done_min)
        )
