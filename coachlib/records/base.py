"""What all records share: immutable, nothing unknown in them, and limits that say themselves in words.

A field's description is what a person may type, in the unit a person types it in; the limits beside it
hold in the one unit of this package.
"""

from datetime import date
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field


class Record(BaseModel):
    """An immutable record that refuses unknown fields and numbers that are none."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


def limits(lowest: float, highest: float, unit: str, *, per_typed: float = 1.0) -> Any:
    """Limits as a person types them; ``per_typed`` turns a typed number into this package's unit.

    Examples
    --------
    >>> limits(0, 72, "km/h", per_typed=1 / 3.6).description
    'a number from 0 to 72 km/h'
    """
    return Field(
        ge=lowest * per_typed,
        le=highest * per_typed,
        description=f"a number from {lowest:g} to {highest:g} {unit}".rstrip(),
    )


def _written_day(typed: object) -> object:
    """Take a day as text in ISO form only: a bare number is no day, whatever it could be counted from."""
    if isinstance(typed, str):
        return date.fromisoformat(typed.strip())
    if not isinstance(typed, date):
        raise ValueError(f"{typed} is no day")
    return typed


def _sensible(day: date) -> date:
    """Refuse a slip of the pen in a year."""
    if not 1990 <= day.year <= 2100:
        raise ValueError(f"{day.isoformat()} lies outside the years 1990 to 2100")
    return day


#: A calendar day of the athlete.
Day = Annotated[
    date,
    BeforeValidator(_written_day),
    AfterValidator(_sensible),
    Field(description="a day such as 2026-10-05, from 1990 to 2100"),
]

HEART_RATE = limits(30, 250, "beats per minute")
#: The fastest is a bicycle downhill.
SPEED = limits(0, 108, "km/h", per_typed=1 / 3.6)
#: The steepest belts reach 40 %, the steepest runs about 50 %.
GRADE = limits(-50, 50, "%", per_typed=0.01)
POWER = limits(0, 2500, "W")
LACTATE = limits(0.1, 40, "mmol/l of blood lactate")
TEMPERATURE = limits(-40, 55, "degrees Celsius")
#: Elapsed time; the longest recording is ten days.
ELAPSED = limits(0, 864000, "seconds since the first record")
