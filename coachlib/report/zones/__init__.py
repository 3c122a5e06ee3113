"""The zone sheet."""
