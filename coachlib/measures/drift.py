"""Drift, under the name it is called by from outside."""

from coachlib.measures.drift_test.drift import drift_map, heart_rate_drift

__all__ = ["drift_map", "heart_rate_drift"]
