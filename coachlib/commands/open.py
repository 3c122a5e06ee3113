"""``coachlib open``: the desk."""

import argparse

from coachlib.commands.command import Command, opened_roster, roster_argument


def _arguments(desk: argparse.ArgumentParser) -> None:
    roster_argument(desk)
    desk.add_argument("--lab", action="store_true", help="open JupyterLab on the workbooks instead")
    desk.add_argument(
        "--no-browser", dest="browser", action="store_false", help="print the address instead of opening it"
    )


def _run(typed: argparse.Namespace) -> int:
    from coachlib.panels.desk.server import open_desk

    return open_desk(opened_roster(typed.roster).path, lab=typed.lab, browser=typed.browser)


COMMAND = Command(
    name="open",
    purpose="open the desk: the call sheet in the browser, and from there everything else",
    reads="the roster",
    writes="what you decide there: decisions beside the recordings, thresholds in athlete.toml, notes, diary, letters",
    example="coachlib open athletes_demo",
    arguments=_arguments,
    run=_run,
)
