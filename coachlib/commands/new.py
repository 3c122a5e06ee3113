"""``coachlib new``: a new roster, or one more athlete."""

import argparse
from collections.abc import Mapping
from pathlib import Path

from coachlib.commands.command import WELL, Command
from coachlib.files.roster.templates import OF_ATHLETE, OF_ROSTER, Blank

#: Key of a new roster's files -> the option that fills it in.
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


def _arguments(new: argparse.ArgumentParser) -> None:
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
    return "SPORT,SPORT" if blank.several else blank.key.split("_")[-1].upper()


def _run(typed: argparse.Namespace) -> int:
    from coachlib.jobs.new import make_new, next_steps
    from coachlib.jobs.questions import keyboard
    from coachlib.jobs.terminal import tell

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


COMMAND = Command(
    name="new",
    purpose="make a new roster, or add an athlete to one",
    reads="your answers; options answer in advance, Enter leaves an answer empty",
    writes="FOLDER/roster.toml and FOLDER/<athlete>/athlete.toml and diary.csv, for your eyes only; nothing that is there",
    example='coachlib new my_roster --athlete "Anna Example" --sports running',
    more="Where nobody sits at a keyboard nothing is asked.",
    arguments=_arguments,
    run=_run,
)
