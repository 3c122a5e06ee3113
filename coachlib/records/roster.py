"""The roster's own settings."""

from typing import Literal

from pydantic import BaseModel, ConfigDict


class RosterSettings(BaseModel):
    """What ``roster.toml`` tells: whose roster, how its weeks run, how its letters look."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    coach: str = ""
    week_starts: Literal["monday", "sunday"] = "monday"
    accent: str = "#0f5e63"
    time_zone: str | None = None
    criterion_pct: float = 5.0
    stale_after_weeks: int = 8
