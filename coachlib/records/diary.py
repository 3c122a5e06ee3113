"""What the athlete wrote down about one session.  An empty cell is unknown, never zero."""

from datetime import time
from typing import Annotated, Literal

from pydantic import Field

from coachlib.records.base import TEMPERATURE, Day, Record, limits


class DiaryRow(Record):
    """One row of ``diary.csv``."""

    on: Annotated[Day, Field(description="a day such as 2026-10-05")]
    start: Annotated[time | None, Field(description="a time such as 17:30")] = None
    recording: str | None = None
    planned: str | None = None
    kind: str | None = None
    rpe: Annotated[float | None, limits(0, 10, "(CR-10)")] = None
    talk: Literal["comfortable", "equivocal", "not"] | None = None
    temperature_c: Annotated[float | None, TEMPERATURE] = None
    humidity_pct: Annotated[float | None, limits(0, 100, "%")] = None
    sleep_h: Annotated[float | None, limits(0, 24, "hours")] = None
    hours_awake: Annotated[float | None, limits(0, 72, "hours")] = None
    hours_since_food: Annotated[float | None, limits(0, 72, "hours")] = None
    caffeine: str | None = None
    fluid_l: Annotated[float | None, limits(0, 20, "litres")] = None
    equipment: str | None = None
    health: Literal["ok", "tired", "ill", "pain"] | None = None
    remarks: str | None = None
