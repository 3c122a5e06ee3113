"""What was typed, taken apart: every command with a help of its own, and refusals in a sentence."""

import argparse
import difflib
import re
import sys
from typing import Any, NoReturn

from coachlib import __version__
from coachlib.commands.command import MISTYPED, STATUSES, Command
from coachlib.commands.registry import COMMANDS
from coachlib.jobs.terminal import tell


class _Parser(argparse.ArgumentParser):
    """A parser whose refusals are a sentence, without the block that shows how everything is used."""

    def error(self, message: str) -> NoReturn:
        said = message.removeprefix("argument ")
        if found := re.match(r"COMMAND: invalid choice: '(.*?)'", said):
            near = difflib.get_close_matches(found[1], COMMANDS, n=1)
            hint = f"did you mean {near[0]}?" if near else f"there are {', '.join(COMMANDS)}"
            said = f'no command is called "{found[1]}"; {hint}'
        elif said.endswith("required: COMMAND"):
            said = f"say what to do: {', '.join(COMMANDS)}. To begin: coachlib new my_roster"
        tell(f"{said}\n{self.prog} --help tells more", to=sys.stderr)
        raise SystemExit(MISTYPED)


class _Paragraphs(argparse.HelpFormatter):
    """Each line of a text is a paragraph of its own."""

    def _fill_text(self, text: str, width: int, indent: str) -> str:
        return "\n".join(
            super(_Paragraphs, self)._fill_text(line, width, indent) for line in text.split("\n")
        )


def parser() -> argparse.ArgumentParser:
    """The parser of the whole command line."""
    whole = _Parser(
        prog="coachlib",
        description="Field tests, thresholds, zones and weekly letters for a coach's roster.",
        epilog=f"To begin: coachlib new my_roster\nEvery command tells more: coachlib week --help\n{STATUSES}",
        formatter_class=_Paragraphs,
    )
    whole.add_argument("--version", action="version", version=f"coachlib {__version__}")
    commands = whole.add_subparsers(title="commands", required=True, metavar="COMMAND", dest="command")
    for command in COMMANDS.values():
        command.arguments(_with_help(commands, command))
    return whole


def _with_help(commands: Any, command: Command) -> argparse.ArgumentParser:
    """A command's parser with a help of its own."""
    purpose = f"{command.purpose[0].upper()}{command.purpose[1:]}."
    made: argparse.ArgumentParser = commands.add_parser(
        command.name,
        help=command.purpose,
        description=f"{purpose} {command.more}".rstrip(),
        epilog=f"reads:   {command.reads}\nwrites:  {command.writes}\nexample: {command.example}\n{STATUSES}",
        formatter_class=_Paragraphs,
    )
    return made
