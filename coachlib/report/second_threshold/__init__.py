"""The second threshold's page."""
