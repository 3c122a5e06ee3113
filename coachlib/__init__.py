"""Field tests, thresholds, zones and weekly letters for an endurance coach's roster."""

from coachlib.late import keep_out

__version__ = "0.1.0"

keep_out()
