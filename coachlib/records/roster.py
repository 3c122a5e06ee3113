"""The roster's own settings."""

from typing import Annotated, Literal, Self

from pydantic import AfterValidator, Field, model_validator

from coachlib.records.athlete import TimeZone
from coachlib.records.base import TEMPERATURE, Name, Record, limits

MONTH = Field(ge=1, le=12, description="a month from 1 to 12")


def _each_once(names: tuple[str, ...]) -> tuple[str, ...]:
    """Refuse a reason that is named twice."""
    if len(set(names)) < len(names):
        raise ValueError("a reason is named twice")
    return names


#: Reasons of the call sheet by their names; whether there are such reasons is asked where the file is read.
ReasonNames = Annotated[
    tuple[str, ...],
    AfterValidator(_each_once),
    Field(description="a list of the call sheet's reasons, each once"),
]


class TriageSettings(Record):
    """What the call sheet goes by, the table ``[call_sheet]`` of ``roster.toml``.

    ``order`` ranks the reasons, the strongest first; those left out of it follow in their own order.  ``hidden``
    names reasons that are not told; words that need a physician and illness always are.  ``talk_to`` names those
    that ask for a word, the others only for a look; without it each reason asks for what it does by itself.
    """

    order: ReasonNames = ()
    talk_to: Annotated[
        ReasonNames | None, Field(description="a list of the call sheet's reasons, each once")
    ] = None
    hidden: ReasonNames = ()
    silent_days: Annotated[int, Field(ge=1, le=60, description="a whole number from 1 to 60 days")] = 7
    strap_missing_pct: Annotated[float, limits(1, 100, "%")] = 20.0
    unchecked_weeks: Annotated[int, Field(ge=1, le=52, description="a whole number from 1 to 52 weeks")] = 10
    tell_possible_trends: bool = False


class Climate(Record):
    """The roster's usual air temperature at midday in the coldest and the warmest month, ``[climate]``.

    The coldest month is taken half a year from the warmest.
    """

    coldest_c: Annotated[float, TEMPERATURE]
    warmest_c: Annotated[float, TEMPERATURE]
    warmest_month: Annotated[int, MONTH] = 7

    @model_validator(mode="after")
    def _warmest_is_warmer(self) -> Self:
        if self.coldest_c > self.warmest_c:
            raise ValueError(
                f"`coldest_c` is {self.coldest_c:g} and `warmest_c` is {self.warmest_c:g}; "
                "the coldest month may not be the warmer one"
            )
        return self


class RosterSettings(Record):
    """What ``roster.toml`` tells: whose roster, how its weeks run, how its letters look.

    ``day_first`` is the order of dates such as 05.10.2026 in diaries: True means 5 October; None refuses them.
    """

    name: Name
    coach: str = ""
    week_starts: Literal["monday", "sunday"] = "monday"
    accent: Annotated[str, Field(pattern=r"^#[0-9a-fA-F]{6}$", description='a colour such as "#0f5e63"')] = (
        "#0f5e63"
    )
    time_zone: TimeZone = None
    day_first: bool | None = None
    climate: Climate | None = None
    criterion_pct: Annotated[float, limits(1, 15, "%")] = 5.0
    stale_after_weeks: Annotated[
        int, Field(ge=1, le=104, description="a whole number from 1 to 104 weeks")
    ] = 8
    call_sheet: TriageSettings = TriageSettings()
