"""The errors a coach may see.

::

    CoachError
    ├── FileProblem       a file cannot be read as what it should be
    ├── RosterProblem     something in the roster's folder is not as it must be
    ├── DecisionProblem   decisions do not fit their recording (also a ValueError)
    ├── BadArgument       a calculation was asked for the impossible (also a ValueError)
    ├── TooLittleData     fewer usable seconds than a calculation needs (also a ValueError)
    ├── UnfitTest         a field test does not show what is looked for (also a ValueError)
    └── ReportProblem     a report could not be made or may not be sent

Each carries one sentence or two: what was asked, what was found (with its number and unit), what is
needed, what to do.  It is shown to the coach as it stands.  Anything else that is raised is a bug.
"""


class CoachError(Exception):
    """The root of every error that is meant for a coach's eyes."""


class FileProblem(CoachError):
    """A file cannot be read as what it should be."""


class RosterProblem(CoachError):
    """Something in the roster's folder is not as it must be."""


class DecisionProblem(CoachError, ValueError):
    """Decisions do not fit their recording."""


class BadArgument(CoachError, ValueError):
    """A calculation was asked for something impossible."""


class TooLittleData(CoachError, ValueError):
    """Fewer usable seconds, beats or tests than a calculation needs."""


class UnfitTest(CoachError, ValueError):
    """A field test does not show what is looked for."""


class ReportProblem(CoachError):
    """A report could not be made, or may not be sent as it is."""
