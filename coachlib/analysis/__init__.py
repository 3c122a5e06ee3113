"""Records in, results out: sessions, test series, weeks, seasons, the roster."""
