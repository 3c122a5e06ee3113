"""The test page."""
