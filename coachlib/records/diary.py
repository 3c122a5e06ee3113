"""What the athlete wrote down about one session.  An empty cell is unknown, never zero."""

from datetime import date, time
from typing import Literal

from pydantic import BaseModel, ConfigDict


class DiaryRow(BaseModel):
    """One row of ``diary.csv``."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    on: date
    start: time | None = None
    recording: str | None = None
    planned: str | None = None
    kind: str | None = None
    rpe: float | None = None
    talk: Literal["comfortable", "equivocal", "not"] | None = None
    temperature_c: float | None = None
    humidity_pct: float | None = None
    sleep_h: float | None = None
    hours_awake: float | None = None
    hours_since_food: float | None = None
    caffeine: str | None = None
    fluid_l: float | None = None
    equipment: str | None = None
    health: Literal["ok", "tired", "ill", "pain"] | None = None
    remarks: str | None = None
