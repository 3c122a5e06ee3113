"""Many weeks: output at a heart rate, its trend, the threshold seen in ordinary sessions, load in its own range."""
