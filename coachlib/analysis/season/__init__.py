"""Many weeks of one athlete."""
