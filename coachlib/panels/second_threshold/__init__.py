"""The second threshold's panel."""
