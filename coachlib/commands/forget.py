"""``coachlib forget``: a person taken off a roster for good."""

import argparse
from pathlib import Path

from coachlib.commands.command import Command, opened_roster


def _arguments(forget: argparse.ArgumentParser) -> None:
    forget.add_argument("roster", type=Path, metavar="ROSTER", help="the roster's folder")
    forget.add_argument("athlete", metavar="ATHLETE", help="who; folder or person's name")


def _run(typed: argparse.Namespace) -> int:
    from coachlib.jobs.forgetting import forget
    from coachlib.jobs.questions import keyboard

    roster = opened_roster(typed.roster)
    return forget(roster, roster.athlete(typed.athlete), ask=keyboard())


COMMAND = Command(
    name="forget",
    purpose="remove a person from a roster, with everything made of what they recorded and said",
    reads="the whole roster, and your two answers",
    writes="nothing of that person is left: folder, call sheets that name them, .coachlib, their name in others' files",
    example="coachlib forget athletes_demo wenna",
    more="You are told what goes and asked twice; without an answer nothing is removed.",
    arguments=_arguments,
    run=_run,
)
