"""Energy, under the name it is called by from outside."""

from coachlib.measures.output.energy import (
    running_cost_minetti,
    vo2_cycling_acsm,
    vo2_running_acsm,
    vo2_walking_acsm,
)

__all__ = ["running_cost_minetti", "vo2_cycling_acsm", "vo2_running_acsm", "vo2_walking_acsm"]
