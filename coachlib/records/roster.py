"""The roster's own settings."""

from typing import Annotated, Literal, get_args

from pydantic import AfterValidator, Field

from coachlib.records.athlete import TimeZone
from coachlib.records.base import Record, limits

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
    call_sheet: TriageSettings = TriageSettings()
