"""``coachlib diary``: a week sheet out to an athlete, and back."""

import argparse
from pathlib import Path

from coachlib.commands.command import WELL, Command, Mistyped, iso_week, opened_roster


def _arguments(diary: argparse.ArgumentParser) -> None:
    diary.add_argument("roster", type=Path, metavar="ROSTER", help="the roster's folder")
    diary.add_argument("athlete", metavar="ATHLETE", help="the athlete's folder or name")
    diary.add_argument("file", nargs="?", type=Path, metavar="FILE.csv", help="the sheet that came back")
    diary.add_argument(
        "--write", action="store_true", help="write the sheet of a week, for the athlete to fill in"
    )
    diary.add_argument(
        "--week", type=iso_week, help="with --write: the week, such as 2026-W49; else this one"
    )
    diary.add_argument("--show", action="store_true", help="only tell what would change")
    diary.add_argument(
        "--take", action="store_true", help="where diary and sheet differ, the sheet goes before"
    )


def _run(typed: argparse.Namespace) -> int:
    from coachlib.jobs.diary.taking import take_sheet, write_sheet

    if typed.write == (typed.file is not None):
        raise Mistyped(
            "give the sheet that came back, or --write to make one; coachlib diary --help tells more"
        )
    if typed.week and not typed.write:
        raise Mistyped("--week goes with --write; a sheet that came back says its week itself")
    roster = opened_roster(typed.roster)
    own = roster.athlete(typed.athlete)
    if typed.write:
        write_sheet(roster, own, today=typed.today, week=typed.week)
        return WELL
    return take_sheet(roster, own, typed.file, take=typed.take, show=typed.show)


COMMAND = Command(
    name="diary",
    purpose="write a week sheet for an athlete, or take a filled-in one into the diary",
    reads="<athlete>/diary.csv, and the sheet as any spreadsheet saved it",
    writes="with --write <athlete>/reports/WEEK_diary.csv; else cells of <athlete>/diary.csv that were empty",
    example="coachlib diary athletes_demo ilva --write --week 2026-W48",
    more="A sheet says whose it is and of which week; somebody else's is refused. Nothing that stands in the diary is lost: "
    "where it says otherwise that is told, and it stays.",
    arguments=_arguments,
    run=_run,
)
