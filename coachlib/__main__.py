"""The command line: letters for the week, a check of the roster, recordings filed away, the workbooks."""

import argparse
import sys
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from coachlib import __version__
from coachlib.errors import BadArgument, CoachError, refused_by_system

if TYPE_CHECKING:
    from coachlib.analysis.roster.check_finding import CheckFinding
    from coachlib.files.roster.folder import RosterFolder
    from coachlib.measures.common.codes import Code
    from coachlib.records.activity import Activity

#: Exit statuses: all well; something a coach should see to; the command was typed wrongly.
WELL, UNWELL, MISTYPED = 0, 1, 2
#: What shells expect of a program that was stopped by the keyboard.
STOPPED = 130


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command; the number returned is the exit status.

    Parameters
    ----------
    argv : sequence of str, optional
        What was typed after the program's name; the real command line by default.
    """
    parser = _parser()
    try:
        typed = parser.parse_args(argv)
        if typed.run is _add and bool(typed.files) == (typed.folder is not None):
            parser.error("add needs ATHLETE and FILE.fit, or --from FOLDER instead of both")
    except SystemExit as end:  # argparse ends the program by itself, also after --help
        return int(end.code or WELL)
    try:
        return int(typed.run(typed))
    except CoachError as error:
        _tell(str(error), to=sys.stderr)
        return UNWELL
    except OSError as problem:
        what = f"{problem.filename}: " if problem.filename else ""
        _tell(f"{what}{refused_by_system(problem)}", to=sys.stderr)
        return UNWELL
    except KeyboardInterrupt:
        _tell("stopped", to=sys.stderr)
        return STOPPED


def _roster(typed: argparse.Namespace) -> "RosterFolder":
    """Open the roster that was named; imported late, so that help comes at once."""
    from coachlib.files.roster.folder import open_roster
    from coachlib.jobs.clearing import clear_leftovers

    roster = open_roster(typed.roster)
    clear_leftovers(roster)
    return roster


def _week(typed: argparse.Namespace) -> int:
    from rich.console import Console

    from coachlib.jobs.letters import make_letters

    return make_letters(
        _roster(typed),
        week=typed.week,
        athletes=tuple(typed.athlete),
        again=typed.again,
        console=Console(),
    )


def _check(typed: argparse.Namespace) -> int:
    from rich.console import Console

    from coachlib.jobs.checking import check_roster
    from coachlib.report.words.catalogue import sentence, way_out

    roster = _roster(typed)
    with Console(stderr=True).status("Reading the recordings"):
        findings = check_roster(roster)
    athlete = None
    for finding in findings:
        if finding.athlete != athlete:
            athlete = finding.athlete
            _tell(f"\n{athlete or 'the roster'}")
        _tell(f"  {finding.severity:8} {finding.file}: {sentence(finding.code)}.")
        way = way_out(finding.code)
        _tell(f"           {way[:1].upper()}{way[1:]}.")
    problems = sum(finding.severity == "problem" for finding in findings)
    _tell(_summary(findings, problems, len(roster.athletes())))
    return UNWELL if problems else WELL


def _summary(findings: "Sequence[CheckFinding]", problems: int, n_athletes: int) -> str:
    """The last line of a check."""
    who = _counted(n_athletes, "athlete")
    if not findings:
        return f"{who} checked: nothing is wrong."
    return f"\n{who} checked: {_counted(problems, 'problem')}, {len(findings) - problems} advice."


def _add(typed: argparse.Namespace) -> int:
    if typed.folder is not None:
        return _sort(typed)
    from coachlib.files.store.index import Index
    from coachlib.jobs.adding import add_recording

    roster = _roster(typed)
    folder = roster.athlete(typed.athlete)
    index = Index.of(roster.store.folder)
    status = WELL
    for source in typed.files:
        try:
            added = add_recording(roster, folder, source, anyway=typed.anyway, index=index)
        except CoachError as error:
            _not_added(source, str(error))
            status = UNWELL
            continue
        _tell(f"{folder.slug}: {added.path.name} added from {source.name}")
        _tell_of(added.told)
    return status


def _tell_of(codes: "Sequence[Code]") -> None:
    """What is to be known of a recording that was added, with what can be done about it."""
    from coachlib.report.words.catalogue import way_out, whole

    for found in codes:
        way = way_out(found)
        _tell(f"  {whole(found)} {way[:1].upper()}{way[1:]}.")


def _sort(typed: argparse.Namespace) -> int:
    """File a folder's recordings away with whoever's device made them."""
    from coachlib.jobs.sorting import Sorter, fit_files

    roster = _roster(typed)
    sorter = Sorter(roster, ask=partial(_ask_whose, roster.settings.time_zone))
    status = WELL
    for source in fit_files(typed.folder):
        done = sorter.sort(source, anyway=typed.anyway)
        if done.added is None:
            _not_added(source, done.sentence)
            status = UNWELL
        else:
            _tell(f"{done.athlete}: {done.added.path.name} added from {source.name}, {done.sentence}")
            _tell_of(done.added.told)
    return status


def _ask_whose(
    time_zone: str | None, source: Path, activity: "Activity", athletes: Sequence[str]
) -> str | None:
    """Ask the coach, where there is somebody to ask; no answer leaves the file."""
    if not sys.stdin.isatty():
        return None
    what = f"{activity.sport or 'a session'} of {activity.elapsed_s / 60:.0f} min on {activity.started_on(time_zone)}"
    while True:
        try:
            answer = input(f"{source.name}, {what}: whose? ({', '.join(athletes)}; Enter leaves it) ").strip()
        except EOFError:
            return None
        if not answer or answer in athletes:
            return answer or None
        _tell(f"nobody is called {answer}")


def _not_added(source: Path, sentence: str) -> None:
    told = sentence if source.name in sentence else f"{source.name}: {sentence}"
    _tell(f"not added: {told}", to=sys.stderr)


def _open(typed: argparse.Namespace) -> int:
    from coachlib.panels.desk.server import open_desk

    return open_desk(_roster(typed).path, lab=typed.lab, browser=typed.browser)


def _tell(line: str, *, to: TextIO | None = None) -> None:
    """One line for a person, however wide the window is."""
    print(line, file=to or sys.stdout)


def _counted(n: int, noun: str) -> str:
    return f"{n} {noun}" if n == 1 else f"{n} {noun}s"


def _iso_week(name: str) -> str:
    """A week as typed, or argparse's refusal of it."""
    from coachlib.analysis.week.calendar import first_day

    try:
        first_day(name)
    except BadArgument as error:
        raise argparse.ArgumentTypeError(str(error)) from None
    return name


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="coachlib",
        description="Field tests, thresholds, zones and weekly letters for a coach's roster.",
        epilog="Every command tells more: coachlib week --help",
    )
    parser.add_argument("--version", action="version", version=f"coachlib {__version__}")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")

    week = _command(
        commands,
        "week",
        "write every athlete's letter for a week",
        "coachlib week athletes_demo --week 2026-W41 --athlete mira",
    )
    _add_roster(week)
    week.add_argument("--week", type=_iso_week, help="such as 2026-W41; else the latest with sessions")
    week.add_argument(
        "--athlete", nargs="+", default=[], metavar="NAME", help="only these; folder or person's name"
    )
    week.add_argument(
        "--again",
        action="store_true",
        help="also letters that did not change, and sent ones of past weeks: those are kept beside the new",
    )
    week.set_defaults(run=_week)

    check = _command(
        commands, "check", "tell everything that is wrong with a roster", "coachlib check athletes_demo"
    )
    _add_roster(check)
    check.set_defaults(run=_check)

    add = _command(
        commands,
        "add",
        "file recordings away for an athlete",
        "coachlib add athletes_demo mira ~/Downloads/run.fit",
    )
    add.add_argument("roster", type=Path, metavar="ROSTER", help="the roster's folder")
    add.add_argument("athlete", nargs="?", metavar="ATHLETE", help="the athlete's folder or name")
    add.add_argument("files", nargs="*", type=Path, metavar="FILE.fit", help="they stay where they are")
    add.add_argument(
        "--from",
        dest="folder",
        type=Path,
        metavar="FOLDER",
        help="instead: all FIT files of a folder, each to the athlete whose device made it; asks where unsure",
    )
    add.add_argument(
        "--anyway", action="store_true", help="also when another recording of the same time is there"
    )
    add.set_defaults(run=_add)

    desk = _command(
        commands, "open", "open the desk: the call sheet in the browser", "coachlib open athletes_demo"
    )
    _add_roster(desk)
    desk.add_argument("--lab", action="store_true", help="open JupyterLab on the workbooks instead")
    desk.add_argument(
        "--no-browser", dest="browser", action="store_false", help="print the address instead of opening it"
    )
    desk.set_defaults(run=_open)
    return parser


def _command(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]", name: str, purpose: str, example: str
) -> argparse.ArgumentParser:
    return commands.add_parser(
        name, help=purpose, description=purpose[0].upper() + purpose[1:] + ".", epilog=f"example: {example}"
    )


def _add_roster(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "roster",
        nargs="?",
        type=Path,
        metavar="ROSTER",
        help="the roster's folder; else the one that COACHLIB_ROSTER names",
    )


if __name__ == "__main__":
    sys.exit(main())
