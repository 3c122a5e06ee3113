"""One athlete's field tests, read from the roster's folder: drift tests, time trials, trials, stages."""

from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from coachlib.analysis.comparability import SeriesTest
from coachlib.analysis.drift_test import detect, judge
from coachlib.analysis.output import RUNNING_SPORTS, output_of
from coachlib.analysis.second_opinions import Opinion
from coachlib.analysis.series import member_of_series, typed_test
from coachlib.decided import Decided, decided_as, heart_rate_of, settled_heart_rate
from coachlib.errors import CoachError
from coachlib.files.athlete_folder import AthleteFolder
from coachlib.files.folder import RosterFolder
from coachlib.measures.calibration import CalibrationLine, calibration_line
from coachlib.measures.heart_rate_line import RUNNING_FROM_MPS, demand_on_treadmill
from coachlib.measures.sampling import time_weights, weighted_mean
from coachlib.measures.spans import Stretch, inside
from coachlib.measures.time_trial import TimeTrial, time_trial
from coachlib.other_signs import read_other_signs
from coachlib.records.activity import Activity
from coachlib.records.athlete import Athlete

#: Oxygen demand at rest [ml/kg/min] and of running on the level for each m/s; ACSM running equation.
REST_VO2, LEVEL_VO2_PER_MPS = 3.5, 12.0


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


@dataclass(frozen=True, kw_only=True)
class ReadTrial:
    """A 30-minute trial with its day; ``unit`` is "m/s" or "W" of its output, "" where none is known."""

    on: date
    source: str
    sha256: str
    unit: str
    grade_told: bool
    result: TimeTrial


@dataclass(frozen=True, kw_only=True)
class Trial:
    """One all-out trial: its length [s] and the distance [m] or work [J] done in it (``unit`` "m" or "J")."""

    on: date | None
    source: str
    sha256: str
    time_s: float
    work: float
    unit: str


@dataclass(frozen=True, kw_only=True)
class OutputLine:
    """Heart rate on power (``unit`` "W") or on running speed brought to the level ("m/s")."""

    line: CalibrationLine
    unit: str
    made_from: str


def read_drift_tests(folder: RosterFolder, own: AthleteFolder) -> DriftTests:
    """All drift tests of an athlete: recordings the coach called so, and typed ones.

    Parameters
    ----------
    folder : RosterFolder
        The roster.
    own : AthleteFolder
        Whose tests.

    Raises
    ------
    RosterProblem
        When the athlete's profile cannot be read.
    """
    athlete = own.athlete()
    problems: list[str] = []
    tests = []
    judged = []
    for decided in decided_as(folder, own, "drift test", problems):
        try:
            result = judge(
                decided.activity,
                decided.decisions,
                detect(decided.activity, decided.decisions, hr_max_bpm=athlete.hr_max_bpm),
                criterion_pct=folder.settings.criterion_pct,
                diary_row=decided.row,
            )
            member = member_of_series(
                result,
                on=decided.on,
                sha256=decided.activity.sha256,
                source=decided.path.stem,
                conditions=decided.row,
            )
            tests.append(_as_set(member, decided))
            judged.append((decided, result))
        except CoachError as problem:
            problems.append(f"{decided.path.stem} is left out: {problem}")
    tests += [typed_test(test) for test in athlete.typed_tests]
    opinions, silent = read_other_signs(folder, own, judged)
    return DriftTests(
        athlete=athlete,
        tests=tuple(sorted(tests, key=lambda t: t.on)),
        left_out=(*problems, *_undecided(own)),
        opinions=opinions,
        silent=silent,
    )


def read_time_trials(
    folder: RosterFolder, own: AthleteFolder
) -> tuple[tuple[ReadTrial, ...], tuple[str, ...]]:
    """Every 30-minute trial the coach marked, and in sentences what could not be read."""
    problems: list[str] = []
    found = []
    for decided in decided_as(folder, own, "time trial", problems):
        windows = [w for w in decided.decisions.windows if w.purpose == "trial"]
        if not windows:
            problems.append(
                f"{decided.path.stem} has no window marked as a trial. Mark it in recording.ipynb."
            )
            continue
        output = output_of(decided.activity, decided.decisions)
        time_s, hr_bpm, used = heart_rate_of(decided)
        try:
            result = time_trial(
                time_s,
                hr_bpm,
                np.full(time_s.shape, np.nan) if output is None else output.values,
                used,
                start_s=windows[0].start_s,
                stop_s=windows[0].stop_s,
                is_power=output is not None and output.unit == "W",
            )
        except CoachError as problem:
            problems.append(f"{decided.path.stem} is left out: {problem}")
            continue
        found.append(
            ReadTrial(
                on=decided.on,
                source=decided.path.stem,
                sha256=decided.activity.sha256,
                unit="" if output is None else output.unit,
                grade_told=output is not None and output.kind == "flat-equivalent speed",
                result=result,
            )
        )
    return tuple(found), tuple(problems)


def read_critical_trials(
    folder: RosterFolder, own: AthleteFolder
) -> tuple[tuple[Trial, ...], tuple[str, ...]]:
    """Every window marked as a trial in recordings of critical trials."""
    problems: list[str] = []
    found = []
    for decided in decided_as(folder, own, "critical trial", problems):
        output = output_of(decided.activity, decided.decisions)
        if output is None:
            problems.append(f"{decided.path.stem} has neither power nor speed.")
            continue
        weights = time_weights(decided.activity.samples["time_s"].to_numpy())
        for window in (w for w in decided.decisions.windows if w.purpose == "trial"):
            mean = _mean_in(decided.activity, output.values, weights, window)
            if np.isfinite(mean):
                length_s = window.stop_s - window.start_s
                found.append(
                    Trial(
                        on=decided.on,
                        source=decided.path.stem,
                        sha256=decided.activity.sha256,
                        time_s=length_s,
                        work=mean * length_s,
                        unit="J" if output.unit == "W" else "m",
                    )
                )
    return tuple(found), tuple(problems)


def _as_set(test: SeriesTest, decided: Decided) -> SeriesTest:
    """A test with the setting that says how hard it was: a typed-in belt, or running; not hiking or rowing."""
    if decided.decisions.stages:
        # a belt whose grade nobody typed in lies level
        return test if test.speed_mps is None else replace(test, grade=test.grade or 0.0)
    return test if decided.activity.sport in RUNNING_SPORTS else replace(test, speed_mps=None, grade=None)


def read_output_line(
    folder: RosterFolder, own: AthleteFolder, tests: tuple[SeriesTest, ...]
) -> OutputLine | None:
    """The athlete's line of heart rate on output, where three different settings are known.

    Drift tests count with their first half, stages of ramps and step tests with their last minute.  Power
    goes before speed; running speeds on a gradient are brought to the level by oxygen demand.
    """
    powers = [(t.power_w, t.first_half_bpm) for t in tests if t.power_w is not None]
    speeds = [
        (_level_speed(t.speed_mps, t.grade), t.first_half_bpm)
        for t in tests
        if t.speed_mps is not None and t.speed_mps >= RUNNING_FROM_MPS
    ]
    n_tests = len(powers), len(speeds)
    for kind in ("ramp", "step test"):
        for decided in decided_as(folder, own, kind, []):
            for stage in decided.decisions.stages:
                hr = settled_heart_rate(decided, stage)
                if np.isfinite(hr) and stage.power_w is not None:
                    powers.append((stage.power_w, hr))
                elif np.isfinite(hr) and (stage.speed_mps or 0.0) >= RUNNING_FROM_MPS:
                    speeds.append((_level_speed(stage.speed_mps or 0.0, stage.grade), hr))
    for pairs, n, unit in ((powers, n_tests[0], "W"), (speeds, n_tests[1], "m/s")):
        if len({round(x, 3) for x, _ in pairs}) < 3:
            continue
        try:
            line = calibration_line(np.array([x for x, _ in pairs]), np.array([y for _, y in pairs]))
        except CoachError:
            continue
        stages = len(pairs) - n
        made = [f"{n} drift test{'s' * (n != 1)}"] * (n > 0) + [f"{stages} stages"] * (stages > 0)
        return OutputLine(line=line, unit=unit, made_from=" and ".join(made))
    return None


def _level_speed(speed_mps: float, grade: float | None) -> float:
    """Speed on the level with the oxygen demand of a speed on a gradient [m/s]."""
    return (float(demand_on_treadmill([speed_mps], [grade or 0.0])[0]) - REST_VO2) / LEVEL_VO2_PER_MPS


def _mean_in(activity: Activity, values: np.ndarray, weights: np.ndarray, window: Stretch) -> float:
    time_s = activity.samples["time_s"].to_numpy()
    counts = inside(time_s, [window]) & np.isfinite(values)
    return weighted_mean(values, np.where(counts, weights, 0.0))


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
