"""``coachlib season``: a season looked back on, as a page for athlete and coach."""

import argparse

from coachlib.commands.command import Command, iso_week, opened_roster, roster_argument


def _arguments(season: argparse.ArgumentParser) -> None:
    roster_argument(season)
    season.add_argument(
        "--from", dest="first", type=iso_week, metavar="WEEK", help="first week; else half a year back"
    )
    season.add_argument(
        "--to", dest="last", type=iso_week, metavar="WEEK", help="last week; else the last complete one"
    )
    season.add_argument(
        "--athlete", nargs="+", default=[], metavar="NAME", help="only these; folder or person's name"
    )


def _run(typed: argparse.Namespace) -> int:
    from coachlib.jobs.season import write_reviews

    return write_reviews(
        opened_roster(typed.roster), athletes=tuple(typed.athlete), first=typed.first, last=typed.last
    )


COMMAND = Command(
    name="season",
    purpose="look back on a season: a page of two sheets for athlete and coach",
    reads="what the letters read",
    writes="<athlete>/reports/season_WEEK_to_WEEK.html",
    example="coachlib season athletes_demo --athlete ilva --from 2026-W37 --to 2026-W47",
    more="Thresholds with their intervals, hours by month, output at a heart rate, tests, illness and events: what changed "
    "surely, and what cannot be told.",
    arguments=_arguments,
    run=_run,
)
