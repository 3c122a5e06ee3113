"""The trace editor."""
