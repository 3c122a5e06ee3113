"""The planning page: the coming week of one athlete as a small grid, with its sums beside it."""
