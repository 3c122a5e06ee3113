"""``coachlib week``: everybody's letter for a week, and the call sheet."""

import argparse

from coachlib.commands.command import Command, Mistyped, iso_week, opened_roster, roster_argument


def _arguments(week: argparse.ArgumentParser) -> None:
    roster_argument(week)
    week.add_argument("--week", type=iso_week, help="one week, such as 2026-W41")
    week.add_argument("--from", dest="first", type=iso_week, metavar="WEEK", help="several weeks: the first")
    week.add_argument(
        "--to", dest="last", type=iso_week, metavar="WEEK", help="and the last; else the last complete one"
    )
    week.add_argument(
        "--athlete", nargs="+", default=[], metavar="NAME", help="only these; folder or person's name"
    )
    week.add_argument(
        "--again",
        action="store_true",
        help="also letters that did not change, and sent ones of past weeks: those are kept beside the new",
    )
    week.add_argument(
        "--workers",
        type=int,
        metavar="N",
        help="processes that make letters at the same time; else one for each processor",
    )
    week.add_argument(
        "--on",
        metavar="ADDRESS",
        help="make the letters on a cluster of your own, such as tls://10.0.0.7:8786; see the README",
    )


def _run(typed: argparse.Namespace) -> int:
    from coachlib.jobs.terminal import width_of
    from coachlib.jobs.weeks import write_weeks
    from coachlib.jobs.workers import Workers, checked_address, processors

    if typed.week and (typed.first or typed.last):
        raise Mistyped("--week is one week, --from and --to are several; give one or the other")
    if typed.workers is not None and typed.workers < 1:
        raise Mistyped(f"--workers is {typed.workers}; at least 1 is needed to make a letter")
    if typed.workers is not None and typed.on is not None:
        raise Mistyped("--workers are processes here, --on are those of a cluster; give one or the other")
    workers = Workers(n=typed.workers or processors(), on=typed.on and checked_address(typed.on))
    return write_weeks(
        opened_roster(typed.roster),
        week=typed.week,
        first=typed.first,
        last=typed.last,
        athletes=tuple(typed.athlete),
        again=typed.again,
        today=typed.today,
        workers=workers,
        width=width_of(),
    )


COMMAND = Command(
    name="week",
    purpose="write every athlete's letter for a week, and the call sheet",
    reads="roster.toml; of each athlete athlete.toml, diary.csv, notes, recordings and what was decided about them",
    writes="<athlete>/reports/WEEK.html and .json, reports/WEEK.html (the call sheet), and .coachlib, which may be deleted",
    example="coachlib week athletes_demo --week 2026-W47",
    more="Without a week it is the last complete one, or an earlier one where the last recording lies further back.",
    arguments=_arguments,
    run=_run,
)
