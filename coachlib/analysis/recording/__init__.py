"""One recording judged: what counts, what it shows, what it means."""
