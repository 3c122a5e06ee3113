"""Reading FIT files, under the name it is called by from outside."""

from coachlib.files.fit.reading import read_fit

__all__ = ["read_fit"]
