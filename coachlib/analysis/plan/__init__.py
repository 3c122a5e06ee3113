"""What is ahead of an athlete: planned days, sums, what speaks against, what was done of it."""
