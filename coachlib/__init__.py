"""Field tests, thresholds, zones and weekly letters for an endurance coach's roster."""

__version__ = "0.1.0"
