"""A season looked back on, as a page."""
