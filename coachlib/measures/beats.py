"""Beat intervals, under the name they are called by from outside."""

from coachlib.measures.first_threshold.beats import alpha1

__all__ = ["alpha1"]
