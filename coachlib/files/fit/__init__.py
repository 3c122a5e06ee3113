"""FIT files read."""
