"""Serving the workbooks."""
