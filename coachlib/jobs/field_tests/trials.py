"""An athlete's time trials, shorter all-out trials and step tests, read from the roster."""

from collections.abc import Callable
from typing import TypeVar

from coachlib.analysis.second_threshold.efforts import (
    ReadTrial,
    StepTest,
    Trial,
    critical_trials_of,
    step_test_of,
    time_trial_of,
)
from coachlib.errors import CoachError
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.field_tests.decided import Decided, decided_as
from coachlib.jobs.recordings import Recordings

Found = TypeVar("Found")


def read_time_trials(
    folder: RosterFolder, own: AthleteFolder, *, recordings: Recordings | None = None
) -> tuple[tuple[ReadTrial, ...], tuple[str, ...]]:
    """Every 30-minute trial the coach marked, the newest first, and in sentences what could not be read."""
    found, problems = _read(
        folder, own, recordings, "time trial", lambda d: time_trial_of(d.activity, d.decisions, on=d.on)
    )
    return tuple(sorted(found, key=lambda t: t.on, reverse=True)), problems


def read_critical_trials(
    folder: RosterFolder, own: AthleteFolder, *, recordings: Recordings | None = None
) -> tuple[tuple[Trial, ...], tuple[str, ...]]:
    """Every window marked as a trial in recordings of critical trials, and what could not be read."""
    found, problems = _read(
        folder,
        own,
        recordings,
        "critical trial",
        lambda d: critical_trials_of(d.activity, d.decisions, on=d.on),
    )
    return tuple(trial for trials in found for trial in trials), problems


def read_step_tests(
    folder: RosterFolder, own: AthleteFolder, *, recordings: Recordings | None = None
) -> tuple[tuple[StepTest, ...], tuple[str, ...]]:
    """Every step test with lactate, the newest first, and what could not be read."""
    found, problems = _read(
        folder, own, recordings, "step test", lambda d: step_test_of(d.activity, d.decisions, on=d.on)
    )
    tests = [test for test in found if test is not None]
    return tuple(sorted(tests, key=lambda t: t.on, reverse=True)), problems


def _read(
    folder: RosterFolder,
    own: AthleteFolder,
    recordings: Recordings | None,
    kind: str,
    read: Callable[[Decided], Found],
) -> tuple[list[Found], tuple[str, ...]]:
    """What the recordings of one kind hold, and which of them are left out."""
    problems: list[str] = []
    found = []
    for decided in decided_as(folder, own, kind, problems, recordings=recordings):
        try:
            found.append(read(decided))
        except CoachError as problem:
            problems.append(f"{decided.path.stem} is left out: {problem}")
    return found, tuple(problems)
