"""Numbers out: sessions, tests, thresholds and weeks as tidy tables, each column described."""
