"""One athlete's second threshold as a page: trials read from the roster, steps and trials typed in."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from coachlib.errors import BadArgument, CoachError
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.field_tests.step_tests import StepTest, read_step_tests
from coachlib.jobs.field_tests.trials import ReadTrial, Trial, read_critical_trials, read_time_trials
from coachlib.measures.second_threshold.critical_speed import (
    TWO_PARAMETER_FORMS,
    CriticalOutput,
    critical_three_parameter,
)
from coachlib.measures.second_threshold.lactate import SECOND, LactateThresholds, all_methods
from coachlib.records.athlete import Threshold
from coachlib.report.second_threshold.view import Candidate, SecondThreshold, without_version
from coachlib.report.words import wording

#: What a stage without a reading is typed as.
NOT_TAKEN = frozenset({"-", "–"})


def second_threshold(
    roster: RosterFolder, own: AthleteFolder, *, steps: str = "", typed_unit: str = "km/h", trials: str = ""
) -> SecondThreshold:
    """Everything known of one athlete's second threshold.

    Parameters
    ----------
    roster, own : RosterFolder, AthleteFolder
        Whose.
    steps : str
        A lactate step test, typed in as load, lactate [mmol/l] and heart rate [1/min] of each stage:
        "8 1.1 118; 9 1.0 127"; a dash where one was not taken.  Without one the newest recorded step test counts.
    typed_unit : str
        "km/h" or "W": the unit of typed-in loads; trials then are metres or watts.
    trials : str
        All-out trials, typed in as metres (or watts) and seconds: "1200 232; 2400 502; 3600 770".

    Raises
    ------
    BadArgument
        When what was typed cannot be read.

    Source
    ------
    The methods carry their own sources, see ``measures.second_threshold.time_trial``, ``lactate`` and ``critical_speed``.
    """
    athlete = own.athlete()
    read, problems = read_time_trials(roster, own)
    recorded, more = read_critical_trials(roster, own)
    typed = _typed_steps(steps, typed_unit)
    stepped, of_steps = (typed, ()) if typed else _recorded_steps(roster, own)
    critical, unit, refused = _critical((*recorded, *_typed_trials(trials, typed_unit)))
    newest_first = sorted(read, key=lambda t: t.on, reverse=True)
    day = max([t.on for t in athlete.thresholds] + [t.on for t in read], default=date.min)
    return SecondThreshold(
        athlete=athlete,
        accepted=athlete.threshold_on("second", day),
        first=athlete.threshold_on("first", day),
        candidates=(*map(_of_trial, newest_first), *_of_steps(stepped, day)),
        trial_caveats=tuple(f"T{_named(t)[1:]}: {c}" for t in newest_first for c in t.result.caveats),
        lactate=stepped.lactate if stepped else None,
        lactate_from=stepped.source if stepped else "",
        load_unit=stepped.unit if stepped else typed_unit,
        critical=critical,
        critical_refused=refused,
        unit=unit,
        left_out=(*problems, *more, *of_steps),
    )


def _named(trial: ReadTrial) -> str:
    return f"time trial of {wording.full_date(trial.on)}"


def _of_trial(trial: ReadTrial) -> Candidate:
    found = trial.result
    return Candidate(
        name=_named(trial),
        threshold=Threshold(
            which="second",
            on=trial.on + timedelta(days=1),
            hr_bpm=round(found.hr_bpm),
            hr_low_bpm=round(found.hr_low_bpm),
            hr_high_bpm=round(found.hr_high_bpm),
            speed_mps=_to_keep(found.output, trial.unit) if trial.unit == "m/s" else None,
            power_w=_to_keep(found.output, trial.unit) if trial.unit == "W" else None,
            method=found.method,
            tests=(trial.sha256,),
        ),
    )


def _to_keep(output: float | None, unit: str) -> float | None:
    """Output as a file keeps it: whole watts, tenths of km/h."""
    if output is None:
        return None
    return float(round(output)) if unit == "W" else round(output * 36) / 36


@dataclass(frozen=True, kw_only=True)
class _Steps:
    """A step test by every method; ``source`` says where it is from, ``note`` keeps stages that no file holds."""

    lactate: LactateThresholds
    unit: str
    source: str
    on: date | None = None
    tests: tuple[str, ...] = ()
    note: str = ""


def _typed_steps(steps: str, unit: str) -> _Steps | None:
    """The step test that was typed in."""
    if not steps.strip():
        return None
    load, lactate, hr = _numbers(steps, 3, "8 1.1 118; 9 1.0 127; 10 1.2 136").T
    return _Steps(
        lactate=all_methods(load, lactate, hr),
        unit=unit,
        source="typed in",
        note=f"stages typed in ({unit}, mmol/l, bpm): {steps.strip()}",
    )


def _recorded_steps(roster: RosterFolder, own: AthleteFolder) -> tuple[_Steps | None, tuple[str, ...]]:
    """The newest recorded step test that the methods can use, and why others cannot be."""
    tests, problems = read_step_tests(roster, own)
    for test in tests:
        try:
            return _of_recording(test), problems
        except CoachError as problem:
            problems = (*problems, f"the step test of {wording.full_date(test.on)} is left out: {problem}")
    return None, problems


def _of_recording(test: StepTest) -> _Steps:
    load, unit = (test.load, "W") if test.unit == "W" else (3.6 * test.load, "km/h")
    return _Steps(
        lactate=all_methods(load, test.lactate_mmol_l, test.hr_bpm),
        unit=unit,
        source=wording.full_date(test.on),
        on=test.on + timedelta(days=1),
        tests=(test.sha256,),
    )


def _of_steps(steps: _Steps | None, day: date) -> tuple[Candidate, ...]:
    """The second-like methods that have a heart rate."""
    if steps is None:
        return ()
    return tuple(
        Candidate(
            name=f"step test ({without_version(t.method)})",
            threshold=Threshold(
                which="second",
                on=steps.on or day,
                hr_bpm=round(t.hr_bpm),
                speed_mps=_to_keep(t.load / 3.6, "m/s") if steps.unit == "km/h" else None,
                power_w=_to_keep(t.load, "W") if steps.unit == "W" else None,
                method=f"lactate, {t.method}",
                tests=steps.tests,
                note=steps.note,
            ),
        )
        for t in steps.lactate.thresholds
        if t.kind == SECOND and t.hr_bpm is not None
    )


def _numbers(typed: str, width: int, example: str) -> np.ndarray:
    """Rows of numbers, typed with spaces between numbers and semicolons between rows."""
    rows = [part.split() for part in typed.replace(",", " ").split(";") if part.strip()]
    try:
        if any(len(row) != width for row in rows):
            raise ValueError
        values = [np.nan if cell in NOT_TAKEN else float(cell) for row in rows for cell in row]
    except ValueError:
        raise BadArgument(
            f"{width} numbers a row are needed, with points for decimals and rows apart by semicolons, such as "
            f'"{example}"; found "{typed}".'
        ) from None
    return np.array(values).reshape(len(rows), width)


def _typed_trials(trials: str, unit: str) -> tuple[Trial, ...]:
    """Trials as metres and seconds, or as watts and seconds."""
    example = "300 180; 270 420; 255 720" if unit == "W" else "1200 232; 2400 502; 3600 770"
    return tuple(
        Trial(
            on=None,
            source="typed in",
            sha256="",
            time_s=float(seconds),
            work=float(done * seconds if unit == "W" else done),
            unit="J" if unit == "W" else "m",
        )
        for done, seconds in _numbers(trials, 2, example)
    )


def _critical(trials: tuple[Trial, ...]) -> tuple[tuple[CriticalOutput, ...], str, tuple[str, ...]]:
    """Every form of the model on the trials of one unit, the unit with more trials; why a form is missing."""
    unit = max(("m", "J"), key=lambda u: sum(t.unit == u for t in trials))
    kept = [t for t in trials if t.unit == unit]
    if not kept:
        return (), "m/s", ()
    time_s, work = np.array([t.time_s for t in kept]), np.array([t.work for t in kept])
    found, refused = [], []
    for form in TWO_PARAMETER_FORMS:
        try:
            found.append(form(time_s, work))
        except CoachError as problem:
            refused.append(str(problem))
    try:
        found.append(critical_three_parameter(time_s, work))
    except CoachError as problem:
        refused += [f"Three parameters: {problem}"] * bool(found)
    return tuple(found), "m/s" if unit == "m" else "W", tuple(dict.fromkeys(refused))
