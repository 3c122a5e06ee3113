"""``coachlib check``: everything that is wrong with a roster, in words."""

import argparse
from typing import TYPE_CHECKING

from coachlib.commands.command import UNWELL, WELL, Command, opened_roster, roster_argument

if TYPE_CHECKING:
    from collections.abc import Sequence

    from coachlib.analysis.roster.check_finding import CheckFinding
    from coachlib.jobs.last_check import Told


def _run(typed: argparse.Namespace) -> int:
    from coachlib.files.roster.places import named_roster
    from coachlib.jobs.last_check import told_of
    from coachlib.jobs.terminal import tell

    told = told_of(named_roster(typed.roster), typed.today, lambda: _checked(typed))
    for line in told.lines:
        tell(line)
    return told.status


def _checked(typed: argparse.Namespace) -> "Told":
    """Check a roster, whatever was told of it before."""
    from coachlib.jobs.checking import check_roster
    from coachlib.jobs.last_check import Told
    from coachlib.jobs.terminal import progress
    from coachlib.report.words.catalogue import sentence, way_out

    roster = opened_roster(typed.roster)
    n_recordings = sum(len(roster.athlete(slug).recordings()) for slug in roster.athletes())
    with progress("Checking", n_recordings) as step:
        findings = check_roster(roster, today=typed.today, step=step)
    athlete, lines = None, []
    for finding in findings:
        if finding.athlete != athlete:
            athlete = finding.athlete
            lines.append(f"\n{athlete or 'the roster'}")
        lines.append(f"  {finding.severity:8} {finding.file}: {sentence(finding.code)}.")
        way = way_out(finding.code)
        lines.append(f"           {way[:1].upper()}{way[1:]}.")
    problems = sum(finding.severity == "problem" for finding in findings)
    lines.append(_summary(findings, problems, len(roster.athletes())))
    return Told(lines=tuple(lines), status=UNWELL if problems else WELL)


def _summary(findings: "Sequence[CheckFinding]", problems: int, n_athletes: int) -> str:
    """The last line of a check."""
    who = _counted(n_athletes, "athlete")
    if not findings:
        return f"{who} checked: nothing is wrong."
    return f"\n{who} checked: {_counted(problems, 'problem')}, {len(findings) - problems} advice."


def _counted(n: int, noun: str) -> str:
    return f"{n} {noun}" if n == 1 else f"{n} {noun}s"


COMMAND = Command(
    name="check",
    purpose="tell everything that is wrong with a roster",
    reads="every file of the roster",
    writes="nothing but .coachlib, which may be deleted",
    example="coachlib check athletes_demo",
    arguments=roster_argument,
    run=_run,
)
