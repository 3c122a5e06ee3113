"""``coachlib add``: recordings filed away."""

import argparse
import os
from collections.abc import Sequence
from pathlib import Path

from coachlib.commands.command import Command, Mistyped, opened_roster


def _arguments(add: argparse.ArgumentParser) -> None:
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


def _run(typed: argparse.Namespace) -> int:
    from coachlib.jobs.filing import add_files, who_and_what
    from coachlib.jobs.questions import keyboard

    words = list(typed.words)
    named = None if _is_roster_left_out(words) else Path(words.pop(0))
    if not words and not typed.folders:
        raise Mistyped("say what to add: files, folders, or --from FOLDER; coachlib add --help tells more")
    roster = opened_roster(named)
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
    from coachlib.files.roster.places import ROSTER_VARIABLE, SETTINGS_FILE

    return not words or (
        bool(os.environ.get(ROSTER_VARIABLE)) and not (Path(words[0]).expanduser() / SETTINGS_FILE).is_file()
    )


COMMAND = Command(
    name="add",
    purpose="file recordings away for an athlete",
    reads="FIT files, packed ones too (.fit.gz, .zip), folders with all that is in them, patterns such as 'card/*.fit'",
    writes="<athlete>/recordings/DATE_SPORT.fit, a copy; what you name stays where and as it is",
    example="coachlib add athletes_demo tobin athletes_demo/tobin/recordings",
    more="ATHLETE may be left out: where the roster has one, all is theirs; else each recording goes to the athlete whose "
    "device made it, and where that is not known you are asked. Hidden files and folders are left aside.",
    arguments=_arguments,
    run=_run,
)
