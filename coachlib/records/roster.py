"""The roster's own settings."""

from typing import Annotated, Literal

from pydantic import Field

from coachlib.records.athlete import TimeZone
from coachlib.records.base import Record, limits


class RosterSettings(Record):
    """What ``roster.toml`` tells: whose roster, how its weeks run, how its letters look."""

    name: Annotated[str, Field(min_length=1, description="a name of at least one letter")]
    coach: str = ""
    week_starts: Literal["monday", "sunday"] = "monday"
    accent: Annotated[str, Field(pattern=r"^#[0-9a-fA-F]{6}$", description='a colour such as "#0f5e63"')] = (
        "#0f5e63"
    )
    time_zone: TimeZone = None
    criterion_pct: Annotated[float, limits(1, 15, "%")] = 5.0
    stale_after_weeks: Annotated[
        int, Field(ge=1, le=104, description="a whole number from 1 to 104 weeks")
    ] = 8
