"""``coachlib post``: mail drafts, which nobody sends but the coach."""

import argparse

from coachlib.commands.command import Command, iso_week, opened_roster, roster_argument


def _arguments(post: argparse.ArgumentParser) -> None:
    roster_argument(post)
    post.add_argument("--week", type=iso_week, help="one week, such as 2026-W41; else the last complete one")
    post.add_argument(
        "--athlete", nargs="+", default=[], metavar="NAME", help="only these; folder or person's name"
    )
    post.add_argument(
        "--calendar", action="store_true", help="attach what is planned for the week after, as a calendar"
    )


def _run(typed: argparse.Namespace) -> int:
    from coachlib.jobs.post.posting import post
    from coachlib.jobs.terminal import width_of

    return post(
        opened_roster(typed.roster),
        today=typed.today,
        week=typed.week,
        athletes=tuple(typed.athlete),
        calendar=typed.calendar,
        width=width_of(),
    )


COMMAND = Command(
    name="post",
    purpose="write a mail draft for each athlete with an address, and send nothing",
    reads="`email` of athlete.toml, the letters that `coachlib week` made, and what is planned in diary.csv",
    writes="<athlete>/reports/WEEK.eml, its text as WEEK.txt, and with --calendar WEEK.ics",
    example="coachlib post athletes_demo --week 2026-W47 --calendar",
    more="A draft has one receiver, the letter attached, and a beginning that may be read on a locked phone. It tells whom it "
    "left out and why.",
    arguments=_arguments,
    run=_run,
)
