"""What an athlete was measured at, read from the roster: tests, stages, trials."""

from collections.abc import Sequence

import numpy as np

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.second_threshold.efforts import settled_heart_rate
from coachlib.analysis.zones.measured import (
    Measured,
    measured_in_test,
    measured_in_time_trial,
    measured_in_trial,
    output_of_setting,
)
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.field_tests.decided import Decided, decided_as
from coachlib.jobs.field_tests.trials import read_critical_trials, read_time_trials
from coachlib.jobs.recordings import Recordings


def read_measured(
    folder: RosterFolder,
    own: AthleteFolder,
    tests: Sequence[SeriesTest],
    *,
    recordings: Recordings | None = None,
) -> tuple[Measured, ...]:
    """Every pair of heart rate and output that an athlete was measured at.

    Drift tests count with their first half, stages of ramps and step tests with their last minute, 30-minute trials
    with what they give; shorter trials with their last minute, as bounds.
    """
    recordings = recordings or Recordings(folder=folder, own=own)
    found = [m for test in tests if (m := measured_in_test(test)) is not None]
    for kind in ("ramp", "step test"):
        for decided in decided_as(folder, own, kind, [], recordings=recordings):
            found += _stages(decided)
    found += [
        m for trial in read_time_trials(folder, own)[0] if (m := measured_in_time_trial(trial)) is not None
    ]
    found += [
        m for trial in read_critical_trials(folder, own)[0] if (m := measured_in_trial(trial)) is not None
    ]
    return tuple(found)


def _stages(decided: Decided) -> list[Measured]:
    found = []
    for stage in decided.decisions.stages:
        known = output_of_setting(speed_mps=stage.speed_mps, grade=stage.grade, power_w=stage.power_w)
        hr = settled_heart_rate(decided.activity, decided.decisions, stage)
        if known is not None and np.isfinite(hr):
            found.append(
                Measured(
                    on=decided.on,
                    kind="stage",
                    sport=decided.activity.sport,
                    unit=known[1],
                    hr_bpm=hr,
                    output=known[0],
                )
            )
    return found
