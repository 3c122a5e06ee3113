"""Two tests to choose, side by side."""
