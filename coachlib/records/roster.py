"""The roster's own settings."""

from typing import Annotated, Literal, Self, get_args

from pydantic import AfterValidator, Field, model_validator

from coachlib.records.athlete import TimeZone
from coachlib.records.base import TEMPERATURE, Name, Record, limits

MONTH = Field(ge=1, le=12, description="a month from 1 to 12")

ReasonKind = Literal[
    "illness or pain",
    "no data",
    "trend down",
    "easy days not easy",
    "load outside own range",
    "drift unusually high",
    "unreadable",
    "strap failing",
    "decisions pending",
    "threshold in doubt",
    "trend up",
    "threshold stale",
    "test due",
    "new reference",
]


def _each_once(kinds: tuple[ReasonKind, ...]) -> tuple[ReasonKind, ...]:
    """Refuse a reason that is named twice."""
    if len(set(kinds)) < len(kinds):
        raise ValueError("a reason is named twice")
    return kinds


#: Reasons as a coach lists them in ``roster.toml``.
ReasonKinds = Annotated[
    tuple[ReasonKind, ...],
    AfterValidator(_each_once),
    Field(description="a list, each once, of " + ", ".join(f'"{kind}"' for kind in get_args(ReasonKind))),
]


class TriageSettings(Record):
    """What the call sheet goes by, the table ``[call_sheet]`` of ``roster.toml``.

    ``order`` ranks the reasons, the strongest first; a reason left out of it is not told.  ``talk_to`` names
    those that ask for a word, the others only for a look.
    """

    order: ReasonKinds = get_args(ReasonKind)
    talk_to: ReasonKinds = (
        "illness or pain",
        "no data",
        "trend down",
        "easy days not easy",
        "load outside own range",
    )
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
