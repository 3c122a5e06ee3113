"""Records from the bytes of TOML files, refused in sentences that name the file."""

from pathlib import Path
from typing import Any

from coachlib.errors import DecisionProblem, RosterProblem
from coachlib.files.roster.forms import AnyRecord, fill, said
from coachlib.files.roster.tomltext import decoded, parsed
from coachlib.records.decisions import Decisions

#: The form of the files that this version reads and writes.
SCHEMA = 1


def contents(path: Path, where: str) -> bytes:
    """The bytes of a file.

    Raises
    ------
    RosterProblem
        When it is there but may not be read, as while some spreadsheets have it open.
    """
    try:
        return path.read_bytes()
    except OSError as error:
        raise RosterProblem(
            f"{where} cannot be opened: {error.strerror or error}. Close it in other programs, "
            "or see to its permissions"
        ) from None


def decisions_of(data: bytes, where: str) -> Decisions:
    """Decisions from a file's bytes; every refusal is a ``DecisionProblem``."""
    try:
        return loaded(Decisions, data, where, needs_schema=True)
    except RosterProblem as problem:
        raise DecisionProblem(str(problem)) from None


def loaded(
    model: type[AnyRecord],
    data: bytes,
    where: str,
    *,
    given: dict[str, Any] | None = None,
    needs_schema: bool = False,
) -> AnyRecord:
    """Make a record from the bytes of a TOML file.

    Raises
    ------
    RosterProblem
        With every problem of the file, a line each.
    """
    typed = parsed(decoded(data, where), where)
    schema = typed.pop("schema", None if needs_schema else SCHEMA)
    if schema is None:
        raise RosterProblem(f"{where}: key `schema` is missing; write schema = {SCHEMA} as its first line")
    if schema != SCHEMA or isinstance(schema, bool):
        raise RosterProblem(
            f"{where}: key `schema` is {said(schema)}, and this version reads {SCHEMA}; "
            "install the version of coachlib that wrote the file"
        )
    filled = fill(model, typed, given=given)
    if filled.record is None:
        raise RosterProblem("\n".join(f"{where}: {problem}" for problem in filled.problems))
    return filled.record
