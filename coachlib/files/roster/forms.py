"""Between what a person types in a file and the records: filled in, written out, and refused in words.

Keys and units are the records' own aliases (``records.base.typed_as``).  Every problem of a file is told, not
only the first.
"""

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from types import NoneType
from typing import Any, Generic, Literal, TypeVar, get_args, get_origin

from pydantic import ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from coachlib.records.base import TYPED, Record, typed_as

#: Typed numbers keep this many decimals: the conversion's own dust lies far below.
DECIMALS = 6
#: So many problems of a file are told one by one.
MOST_PROBLEMS = 100
#: Of what a person typed, a sentence shows so many signs at most.
LONGEST_SAID = 80

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
    given = given or {}
    problems = [_unknown(model, key, "", noun) for key in typed if key in given]
    record = None
    try:
        record = model.model_validate({**typed, **given}, context=TYPED, by_alias=True, by_name=False)
    except ValidationError as error:
        found = sorted(
            error.errors(include_url=False, include_input=False),
            key=lambda details: details["type"] != "extra_forbidden",
        )
        problems += [_sentence(model, typed, details, noun) for details in found[:MOST_PROBLEMS]]
        problems += [f"and {len(found) - MOST_PROBLEMS} problems more"] * (len(found) > MOST_PROBLEMS)
    return Filled(record=None if problems else record, problems=tuple(dict.fromkeys(problems)))


def unknown_columns(model: type[Record], typed: Iterable[str]) -> dict[str, str]:
    """A sentence for every column that a record does not know.

    Examples
    --------
    >>> from coachlib.records.decisions import Stage
    >>> unknown_columns(Stage, ["start_s", "power"])
    {'power': 'column `power` is not known; did you mean `power_w`?'}
    """
    known = fields_of(model)
    return {key: _unknown(model, key, "", "column") for key in typed if key not in known}


def fields_of(model: type[Record]) -> dict[str, FieldInfo]:
    """Typed key -> field, of all that a person may type; what the folder says is left out."""
    return {_key_of(name, f): f for name, f in model.model_fields.items() if not f.exclude}


def _key_of(name: str, field: FieldInfo) -> str:
    return str(field.validation_alias or name)


def _sentence(model: type[Record], typed: Any, details: ErrorDetails, noun: str) -> str:
    """One refusal of the record in the words of the file."""
    place, key, field, found = "", "", None, typed
    verb = "is"
    for step in details["loc"]:
        inner = _record_in(field)
        if isinstance(step, str):
            if inner is not None:
                place, model = f"[{key}]", inner
            key, field = step, fields_of(model).get(step)
            found = found.get(key) if isinstance(found, Mapping) else None
        elif inner is not None:
            place, key, field, found, model = f"{key} {step + 1}", "", None, found[step], inner
        else:
            verb, found = "holds", found[step]
    named = f"{noun} `{key}`" + (f" of {place}" if place else "")
    inner = _record_in(field)
    if details["type"] == "extra_forbidden":
        return _unknown(model, key, place, noun)
    if details["type"] == "missing" and field is not None:
        return f"{named} is missing; needed: {_allowed(field)}"
    if details["type"].endswith("_type") and (inner is not None or field is None):
        return _not_a_table(place, key, found, noun, is_list=_is_list(field) or field is None)
    if field is None or inner is not None:
        message = str(details.get("ctx", {}).get("error", details["msg"]))
        place = f"[{key}]" if inner is not None else place
        return f"{place}: {message}" if place else message
    return f"{named} {verb} {said(found)}; allowed: {_allowed(field)}"


def _unknown(model: type[Record], key: str, place: str, noun: str) -> str:
    fields = fields_of(model)
    nearest = difflib.get_close_matches(key[:LONGEST_SAID].lower(), list(fields), n=1, cutoff=0.6)
    hint = f"did you mean `{nearest[0]}`?" if nearest else "known are " + in_words(f"`{f}`" for f in fields)
    return f"{noun} `{shortened(key)}`" + (f" of {place}" if place else "") + f" is not known; {hint}"


def _not_a_table(place: str, key: str, found: Any, noun: str, *, is_list: bool) -> str:
    """What to do where a plain value stands for a table or for a list of them."""
    if not key:
        key, found = place.rsplit(" ", 1)[0], []
    if is_list:
        return f"{noun} `{key}` is {said(found)}; write each one under [[{key}]]"
    return f"{noun} `{key}` is {said(found)}; write what it holds under [{key}]"


def typed_values(record: Record) -> dict[str, Any]:
    """What a person would type for a record: keys and units of the files, nothing that is empty.

    Examples
    --------
    >>> from coachlib.records.decisions import Stage
    >>> typed_values(Stage(start_s=900, stop_s=5400, speed_mps=10 / 3.6, grade=0.06))
    {'start_s': 900.0, 'stop_s': 5400.0, 'speed_kmh': 10.0, 'grade_pct': 6.0}
    """
    values: dict[str, Any] = {}
    for name, field in type(record).model_fields.items():
        value = getattr(record, name)
        if field.exclude or value is None or value is False or value in ("", ()):
            continue
        if isinstance(value, Record):
            value = typed_values(value)
        elif isinstance(value, tuple):
            value = [typed_values(v) if isinstance(v, Record) else v for v in value]
        elif isinstance(value, float):
            value = round(float(value) * typed_as(name)[1], DECIMALS)
            value = int(value) if value.is_integer() and name.endswith(("_bpm", "_w", "minutes")) else value
        values[_key_of(name, field)] = value
    return values


def said(value: Any) -> str:
    """A value as it stands in a file, shortened where it is long.

    Examples
    --------
    >>> said("three"), said(True), said(5.5), said([1])
    ('"three"', 'true', '5.5', 'a list')
    """
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{shortened(value)}"'
    if isinstance(value, (date, datetime, time)):
        return value.isoformat()
    if isinstance(value, list):
        return "a list"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, int) and abs(value) >= 10**LONGEST_SAID:
        return "a number of many digits"
    return shortened(str(value))


def shortened(text: str) -> str:
    """One line, without what cannot be seen, and cut where it is long."""
    plain = "".join(s if s.isprintable() else " " if s.isspace() else "?" for s in text[: LONGEST_SAID + 1])
    return plain if len(text) <= LONGEST_SAID else f"{plain[:LONGEST_SAID]}..."


def in_words(items: Iterable[str], last: str = "and") -> str:
    """A list as people write it.

    Examples
    --------
    >>> in_words(["a", "b", "c"]), in_words(["a"], "or")
    ('a, b and c', 'a')
    """
    *some, final = list(items) or [""]
    return f"{', '.join(some)} {last} {final}" if some else final


def _is_list(field: FieldInfo | None) -> bool:
    """Whether a field holds a list."""
    return field is not None and get_origin(field.annotation) is tuple


def _record_in(field: FieldInfo | None) -> type[Record] | None:
    """The record that a field holds, as a table of its own or in a list of them."""
    kinds = [] if field is None else [*get_args(field.annotation), field.annotation]
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
