"""The first threshold's panel."""
