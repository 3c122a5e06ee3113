"""The first threshold from a series of tests, the next test, and other signs of it."""

from coachlib.measures.first_threshold.estimate import estimate_first_threshold

__all__ = ["estimate_first_threshold"]
