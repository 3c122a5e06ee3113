"""What may be typed: every command, what it reads, where it writes, and an example that works on the demo."""

import argparse
import difflib
import re
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

from coachlib import __version__
from coachlib.errors import BadArgument
from coachlib.files.roster.templates import OF_ATHLETE, OF_ROSTER, Blank
from coachlib.jobs.terminal import tell

#: Exit statuses: all well; something a coach should see to; the command was typed wrongly.
WELL, UNWELL, MISTYPED = 0, 1, 2
STATUSES = "exit status: 0 all well, 1 something to see to, 2 typed wrongly, 130 stopped by the keyboard"

#: Key of a new roster's files -> the option of `new` that fills it in.
ROSTER_OPTIONS = {blank.key: f"--{blank.key.replace('_', '-')}" for blank in OF_ROSTER}
ATHLETE_OPTIONS = {
    "name": "--athlete",
    "sports": "--sports",
    "birth_year": "--birth-year",
    "sex": "--sex",
    "hr_max_bpm": "--max",
    "hr_max_from": "--max-from",
    "hr_rest_bpm": "--rest",
    "hr_rest_from": "--rest-from",
    "heart_rate_medicine": "--medicine",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Command:
    """A command's purpose, what it reads and writes, and an example."""

    purpose: str
    reads: str
    writes: str
    example: str
    more: str = ""


COMMANDS = {
    "new": Command(
        purpose="make a new roster, or add an athlete to one",
        reads="your answers; options answer in advance, Enter leaves an answer empty",
        writes="FOLDER/roster.toml and FOLDER/<athlete>/athlete.toml and diary.csv, for your eyes only; nothing that is there",
        example='coachlib new my_roster --athlete "Anna Example" --sports running',
        more="Where nobody sits at a keyboard nothing is asked.",
    ),
    "add": Command(
        purpose="file recordings away for an athlete",
        reads="FIT files, packed ones too (.fit.gz, .zip), folders with all that is in them, patterns such as 'card/*.fit'",
        writes="<athlete>/recordings/DATE_SPORT.fit, a copy; what you name stays where and as it is",
        example="coachlib add athletes_demo tobin athletes_demo/tobin/recordings",
        more="ATHLETE may be left out: where the roster has one, all is theirs; else each recording goes to the athlete whose "
        "device made it, and where that is not known you are asked. Hidden files and folders are left aside.",
    ),
    "week": Command(
        purpose="write every athlete's letter for a week, and the call sheet",
        reads="roster.toml; of each athlete athlete.toml, diary.csv, notes, recordings and what was decided about them",
        writes="<athlete>/reports/WEEK.html and .json, reports/WEEK.html (the call sheet), and .coachlib, which may be deleted",
        example="coachlib week athletes_demo --week 2026-W47",
        more="Without a week it is the last complete one, or an earlier one where the last recording lies further back.",
    ),
    "check": Command(
        purpose="tell everything that is wrong with a roster",
        reads="every file of the roster",
        writes="nothing but .coachlib, which may be deleted",
        example="coachlib check athletes_demo",
    ),
    "open": Command(
        purpose="open the desk: the call sheet in the browser, and from there everything else",
        reads="the roster",
        writes="what you decide there: decisions beside the recordings, thresholds in athlete.toml, notes, diary, letters",
        example="coachlib open athletes_demo",
    ),
}


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


def parser() -> argparse.ArgumentParser:
    """The parser of the whole command line."""
    whole = _Parser(
        prog="coachlib",
        description="Field tests, thresholds, zones and weekly letters for a coach's roster.",
        epilog=f"To begin: coachlib new my_roster\nEvery command tells more: coachlib week --help\n{STATUSES}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    whole.add_argument("--version", action="version", version=f"coachlib {__version__}")
    commands = whole.add_subparsers(title="commands", required=True, metavar="COMMAND", dest="command")
    typed = {name: _command(commands, name, command) for name, command in COMMANDS.items()}
    _of_new(typed["new"])
    _of_add(typed["add"])
    for name in ("week", "check", "open"):
        typed[name].add_argument(
            "roster",
            nargs="?",
            type=Path,
            metavar="ROSTER",
            help="the roster's folder; else the one that COACHLIB_ROSTER names",
        )
    _of_week(typed["week"])
    _of_open(typed["open"])
    return whole


def _of_open(desk: argparse.ArgumentParser) -> None:
    desk.add_argument("--lab", action="store_true", help="open JupyterLab on the workbooks instead")
    desk.add_argument(
        "--no-browser", dest="browser", action="store_false", help="print the address instead of opening it"
    )


def _command(commands: Any, name: str, command: Command) -> argparse.ArgumentParser:
    """A command with a help of its own."""
    purpose = f"{command.purpose[0].upper()}{command.purpose[1:]}."
    made: argparse.ArgumentParser = commands.add_parser(
        name,
        help=command.purpose,
        description=f"{purpose} {command.more}".rstrip(),
        epilog=f"reads:   {command.reads}\nwrites:  {command.writes}\nexample: {command.example}\n{STATUSES}",
        formatter_class=_Paragraphs,
    )
    return made


class _Paragraphs(argparse.HelpFormatter):
    """Each line of a text is a paragraph of its own."""

    def _fill_text(self, text: str, width: int, indent: str) -> str:
        return "\n".join(
            super(_Paragraphs, self)._fill_text(line, width, indent) for line in text.split("\n")
        )


def _of_new(new: argparse.ArgumentParser) -> None:
    new.add_argument(
        "folder", type=Path, metavar="FOLDER", help="the roster's folder; made where there is none"
    )
    for title, blanks, options in (
        ("the roster", OF_ROSTER, ROSTER_OPTIONS),
        ("an athlete", OF_ATHLETE, ATHLETE_OPTIONS),
    ):
        group = new.add_argument_group(title)
        for blank in blanks:
            group.add_argument(
                options[blank.key], metavar=_metavar(blank), help=f"{blank.title}: {blank.used_for}"
            )
    new.add_argument("--no-questions", action="store_true", help="ask nothing; what is not given stays empty")


def _metavar(blank: Blank) -> str:
    """What stands for an answer in the help."""
    if blank.choices and not blank.may_be_other:
        return "|".join(blank.choices)
    return {"several": "SPORT,SPORT"}.get(
        "several" if blank.several else "", blank.key.split("_")[-1].upper()
    )


def _of_add(add: argparse.ArgumentParser) -> None:
    add.add_argument(
        "words",
        nargs="*",
        metavar="ROSTER [ATHLETE] FILES",
        help="the roster's folder, the athlete's folder or name, and what to add",
    )
    add.add_argument(
        "--from",
        dest="folders",
        nargs="+",
        default=[],
        metavar="FOLDER",
        help="each recording to the athlete whose device made it; asks where unsure, once for each device",
    )
    add.add_argument(
        "--anyway", action="store_true", help="also when another recording of the same time is there"
    )


def _of_week(week: argparse.ArgumentParser) -> None:
    week.add_argument("--week", type=_iso_week, help="one week, such as 2026-W41")
    week.add_argument("--from", dest="first", type=_iso_week, metavar="WEEK", help="several weeks: the first")
    week.add_argument(
        "--to", dest="last", type=_iso_week, metavar="WEEK", help="and the last; else the last complete one"
    )
    week.add_argument(
        "--athlete", nargs="+", default=[], metavar="NAME", help="only these; folder or person's name"
    )
    week.add_argument(
        "--again",
        action="store_true",
        help="also letters that did not change, and sent ones of past weeks: those are kept beside the new",
    )


def _iso_week(name: str) -> str:
    """A week as typed, or argparse's refusal of it."""
    from coachlib.analysis.week.calendar import first_day

    try:
        first_day(name)
    except BadArgument as error:
        raise argparse.ArgumentTypeError(str(error)) from None
    return name
