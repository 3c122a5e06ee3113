"""``coachlib export``: numbers out, to analyse further."""

import argparse
from pathlib import Path

from coachlib.commands.command import Command, opened_roster, roster_argument


def _arguments(tables: argparse.ArgumentParser) -> None:
    roster_argument(tables)
    tables.add_argument(
        "--athlete", nargs="+", default=[], metavar="NAME", help="only these; folder or person's name"
    )
    tables.add_argument("--to", type=Path, metavar="FOLDER", help="where the files go; else reports/export")
    tables.add_argument("--parquet", action="store_true", help="Parquet, which keeps types, instead of CSV")


def _run(typed: argparse.Namespace) -> int:
    from coachlib.jobs.export.writing import export

    return export(
        opened_roster(typed.roster),
        today=typed.today,
        athletes=tuple(typed.athlete),
        to=typed.to,
        form="parquet" if typed.parquet else "csv",
    )


COMMAND = Command(
    name="export",
    purpose="write sessions, tests, thresholds and weeks as tables, to analyse further",
    reads="what the letters read",
    writes="reports/export/sessions.csv, tests.csv, thresholds.csv, weeks.csv and columns.csv, which describes each column",
    example="coachlib export athletes_demo",
    more="Cells that a spreadsheet would run begin with an apostrophe in CSV; Parquet keeps texts as they are. What athletes "
    "wrote in words is not in it.",
    arguments=_arguments,
    run=_run,
)
