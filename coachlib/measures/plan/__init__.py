"""What the literature says of planned weeks."""
