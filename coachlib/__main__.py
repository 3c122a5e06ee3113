"""The command line: a new roster, recordings filed away, letters for a week, a check, the workbooks.

What only one command needs is imported by that command, so that help comes at once.
"""

import argparse
import os
import sys
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from coachlib.errors import BadArgument, CoachError, refused_by_system
from coachlib.jobs.command_line import ATHLETE_OPTIONS, MISTYPED, ROSTER_OPTIONS, UNWELL, WELL, parser
from coachlib.jobs.terminal import plain_streams, tell, width_of

if TYPE_CHECKING:
    from coachlib.analysis.roster.check_finding import CheckFinding
    from coachlib.files.roster.folder import RosterFolder

#: What shells expect of a program that was stopped by the keyboard.
STOPPED = 130


def main(argv: Sequence[str] | None = None, *, today: date | None = None) -> int:
    """Run a command; the number returned is the exit status.

    Parameters
    ----------
    argv : sequence of str, optional
        What was typed after the program's name; the real command line by default.
    today : date, optional
        The day on which the command is given; by default as the computer's clock says.
    """
    plain_streams()
    try:
        typed = parser().parse_args(argv)
    except SystemExit as end:  # argparse ends the program by itself, also after --help
        return int(end.code or WELL)
    typed.today = today or date.today()
    try:
        return int(_RUN[typed.command](typed))
    except _Mistyped as error:
        tell(str(error), to=sys.stderr)
        return MISTYPED
    except CoachError as error:
        tell(str(error), to=sys.stderr)
        return UNWELL
    except OSError as problem:
        what = f"{problem.filename}: " if problem.filename else ""
        tell(f"{what}{refused_by_system(problem)}", to=sys.stderr)
        return UNWELL
    except KeyboardInterrupt:
        tell("stopped", to=sys.stderr)
        return STOPPED


class _Mistyped(BadArgument):
    """A command that cannot be meant as it was typed."""


def _roster(typed: argparse.Namespace) -> "RosterFolder":
    """Open the roster that was named."""
    from coachlib.files.roster.folder import open_roster
    from coachlib.jobs.clearing import clear_leftovers

    roster = open_roster(typed.roster)
    clear_leftovers(roster)
    return roster


def _new(typed: argparse.Namespace) -> int:
    from coachlib.jobs.new import make_new, next_steps
    from coachlib.jobs.questions import keyboard

    folder, made = make_new(
        typed.folder,
        roster=_given(typed, ROSTER_OPTIONS),
        athlete=_given(typed, ATHLETE_OPTIONS),
        ask=None if typed.no_questions else keyboard(),
    )
    tell(next_steps(folder, made, named=typed.folder))
    return WELL


def _given(typed: argparse.Namespace, options: Mapping[str, str]) -> dict[str, str | None]:
    """What was typed for some options, by the key of the file."""
    return {
        key: getattr(typed, option.removeprefix("--").replace("-", "_")) for key, option in options.items()
    }


def _week(typed: argparse.Namespace) -> int:
    from coachlib.jobs.weeks import write_weeks

    if typed.week and (typed.first or typed.last):
        raise _Mistyped("--week is one week, --from and --to are several; give one or the other")
    return write_weeks(
        _roster(typed),
        week=typed.week,
        first=typed.first,
        last=typed.last,
        athletes=tuple(typed.athlete),
        again=typed.again,
        today=typed.today,
        width=width_of(),
    )


def _check(typed: argparse.Namespace) -> int:
    from coachlib.jobs.checking import check_roster
    from coachlib.jobs.terminal import progress
    from coachlib.report.words.catalogue import sentence, way_out

    roster = _roster(typed)
    with progress("Reading the recordings", 1) as step:
        step("")
        findings = check_roster(roster, today=typed.today)
    athlete = None
    for finding in findings:
        if finding.athlete != athlete:
            athlete = finding.athlete
            tell(f"\n{athlete or 'the roster'}")
        tell(f"  {finding.severity:8} {finding.file}: {sentence(finding.code)}.")
        way = way_out(finding.code)
        tell(f"           {way[:1].upper()}{way[1:]}.")
    problems = sum(finding.severity == "problem" for finding in findings)
    tell(_summary(findings, problems, len(roster.athletes())))
    return UNWELL if problems else WELL


def _summary(findings: "Sequence[CheckFinding]", problems: int, n_athletes: int) -> str:
    """The last line of a check."""
    who = _counted(n_athletes, "athlete")
    if not findings:
        return f"{who} checked: nothing is wrong."
    return f"\n{who} checked: {_counted(problems, 'problem')}, {len(findings) - problems} advice."


def _add(typed: argparse.Namespace) -> int:
    from coachlib.jobs.filing import add_files, who_and_what
    from coachlib.jobs.questions import keyboard

    words = list(typed.words)
    typed.roster = None if _is_roster_left_out(words) else words.pop(0)
    if not words and not typed.folders:
        raise _Mistyped("say what to add: files, folders, or --from FOLDER; coachlib add --help tells more")
    roster = _roster(typed)
    athlete, paths = who_and_what(roster, words)
    return add_files(
        roster,
        [*paths, *typed.folders],
        athlete=athlete,
        by_device=bool(typed.folders),
        anyway=typed.anyway,
        today=typed.today,
        ask=keyboard(),
    )


def _is_roster_left_out(words: Sequence[str]) -> bool:
    """Whether the first word is no roster, and the environment names one."""
    from coachlib.files.roster.folder import ROSTER_VARIABLE, SETTINGS_FILE

    return not words or (
        bool(os.environ.get(ROSTER_VARIABLE)) and not (Path(words[0]).expanduser() / SETTINGS_FILE).is_file()
    )


def _open(typed: argparse.Namespace) -> int:
    from coachlib.panels.desk.server import open_desk

    return open_desk(_roster(typed).path, lab=typed.lab, browser=typed.browser)


def _counted(n: int, noun: str) -> str:
    return f"{n} {noun}" if n == 1 else f"{n} {noun}s"


_RUN = {"new": _new, "add": _add, "week": _week, "check": _check, "open": _open}


if __name__ == "__main__":
    sys.exit(main())
