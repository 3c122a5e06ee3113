"""Everybody: the call sheet's reasons and order, and what a check of the folder finds."""
