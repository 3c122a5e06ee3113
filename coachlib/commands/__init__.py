"""The command line: a module a command, which says what it reads, where it writes, what may be typed, and runs it."""
