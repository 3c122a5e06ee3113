"""One athlete's field tests, read from the roster folder."""
