"""Between what a person types in a file and the records: keys, units, and refusals in words.

The one visible map: files carry km/h, per cent and singular table names, records carry this package's
units.  Every problem of a file is told, not only the first.
"""

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from types import NoneType, UnionType
from typing import Any, Generic, Literal, TypeVar, get_args, get_origin

from pydantic import ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from coachlib.records.base import Record

#: Field of a record -> the key a person types.
TYPED_KEYS = {
    "speed_mps": "speed_kmh",
    "grade": "grade_pct",
    "speed_low_mps": "speed_low_kmh",
    "speed_high_mps": "speed_high_kmh",
    "speed_step_mps": "speed_step_kmh",
    "grade_low": "grade_low_pct",
    "grade_high": "grade_high_pct",
    "grade_step": "grade_step_pct",
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
#: Field of a record -> how many typed units make one of the record's.
TYPED_PER_UNIT = {
    "speed_mps": 3.6,
    "speed_low_mps": 3.6,
    "speed_high_mps": 3.6,
    "speed_step_mps": 3.6,
    "grade": 100.0,
    "grade_low": 100.0,
    "grade_high": 100.0,
    "grade_step": 100.0,
}
#: Fields that are not typed in at all: a folder's name says them.
NOT_TYPED = frozenset({"slug"})
#: Typed numbers keep this many decimals: the conversion's own dust lies far below.
DECIMALS = 6

AnyRecord = TypeVar("AnyRecord", bound=Record)


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled(Generic[AnyRecord]):
    """A record filled from typed values, or None and every problem in words."""

    record: AnyRecord | None
    problems: tuple[str, ...]


def fill(
    model: type[AnyRecord],
    typed: Mapping[str, Any],
    *,
    given: Mapping[str, Any] | None = None,
    keys: Mapping[str, str] | None = None,
    noun: str = "key",
) -> Filled[AnyRecord]:
    """Make a record from what a person typed.

    Parameters
    ----------
    model : type of record
        What is to be filled.
    typed : mapping
        Keys and values as in the file.
    given : mapping, optional
        Fields that are known without being typed, such as the folder's name.
    keys : mapping, optional
        Further fields whose typed key differs from the field's name.
    noun : str
        What a key is called in sentences: "key", or "column" in a table.

    Returns
    -------
    Filled
        The record, or the problems: what was found and what is allowed, one sentence each.

    Examples
    --------
    >>> from coachlib.records.decisions import Stage
    >>> fill(Stage, {"start_s": 0, "stop_s": 60, "speed_kmh": 9.0}).record.speed_mps
    2.5
    >>> fill(Stage, {"start_s": 0, "stop_s": 60, "speed": 9.0}).problems
    ('key `speed` is not known; did you mean `speed_kmh`?',)
    """
    form = _Form(keys={**TYPED_KEYS, **(keys or {})}, noun=noun, problems=[])
    values = {**form.values_of(model, typed, ""), **(given or {})}
    record = None
    try:
        record = model.model_validate(values)
    except ValidationError as error:
        form.problems.extend(form.sentence(model, typed, details) for details in error.errors())
    problems = tuple(dict.fromkeys(form.problems))
    return Filled(record=None if problems else record, problems=problems)


def unknown_keys(
    model: type[Record], typed: Iterable[str], *, keys: Mapping[str, str] | None = None, noun: str = "key"
) -> list[str]:
    """A sentence for every key that a record does not know.

    Examples
    --------
    >>> from coachlib.records.decisions import Stage
    >>> unknown_keys(Stage, ["start_s", "power"])
    ['key `power` is not known; did you mean `power_w`?']
    """
    form = _Form(keys={**TYPED_KEYS, **(keys or {})}, noun=noun, problems=[])
    form.values_of(model, {key: [] for key in typed}, "")
    return form.problems


@dataclass(frozen=True, slots=True, kw_only=True)
class _Form:
    keys: Mapping[str, str]
    noun: str
    problems: list[str]

    def fields_of(self, model: type[Record]) -> dict[str, str]:
        """Typed key -> field."""
        return {self.keys.get(field, field): field for field in model.model_fields if field not in NOT_TYPED}

    def values_of(self, model: type[Record], typed: Mapping[str, Any], place: str) -> dict[str, Any]:
        """Typed values under the record's names and in its units; unknown keys become problems."""
        fields = self.fields_of(model)
        values: dict[str, Any] = {}
        for key, value in typed.items():
            field = fields.get(key)
            if field is None:
                self.problems.append(self._unknown(key, fields, place))
                continue
            item, table = _item_model(model.model_fields[field]), _table_model(model.model_fields[field])
            if table is not None and isinstance(value, dict):
                values[field] = self.values_of(table, value, f"[{key}]")
            elif table is not None:
                self.problems.append(
                    f"{self.noun} `{key}` is {said(value)}; write what it holds under [{key}]"
                )
            elif item is None:
                values[field] = _in_units(field, value)
            elif isinstance(value, list) and all(isinstance(row, dict) for row in value):
                values[field] = [self.values_of(item, row, f"{key} {n}") for n, row in enumerate(value, 1)]
            else:
                self.problems.append(f"{self.noun} `{key}` is {said(value)}; write each one under [[{key}]]")
        return values

    def _unknown(self, key: str, fields: Iterable[str], place: str) -> str:
        nearest = difflib.get_close_matches(key.lower(), list(fields), n=1, cutoff=0.6)
        hint = (
            f"did you mean `{nearest[0]}`?" if nearest else "known are " + in_words(f"`{f}`" for f in fields)
        )
        return f"{self._named(key, place)} is not known; {hint}"

    def _named(self, key: str, place: str) -> str:
        return f"{self.noun} `{key}`" + (f" of {place}" if place else "")

    def sentence(self, model: type[Record], typed: Any, details: ErrorDetails) -> str:
        """One refusal of the record in the words of the file."""
        place, key, field, found = "", "", None, typed
        verb = "is"
        for step in details["loc"]:
            if isinstance(step, int):
                if field is not None and _item_model(field) is None:
                    verb, found = "holds", found[step]
                    break
                place, key, found, field = f"{key} {step + 1}", "", found[step], None
            else:
                field = model.model_fields[step]
                key = self.keys.get(step, step)
                found = found.get(key) if isinstance(found, Mapping) else None
                if (table := _table_model(field)) is not None:
                    place, model, field = f"[{key}]", table, None
                else:
                    model = _item_model(field) or model
        if field is None:
            message = str(details.get("ctx", {}).get("error", details["msg"]))
            return f"{place}: {message}" if place else message
        if details["type"] == "missing":
            return f"{self._named(key, place)} is missing; needed: {_allowed(field)}"
        return f"{self._named(key, place)} {verb} {said(found)}; allowed: {_allowed(field)}"


def typed_values(record: Record) -> dict[str, Any]:
    """What a person would type for a record: keys and units of the files, nothing that is empty.

    Examples
    --------
    >>> from coachlib.records.decisions import Stage
    >>> typed_values(Stage(start_s=900, stop_s=5400, speed_mps=10 / 3.6, grade=0.06))
    {'start_s': 900.0, 'stop_s': 5400.0, 'speed_kmh': 10.0, 'grade_pct': 6.0}
    """
    values: dict[str, Any] = {}
    for name in type(record).model_fields:
        value = getattr(record, name)
        if name in NOT_TYPED or value is None or value is False or value in ("", ()):
            continue
        if isinstance(value, Record):
            value = typed_values(value)
        elif isinstance(value, tuple):
            value = [typed_values(v) if isinstance(v, Record) else v for v in value]
        elif isinstance(value, float):
            value = round(float(value) * TYPED_PER_UNIT.get(name, 1.0), DECIMALS)
            value = int(value) if value.is_integer() and name.endswith(("_bpm", "_w", "minutes")) else value
        values[TYPED_KEYS.get(name, name)] = value
    return values


def said(value: Any) -> str:
    """A value as it stands in a file.

    Examples
    --------
    >>> said("three"), said(True), said(5.5), said([1])
    ('"three"', 'true', '5.5', 'a list')
    """
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, (date, datetime, time)):
        return value.isoformat()
    if isinstance(value, list):
        return "a list"
    if isinstance(value, dict):
        return "a table"
    return str(value)


def in_words(items: Iterable[str], last: str = "and") -> str:
    """A list as people write it.

    Examples
    --------
    >>> in_words(["a", "b", "c"]), in_words(["a"], "or")
    ('a, b and c', 'a')
    """
    *some, final = list(items) or [""]
    return f"{', '.join(some)} {last} {final}" if some else final


def _in_units(field: str, value: Any) -> Any:
    """A typed number in the record's unit; anything else as it is, for the record to refuse."""
    if field in TYPED_PER_UNIT and isinstance(value, (int, float)) and not isinstance(value, bool):
        return value / TYPED_PER_UNIT[field]
    return value


def _item_model(field: FieldInfo) -> type[Record] | None:
    """The record a list field holds, where it holds records."""
    if get_origin(field.annotation) is not tuple:
        return None
    item = get_args(field.annotation)[0]
    return item if isinstance(item, type) and issubclass(item, Record) else None


def _table_model(field: FieldInfo) -> type[Record] | None:
    """The record a table of its own holds."""
    kinds = get_args(field.annotation) if isinstance(field.annotation, UnionType) else (field.annotation,)
    return next((k for k in kinds if isinstance(k, type) and issubclass(k, Record)), None)


def _allowed(field: FieldInfo) -> str:
    """What a person may type for a field."""
    if field.description:
        return field.description
    kinds = get_args(field.annotation) or (field.annotation,)
    kind = next((k for k in kinds if k is not NoneType), str)
    if get_origin(field.annotation) is Literal:
        return in_words((f'"{k}"' for k in kinds), "or")
    if get_origin(kind) is Literal:
        return in_words((f'"{k}"' for k in get_args(kind)), "or")
    if get_origin(field.annotation) is tuple:
        return 'a list of texts such as ["running", "cycling"]'
    return {bool: "true or false", float: "a number", int: "a whole number"}.get(kind, "a text in quotes")
