"""The nouns of the job as checked, immutable data."""
