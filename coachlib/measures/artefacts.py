"""Artefacts, under the name they are called by from outside."""

from coachlib.measures.recording.artefacts import suggest_exclusions

__all__ = ["suggest_exclusions"]
