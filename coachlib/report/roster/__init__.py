"""The coach's call sheet."""
