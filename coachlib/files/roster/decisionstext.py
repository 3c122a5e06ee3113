"""The file of decisions: one session flat, several in ``[[part]]`` tables, and an ``[end]`` that counts the entries.

Form 1 has neither ``[[part]]`` nor ``[end]``; it is read, and becomes form 2 when it is next saved.
"""

from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import Field, ValidationError

from coachlib.errors import DecisionProblem, RosterProblem
from coachlib.files.roster.forms import fill, said, typed_values
from coachlib.files.roster.loading import parsed_form
from coachlib.files.roster.rewriting import LAST_ENTRY, changed
from coachlib.files.roster.tomltext import as_entry, decoded
from coachlib.records.base import Record
from coachlib.records.decisions import CHECKSUM, SESSION_NUMBER, Decisions, FileDecisions

#: The form that is written, and the older one that is read.
SCHEMA, FORMER_SCHEMA = 2, 1


class _Head(Record):
    """What stands above the ``[[part]]`` tables."""

    fit_sha256: Annotated[str, CHECKSUM]


class _Part(Decisions):
    """One ``[[part]]`` table: it has a number, and the checksum stands above."""

    fit_sha256: Annotated[str, Field(exclude=True)]
    part: Annotated[int, SESSION_NUMBER, Field(validation_alias="number")]


def decisions_of(data: bytes, where: str) -> FileDecisions:
    """Decisions from a file's bytes.

    Raises
    ------
    DecisionProblem
        With every problem of the file, a line each; also when the file was cut short.
    """
    try:
        typed, schema = parsed_form(data, where, reads=(FORMER_SCHEMA, SCHEMA), must_say=True)
    except RosterProblem as problem:
        raise DecisionProblem(str(problem)) from None
    problems: list[str] = []
    if schema == SCHEMA:
        problems += _cut(typed.pop(LAST_ENTRY, None), n_entries(typed))
    is_in_parts = schema == SCHEMA and isinstance(typed.get("part"), list)
    if problems:
        sessions = []
    elif is_in_parts:
        sessions = _parts(typed, problems)
    else:
        flat = fill(Decisions, typed)
        problems += flat.problems
        sessions = [flat.record] if flat.record else []
    if not problems:
        try:
            return FileDecisions(fit_sha256=sessions[0].fit_sha256, parts=tuple(sessions))
        except ValidationError as error:
            problems += [str(details["ctx"]["error"]) for details in error.errors()]
    raise DecisionProblem("\n".join(f"{where}: {problem}" for problem in problems))


def decisions_bytes(data: bytes | None, where: str, decided: FileDecisions) -> bytes:
    """The bytes of the file with what is decided in it; comments, and all that did not change, stay as they were.

    ``data`` are the bytes as they are now; None where there is no file yet.
    """
    if data is None:
        return changed("", {}, _typed(decided, is_in_parts=len(decided.parts) > 1)).encode()
    old = decisions_of(data, where)
    if old == decided:
        return data
    text = decoded(data, where)
    typed, schema = parsed_form(data, where, reads=(FORMER_SCHEMA, SCHEMA), must_say=True)
    is_in_parts = isinstance(typed.get("part"), list)
    before = {**_typed(old, is_in_parts=is_in_parts), "schema": schema}
    if schema == FORMER_SCHEMA:
        del before[LAST_ENTRY]
    if len(decided.parts) > 1 and not is_in_parts:
        text, before = _put_in_parts(text, before, _number_of(old.parts[0], decided))
        is_in_parts = True
    return changed(text, before, _typed(decided, is_in_parts=is_in_parts)).encode()


def n_entries(typed: Mapping[str, Any]) -> int:
    """How many entries under ``[[...]]`` a file has, those inside others too."""
    lists = [value for value in typed.values() if isinstance(value, list)]
    return sum(1 + n_entries(row) for rows in lists for row in rows if isinstance(row, dict))


def _cut(end: Any, n_above: int) -> list[str]:
    """What is wrong with the count at the end of a file."""
    whole = f"where they are all there, let it end with [end] and entries = {n_above}"
    if not isinstance(end, dict) or type(end.get("entries")) is not int:
        return [
            f"the file has no [end] that counts its entries, so it was cut short; bring back a whole copy, or, {whole}"
        ]
    if end["entries"] != n_above:
        return [
            f"[end] counts {said(end['entries'])} entries, and {n_above} stand above it, so some were lost or added; "
            f"bring back a whole copy, or, {whole}"
        ]
    return [f"[end] holds `{key}`; it holds `entries` alone" for key in end if key != "entries"]


def _parts(typed: Mapping[str, Any], problems: list[str]) -> list[Decisions]:
    """The sessions of a file that holds several."""
    head = fill(_Head, {key: value for key, value in typed.items() if key != "part"})
    problems += head.problems
    if not typed["part"] or not all(isinstance(table, dict) for table in typed["part"]):
        problems.append("key `part` is a list; write each session under [[part]]")
        return []
    given = {"fit_sha256": head.record.fit_sha256 if head.record else "0" * 64}
    filled = [fill(_Part, table, given=given) for table in typed["part"]]
    problems += [f"part {n}: {problem}" for n, one in enumerate(filled, 1) for problem in one.problems]
    fields = Decisions.model_fields
    return [Decisions(**{f: getattr(one.record, f) for f in fields}) for one in filled if one.record]


def _typed(decided: FileDecisions, *, is_in_parts: bool) -> dict[str, Any]:
    """What a person would type for all that is decided."""
    typed: dict[str, Any] = {"schema": SCHEMA, "fit_sha256": decided.fit_sha256}
    if is_in_parts:
        rows = [typed_values(session) for session in decided.parts]
        typed["part"] = [
            {"number": row["part"], **{k: v for k, v in row.items() if k not in ("part", "fit_sha256")}}
            for row in rows
        ]
    else:
        typed |= typed_values(decided.parts[0])
    return {**typed, LAST_ENTRY: {"entries": n_entries(typed)}}


def _put_in_parts(text: str, before: dict[str, Any], number: int | None) -> tuple[str, dict[str, Any]]:
    """A flat file as one with a ``[[part]]`` table, and what it then says."""
    bare = {key: value for key, value in before.items() if key not in ("part", LAST_ENTRY)}
    text = changed(text, before, bare)
    head = {key: bare.pop(key) for key in ("schema", "fit_sha256")}
    text = as_entry(text, "part", stays=list(head), values={"number": number})
    return text, {**head, "part": [{"number": number, **bare}]}


def _number_of(old: Decisions, decided: FileDecisions) -> int | None:
    """The number under which a session that had none goes on."""
    if old.part is not None:
        return old.part
    same = [s.part for s in decided.parts if s.model_copy(update={"part": None}) == old]
    return same[0] if same else decided.parts[0].part
