"""What every measure uses: stretches of time, means over uneven samples, steps in a series."""
