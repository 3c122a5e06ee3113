"""The errors a coach may see.

::

    CoachError
    ├── FileProblem       a file cannot be read as what it should be
    │   └── NoSession     a whole file that holds no training session
    ├── RosterProblem     something in the roster's folder is not as it must be
    │   └── KnownAlready  a recording that the roster holds
    ├── DecisionProblem   decisions do not fit their recording (also a ValueError)
    ├── BadArgument       a calculation was asked for the impossible (also a ValueError)
    ├── TooLittleData     fewer usable seconds than a calculation needs (also a ValueError)
    ├── UnfitTest         a field test does not show what is looked for (also a ValueError)
    └── ReportProblem     a report could not be made or may not be sent

Each carries one sentence or two: what was asked, what was found (with its number and unit), what is
needed, what to do.  It is shown to the coach as it stands.  Anything else that is raised is a bug.
"""

import errno


class CoachError(Exception):
    """The root of every error that is meant for a coach's eyes."""


class FileProblem(CoachError):
    """A file cannot be read as what it should be."""


class NoSession(FileProblem):
    """A file is whole, but what it holds is no training session."""


class RosterProblem(CoachError):
    """Something in the roster's folder is not as it must be."""


class KnownAlready(RosterProblem):
    """A recording is in the roster already."""


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


#: What to do about what an operating system refuses, by its number for it.
_WAYS_OUT = {
    errno.ENOSPC: "Make room on the disk",
    errno.EDQUOT: "Make room on the disk",
    errno.EROFS: "The disk can only be read: make it writable, or copy the roster to another one",
    errno.EIO: "See whether its drive is still connected",
    errno.ENODEV: "See whether its drive is still connected",
    errno.ENXIO: "See whether its drive is still connected",
    errno.ESTALE: "See whether its drive is still connected",
    errno.EACCES: "Close it in other programs, and see to its permissions",
    errno.EPERM: "Close it in other programs, and see to its permissions",
    errno.ENAMETOOLONG: "Give the folder a shorter name",
    errno.EMFILE: "Close other programs",
    errno.ENOMEM: "Close other programs",
}


def refused_by_system(problem: OSError) -> str:
    """What the operating system said and what to do about it, to follow "... cannot be written: ".

    Examples
    --------
    >>> refused_by_system(OSError(errno.ENOSPC, "No space left on device"))
    'No space left on device. Make room on the disk, then try again.'
    """
    found = problem.strerror or str(problem) or type(problem).__name__
    way_out = _WAYS_OUT.get(problem.errno or 0, "See that its folder is there and its disk connected")
    return f"{found}. {way_out}, then try again."
