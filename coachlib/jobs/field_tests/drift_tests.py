"""Drift tests: recordings the coach called so, typed ones, and what is not decided yet."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.first_threshold.machine import machine_of
from coachlib.analysis.first_threshold.second_opinions import Opinion
from coachlib.analysis.first_threshold.series import (
    Series,
    analyse_series,
    member_of_series,
    of_sport,
    sports_of,
    typed_test,
)
from coachlib.errors import CoachError, TooLittleData
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.field_tests.decided import Decided, decided_as
from coachlib.jobs.field_tests.other_signs import read_other_signs
from coachlib.jobs.recordings import Recordings
from coachlib.records.athlete import Athlete
from coachlib.records.sports import RUNNING_SPORTS
from coachlib.report.words import wording
from coachlib.report.words.catalogue import sentence
from coachlib.report.words.recording import meant


@dataclass(frozen=True, kw_only=True)
class DriftTests:
    """The drift tests that can be used, and in sentences those that cannot and those not decided yet.

    ``opinions`` are other signs about the first threshold, ``silent`` says why a sign that is there tells nothing.
    """

    athlete: Athlete
    tests: tuple[SeriesTest, ...]
    left_out: tuple[str, ...]
    opinions: tuple[Opinion, ...]
    silent: tuple[str, ...]


def series_of_tests(
    tests: Sequence[SeriesTest], athlete: Athlete, *, criterion_pct: float, today: date | None = None
) -> Series | None:
    """The series of the sport with most tests, its next one on the athlete's machine; None without tests.

    Letter and protocol sheet ask for that test.

    Parameters
    ----------
    tests : sequence of SeriesTest
        Of any sport.
    athlete : Athlete
        Whose.
    criterion_pct : float
        Drift over an hour that marks the threshold. [%]
    today : date, optional
        The day from which the next test is planned.
    """
    own, _ = of_sport(tests, next(iter(sports_of(tests)), ""))
    try:
        return analyse_series(
            own, athlete, criterion_pct=criterion_pct, machine=machine_of(athlete, own), today=today
        )
    except TooLittleData:
        return None


def read_drift_tests(
    folder: RosterFolder, own: AthleteFolder, *, recordings: Recordings | None = None
) -> DriftTests:
    """All drift tests of an athlete: recordings the coach called so, and typed ones.

    Parameters
    ----------
    folder : RosterFolder
        The roster.
    own : AthleteFolder
        Whose tests.
    recordings : Recordings, optional
        The athlete's recordings where they were opened already.

    Raises
    ------
    RosterProblem
        When the athlete's profile cannot be read.
    """
    recordings = recordings or Recordings(folder=folder, own=own)
    athlete = recordings.athlete
    problems: list[str] = []
    tests = []
    judged = []
    for decided in decided_as(folder, own, "drift test", problems, recordings=recordings):
        stretch = decided.judged.steady
        if stretch is None:
            why = decided.judged.not_steady
            problems.append(
                f"{decided.path.stem} is left out: {sentence(why) if why else 'no steady window'}"
            )
            continue
        if stretch.is_void:
            problems.append(f"{decided.path.stem} is left out: {wording.lower(meant(stretch))}")
            continue
        try:
            member = member_of_series(
                stretch,
                on=decided.on,
                sha256=decided.activity.sha256,
                source=decided.path.stem,
                sport=decided.activity.sport or "",
                conditions=decided.row,
            )
            tests.append(_as_set(member, decided))
            judged.append((decided, stretch))
        except CoachError as problem:
            problems.append(f"{decided.path.stem} is left out: {problem}")
    tests += [typed_test(test) for test in athlete.typed_tests]
    opinions, silent = read_other_signs(folder, own, judged, recordings=recordings)
    return DriftTests(
        athlete=athlete,
        tests=tuple(sorted(tests, key=lambda t: t.on)),
        left_out=(*problems, *_undecided(own)),
        opinions=opinions,
        silent=silent,
    )


def _as_set(test: SeriesTest, decided: Decided) -> SeriesTest:
    """A test with the setting that says how hard it was: a typed-in belt, or running; not hiking or rowing."""
    if decided.decisions.stages:
        # a belt whose grade nobody typed in lies level
        return test if test.speed_mps is None else replace(test, grade=test.grade or 0.0)
    return test if decided.activity.sport in RUNNING_SPORTS else replace(test, speed_mps=None, grade=None)


def _undecided(own: AthleteFolder) -> tuple[str, ...]:
    """Recordings the diary calls a drift test and about which nothing is decided yet."""
    tests = {row.recording for row in own.read_diary().rows if row.kind == "drift test" and row.recording}
    said = []
    for path in own.recordings():
        if path.stem in tests and own.decisions_seen(path) is None:
            said.append(
                f"{path.stem} is a drift test by the diary, but nothing is decided about it yet: open it in "
                "recording.ipynb"
            )
    return tuple(said)
