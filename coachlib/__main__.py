"""The command line; what may be typed is in ``coachlib.commands``, a module a command."""

import sys
from collections.abc import Sequence
from datetime import date

from coachlib.commands.command import MISTYPED, STOPPED, UNWELL, WELL, Mistyped
from coachlib.commands.parser import parser
from coachlib.commands.registry import COMMANDS
from coachlib.errors import CoachError, refused_by_system
from coachlib.jobs.terminal import plain_streams, tell


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
        return COMMANDS[typed.command].run(typed)
    except Mistyped as error:
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


if __name__ == "__main__":
    sys.exit(main())
