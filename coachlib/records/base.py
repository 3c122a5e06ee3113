"""What all records share: immutable, nothing unknown in them, and limits that say themselves in words.

A field's description is what a person may type, in the unit a person types it in; the limits beside it
hold in the one unit of this package.
"""

import unicodedata
from datetime import date
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    AliasGenerator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationInfo,
    model_validator,
)

from coachlib.errors import BadArgument
from coachlib.records.units import Quantity, typed_value

#: Field of a record -> the key a person types, where it differs by more than the unit.
TYPED_KEYS = {
    "start_on": "from",
    "stop_on": "to",
    "windows": "window",
    "exclusions": "exclusion",
    "stages": "stage",
    "thresholds": "threshold",
    "typed_tests": "typed_test",
    "blocks": "block",
    "references": "reference",
    "medicines": "medicine",
    "events": "event",
}
#: What files are read with: typed keys, in the units that a person types.
TYPED = "typed"


def typed_as(field: str) -> tuple[str, float]:
    """The key that a person types for a field, and how many typed units make one of this package's.

    Examples
    --------
    >>> typed_as("speed_low_mps"), typed_as("grade"), typed_as("hr_bpm")
    (('speed_low_kmh', 3.6), ('grade_pct', 100.0), ('hr_bpm', 1.0))
    """
    if field.endswith("_mps"):
        return f"{field.removesuffix('_mps')}_kmh", 3.6
    if field.startswith("grade"):
        return f"{field}_pct", 100.0
    return TYPED_KEYS.get(field, field), 1.0


class Record(BaseModel):
    """An immutable record that refuses unknown fields and numbers that are none.

    In code its fields go by their names and are in this package's units; ``files.roster.forms.fill`` makes one
    from the keys and units that a person types.
    """

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        allow_inf_nan=False,
        alias_generator=AliasGenerator(validation_alias=lambda field: typed_as(field)[0]),
        validate_by_name=True,
        validate_by_alias=False,
    )

    @model_validator(mode="before")
    @classmethod
    def _in_units(cls, values: Any, info: ValidationInfo) -> Any:
        """Typed numbers in this package's units; what is no number is left for the field to refuse."""
        if info.context != TYPED or not isinstance(values, dict):
            return values
        per_unit = {key: per for key, per in map(typed_as, cls.model_fields) if per != 1.0}
        known = {key: _with_unit(value, key) for key, value in values.items()}
        return {
            key: _divided(v, per_unit[key]) if key in per_unit and v is values[key] else v
            for key, v in known.items()
        }


#: How a typed key ends -> what a text in its place, such as "6.2 mph" or "70 F", is read as.
_MAY_CARRY_UNIT: dict[str, Quantity] = {"_kmh": "speed", "_c": "temperature"}


def _with_unit(value: Any, key: str) -> Any:
    """A text with a number and its unit in this package's unit; anything else as it is."""
    quantity = next((q for end, q in _MAY_CARRY_UNIT.items() if key.endswith(end)), None)
    if quantity is None or not isinstance(value, str):
        return value
    try:
        return typed_value(value, quantity)
    except BadArgument:
        return value


def _divided(value: Any, per_unit: float) -> Any:
    is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
    return float(value) / per_unit if is_number and abs(value) < _HUGE else value


#: No typed number means more; whole numbers beyond this may not even become floating ones.
_HUGE = 1e300


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

#: The last day of a stretch of days; None while it lasts, or where its length is given otherwise.
OpenEnd = Annotated[Day | None, Field(description="a day such as 2026-11-01, from 1990 to 2100")]


def refuse_backwards(start_on: date, stop_on: date | None) -> None:
    """Days run forwards."""
    if stop_on is not None and stop_on < start_on:
        raise ValueError(f"`to` is {stop_on} and `from` is {start_on}; `to` may not lie before `from`")


def _visible(name: str) -> str:
    """Refuse a name that nobody sees."""
    if not any(unicodedata.category(letter)[0] in "LN" for letter in name):
        raise ValueError("the name holds no letter")
    return name.strip()


#: What a person, a roster or an event is called.
Name = Annotated[str, AfterValidator(_visible), Field(description="a name of at least one letter")]


def small(typed: object) -> object:
    """A phone writes "Ok" where "ok" is meant."""
    return typed.strip().lower() if isinstance(typed, str) else typed


#: A sport as recordings call it.
Sport = Annotated[
    Annotated[str, Field(min_length=1)] | None,
    BeforeValidator(small),
    Field(description='a sport as recordings name it, such as "running" or "cycling"'),
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
