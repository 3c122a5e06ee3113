"""The first threshold of one athlete: the series of tests, what differed, other opinions, the machine."""
