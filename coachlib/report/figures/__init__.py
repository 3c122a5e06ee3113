"""Drawings and how they are rendered."""
