"""Two tests side by side, as a page."""
