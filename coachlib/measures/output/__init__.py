"""Output and what it costs: speed and power, belts, energy, heart rate for an effort."""
