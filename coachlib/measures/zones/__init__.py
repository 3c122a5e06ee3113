"""Zones and their tables."""
