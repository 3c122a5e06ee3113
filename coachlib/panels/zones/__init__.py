"""The zones' panel."""
