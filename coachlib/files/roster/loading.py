"""Records from the bytes of TOML files, refused in sentences that name the file."""

from pathlib import Path
from typing import Any

from coachlib.errors import RosterProblem
from coachlib.files.roster.forms import AnyRecord, fill, in_words, said
from coachlib.files.roster.places import is_inside
from coachlib.files.roster.tomltext import decoded, parsed

#: The form of roster.toml and athlete.toml that this version reads and writes.
SCHEMA = 1


#: A file that people type is smaller.  Own choice: ten years of diary are about 1 MB.  [bytes]
LARGEST_DIARY = 5_000_000
LARGEST_FORM = 500_000


def contents(path: Path, where: str, *, folder: Path, largest: int = LARGEST_FORM) -> bytes:
    """The bytes of a file that belongs into ``folder``.

    Raises
    ------
    RosterProblem
        When it is there but may not be read, as while some spreadsheets have it open; when it is a link that
        leads elsewhere, or larger than any file that people type.
    """
    if not is_inside(path, folder):
        raise RosterProblem(
            f"{where} is a link that leads out of its folder and is not followed; put the file itself there"
        )
    try:
        size = path.stat().st_size
        data = path.read_bytes() if size <= largest else b""
    except OSError as error:
        raise RosterProblem(
            f"{where} cannot be opened: {error.strerror or error}. Close it in other programs, "
            "or see to its permissions"
        ) from None
    if size > largest:
        raise RosterProblem(
            f"{where} has {size / 1e6:.1f} MB and may have {largest / 1e6:g}; is it another program's file?"
        )
    return data


def loaded(
    model: type[AnyRecord],
    data: bytes,
    where: str,
    *,
    given: dict[str, Any] | None = None,
) -> AnyRecord:
    """Make a record from the bytes of a TOML file; where it says no ``schema`` it has the first.

    Raises
    ------
    RosterProblem
        With every problem of the file, a line each.
    """
    typed, _ = parsed_form(data, where, reads=(SCHEMA,))
    filled = fill(model, typed, given=given)
    if filled.record is None:
        raise RosterProblem("\n".join(f"{where}: {problem}" for problem in filled.problems))
    return filled.record


def parsed_form(
    data: bytes, where: str, *, reads: tuple[int, ...], must_say: bool = False
) -> tuple[dict[str, Any], int]:
    """The keys and values of a TOML file without ``schema``, and which of the forms in ``reads`` it has.

    Raises
    ------
    RosterProblem
        When the file is no TOML or has another form; with ``must_say`` also when it does not say which.
    """
    typed = parsed(decoded(data, where), where)
    schema = typed.pop("schema", None if must_say else reads[0])
    if schema is None:
        raise RosterProblem(
            f"{where}: key `schema` is missing; write schema = {reads[0]} as its first line, "
            "or bring back a whole copy"
        )
    if schema not in reads or isinstance(schema, bool):
        raise RosterProblem(
            f"{where}: key `schema` is {said(schema)}, and this version reads {in_words(map(str, reads))}; "
            "install the version of coachlib that wrote the file"
        )
    return typed, int(schema)
