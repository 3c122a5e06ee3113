"""``coachlib move``: a misfiled recording given to whom it belongs."""

import argparse
from pathlib import Path

from coachlib.commands.command import Command, opened_roster


def _arguments(move: argparse.ArgumentParser) -> None:
    move.add_argument("roster", type=Path, metavar="ROSTER", help="the roster's folder")
    move.add_argument("athlete", metavar="FROM", help="with whom it lies now; folder or person's name")
    move.add_argument(
        "recording", metavar="RECORDING", help="the recording's name, such as 2026-10-05_running"
    )
    move.add_argument("to", metavar="TO", help="whose it is; folder or person's name")
    move.add_argument(
        "--with-row",
        action="store_true",
        help="also the diary row of that session, where it does not name it",
    )
    move.add_argument(
        "--anyway", action="store_true", help="also when another recording of the same time is there"
    )


def _run(typed: argparse.Namespace) -> int:
    from coachlib.jobs.moving import move
    from coachlib.jobs.terminal import tell

    roster = opened_roster(typed.roster)
    told = move(
        roster,
        roster.athlete(typed.athlete),
        typed.recording,
        roster.athlete(typed.to),
        with_row=typed.with_row,
        anyway=typed.anyway,
        today=typed.today,
    )
    for line in told:
        tell(line)
    return 0


COMMAND = Command(
    name="move",
    purpose="give a misfiled recording to another athlete, with its decisions and its diary row",
    reads="the recording, what was decided about it, both diaries",
    writes="the recording, its decisions and its row with the other athlete; nothing of them stays with the first",
    example="coachlib move athletes_demo ilva 2026-10-01_running nadja",
    more="The diary row goes along where it names the recording, or with --with-row. Letters that were made with it are "
    "named; none is changed.",
    arguments=_arguments,
    run=_run,
)
