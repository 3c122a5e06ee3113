"""Blocks, the page made of them, its gate, and how it reaches the disk."""
