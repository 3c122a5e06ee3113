"""Decoded recordings kept; derived, may be deleted."""
