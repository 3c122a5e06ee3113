"""What a command is, and what several of them share; nothing heavy is imported before a command runs."""

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from coachlib.errors import BadArgument

if TYPE_CHECKING:
    from coachlib.files.roster.folder import RosterFolder

#: Exit statuses: all well; something a coach should see to; the command was typed wrongly; stopped by the keyboard.
WELL, UNWELL, MISTYPED, STOPPED = 0, 1, 2, 130
STATUSES = "exit status: 0 all well, 1 something to see to, 2 typed wrongly, 130 stopped by the keyboard"


class Mistyped(BadArgument):
    """A command that cannot be meant as it was typed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Command:
    """A command: its purpose, what it reads and writes, an example that works on the demo, and what runs it.

    ``arguments`` adds what may be typed to the command's parser.  ``run`` gets what was typed, with ``today``, the day
    on which it was, and returns the exit status.
    """

    name: str
    purpose: str
    reads: str
    writes: str
    example: str
    more: str = ""
    arguments: Callable[[argparse.ArgumentParser], None]
    run: Callable[[argparse.Namespace], int]


def roster_argument(command: argparse.ArgumentParser) -> None:
    """The roster, which the environment may name."""
    command.add_argument(
        "roster",
        nargs="?",
        type=Path,
        metavar="ROSTER",
        help="the roster's folder; else the one that COACHLIB_ROSTER names",
    )


def opened_roster(named: Path | None) -> "RosterFolder":
    """Open the roster that was named, or the one of the environment; what a broken-off write left is cleared away."""
    from coachlib.files.roster.folder import open_roster
    from coachlib.jobs.clearing import clear_leftovers

    roster = open_roster(named)
    clear_leftovers(roster)
    return roster


def iso_week(name: str) -> str:
    """A week as typed, or argparse's refusal of it."""
    from coachlib.analysis.week.calendar import first_day

    try:
        first_day(name)
    except BadArgument as error:
        raise argparse.ArgumentTypeError(str(error)) from None
    return name
