"""The exported tables as files: CSV that no spreadsheet runs anything of, or Parquet."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any, Literal, TextIO

import pandas as pd

from coachlib.errors import BadArgument, CoachError, FileProblem, RosterProblem, refused_by_system
from coachlib.files.atomic import write_together
from coachlib.files.roster.cells import neutral
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.export.columns import TABLES
from coachlib.jobs.export.tables import Row, tables_of
from coachlib.jobs.terminal import progress, tell
from coachlib.report.words import wording

Form = Literal["csv", "parquet"]
#: The folder within the roster's reports that takes the tables where no other is named.
FOLDER = "export"
_TYPES: dict[str, Any] = {
    "text": "string",
    "number": "float64",
    "flag": "boolean",
    "day": "datetime64[s]",
    "instant": "datetime64[s, UTC]",
}


def export(
    roster: RosterFolder,
    *,
    today: date | None = None,
    athletes: Sequence[str] = (),
    to: Path | None = None,
    form: Form = "csv",
    out: TextIO | None = None,
) -> int:
    """Write sessions, tests, thresholds and weeks as tables, with a description of each column beside them.

    Parameters
    ----------
    roster : RosterFolder
        Whose numbers.
    today : date, optional
        The day on which they are asked for; by default as the computer's clock says.
    athletes : sequence of str
        Whom; nobody named means everybody.
    to : Path, optional
        The folder for the files; by default ``reports/export`` of the roster.
    form : "csv" or "parquet"
        Files of texts, or of columns with their types.
    out : TextIO, optional
        Where is told what was written; else on the screen.

    Returns
    -------
    int
        0 when everybody's numbers are in them, 1 when somebody could not be read.

    Raises
    ------
    RosterProblem
        When nobody is on the roster, or nobody can be read.
    FileProblem
        When the files cannot be written.
    """
    today = today or date.today()
    owns = [roster.athlete(name) for name in athletes or roster.athletes()]
    rows: dict[str, list[Row]] = {name: [] for name in TABLES}
    unread, left_out, n_read = [], 0, 0
    with progress("Reading", len(owns)) as step:
        for own in owns:
            step(own.slug)
            try:
                found = tables_of(roster, own, today=today)
            except CoachError as problem:
                unread.append(f"{own.slug} is left out: {problem}")
                continue
            n_read += 1
            left_out += len(found.left_out)
            for name, table in rows.items():
                table += found.rows[name]
    if not n_read:
        raise RosterProblem("; ".join(unread) or f"{roster.path} has no athletes, so there are no numbers")
    folder = to or roster.reports_dir / FOLDER
    frames = {name: frame(name, table) for name, table in rows.items()}
    paths = _write({**frames, "columns": columns()}, folder, form)
    said = [wording.count(len(frames[name]), name.removesuffix("s")) for name in TABLES]
    tell(f"{wording.listed(said)} of {wording.count(n_read, 'athlete')}, in {folder}:", to=out)
    for path in paths:
        tell(f"  {path.name}", to=out)
    tell(
        "columns tells what each column is: unit, source, method. These are health data of everybody in it.",
        to=out,
    )
    for sentence in unread:
        tell(sentence, to=out)
    if left_out:
        what = wording.count(left_out, "recording or diary row", "recordings or diary rows")
        tell(f"{what} with problems are not in it or not wholly; coachlib check tells which.", to=out)
    return int(bool(unread))


def frame(table: str, rows: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
    """Rows as a table with the type of each column; what is not known is missing, never zero."""
    described = TABLES[table].columns
    unknown = {name for row in rows for name in row} - {column.name for column in described}
    if unknown:
        raise BadArgument(f"{table} has columns nobody described: {', '.join(sorted(unknown))}")
    return pd.DataFrame(
        {
            column.name: pd.Series([row.get(column.name) for row in rows], dtype="object").astype(
                _TYPES[column.kind]
            )
            for column in described
        }
    )


def columns() -> pd.DataFrame:
    """What each column of each table is."""
    return pd.DataFrame(
        [
            {"table": name, "row": table.row, **asdict(column)}
            for name, table in TABLES.items()
            for column in table.columns
        ]
    )


def _write(frames: Mapping[str, pd.DataFrame], folder: Path, form: Form) -> list[Path]:
    """All tables at once, for their owner's eyes only."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise FileProblem(f"the folder {folder} cannot be made: {refused_by_system(problem)}") from problem
    contents = {folder / f"{name}.{form}": _bytes(table, form) for name, table in frames.items()}
    write_together(contents, private=True)
    return list(contents)


def _bytes(table: pd.DataFrame, form: Form) -> bytes:
    if form == "parquet":
        return bytes(table.to_parquet(index=False))
    texts = [str(name) for name in table if pd.api.types.is_string_dtype(table[name])]
    told = table.assign(**{name: table[name].map(neutral, na_action="ignore") for name in texts})
    return told.to_csv(index=False, lineterminator="\r\n").encode()
