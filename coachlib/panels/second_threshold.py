"""The second threshold on a screen: trials read, steps and trials typed in, one value accepted."""

import os
from datetime import date

import ipywidgets
import numpy as np

from coachlib.errors import BadArgument, CoachError, RosterProblem
from coachlib.field_tests import ReadTrial, Trial, read_critical_trials, read_time_trials
from coachlib.files.athlete_folder import AthleteFolder
from coachlib.files.folder import RosterFolder, open_roster
from coachlib.measures.critical_speed import TWO_PARAMETER_FORMS, CriticalOutput, critical_three_parameter
from coachlib.measures.lactate import LactateThresholds, all_methods
from coachlib.panels.choosing import ChoicePanel, StillPage, on_screen
from coachlib.records.athlete import Threshold
from coachlib.report import wording
from coachlib.report.second_threshold_view import Candidate, SecondThreshold, second_threshold_page

#: Trials from which the model with three parameters is shown too, with its warning.  Own choice.
LEAST_FOR_THREE = 4


def second_threshold(
    roster: RosterFolder, own: AthleteFolder, *, steps: str = "", step_unit: str = "km/h", trials: str = ""
) -> SecondThreshold:
    """Everything known of one athlete's second threshold.

    Parameters
    ----------
    roster, own : RosterFolder, AthleteFolder
        Whose.
    steps : str
        A lactate step test, typed in as load, lactate [mmol/L] and heart rate [1/min] of each stage:
        "8 1.1 118; 9 1.0 127".
    step_unit : str
        Unit of the load, "km/h" or "W".
    trials : str
        All-out trials, typed in as metres and seconds: "1200 232; 2400 502; 3600 770".

    Raises
    ------
    BadArgument
        When what was typed cannot be read.
    """
    athlete = own.athlete()
    read, problems = read_time_trials(roster, own)
    recorded, more = read_critical_trials(roster, own)
    lactate = _lactate(steps)
    critical, unit, refused = _critical((*recorded, *_typed_trials(trials)))
    day = max((t.on for t in athlete.thresholds), default=date.min)
    day = max([day, *(t.on for t in read)])
    return SecondThreshold(
        athlete=athlete.name,
        accepted=athlete.threshold_on("second", day),
        first=athlete.threshold_on("first", day),
        candidates=(*map(_of_trial, read), *_of_steps(lactate, step_unit, day)),
        trial_caveats=tuple(f"{t.source}: {c}" for t in read for c in t.result.caveats),
        lactate=lactate,
        load_unit=step_unit,
        critical=critical,
        unit=unit,
        left_out=(*problems, *more, *refused),
    )


def _of_trial(trial: ReadTrial) -> Candidate:
    found = trial.result
    return Candidate(
        name=f"time trial of {wording.short_date(trial.on)}",
        threshold=Threshold(
            which="second",
            on=trial.on,
            hr_bpm=round(found.hr_bpm),
            hr_low_bpm=round(found.hr_low_bpm),
            hr_high_bpm=round(found.hr_high_bpm),
            speed_mps=found.output if trial.unit == "m/s" else None,
            power_w=found.output if trial.unit == "W" else None,
            method=found.method,
            tests=(trial.sha256,),
        ),
    )


def _of_steps(steps: LactateThresholds | None, unit: str, day: date) -> tuple[Candidate, ...]:
    """The second-like methods that have a heart rate."""
    if steps is None:
        return ()
    return tuple(
        Candidate(
            name=f"step test, {t.method}",
            threshold=Threshold(
                which="second",
                on=day,
                hr_bpm=round(t.hr_bpm),
                speed_mps=t.load / 3.6 if unit == "km/h" else None,
                power_w=t.load if unit == "W" else None,
                method=f"lactate, {t.method}",
                note="stages typed in",
            ),
        )
        for t in steps.thresholds
        if t.kind.startswith("second") and t.hr_bpm is not None
    )


def _numbers(typed: str, width: int, example: str) -> np.ndarray:
    """Rows of numbers, typed with spaces between numbers and semicolons between rows."""
    rows = [part.split() for part in typed.replace(",", " ").split(";") if part.strip()]
    try:
        if any(len(row) != width for row in rows):
            raise ValueError
        return np.array(rows, dtype=float).reshape(len(rows), width)
    except ValueError:
        raise BadArgument(
            f'{width} numbers a row are needed, rows apart by semicolons, such as "{example}"; found "{typed}".'
        ) from None


def _lactate(steps: str) -> LactateThresholds | None:
    if not steps.strip():
        return None
    load, lactate, hr = _numbers(steps, 3, "8 1.1 118; 9 1.0 127; 10 1.2 136").T
    return all_methods(load, lactate, hr)


def _typed_trials(trials: str) -> tuple[Trial, ...]:
    return tuple(
        Trial(on=None, source="typed in", sha256="", time_s=float(seconds), work=float(metres), unit="m")
        for metres, seconds in _numbers(trials, 2, "1200 232; 2400 502; 3600 770")
    )


def _critical(trials: tuple[Trial, ...]) -> tuple[tuple[CriticalOutput, ...], str, tuple[str, ...]]:
    """Every form of the model on the trials of one unit, the unit with more trials."""
    unit = max(("m", "J"), key=lambda u: sum(t.unit == u for t in trials))
    kept = [t for t in trials if t.unit == unit]
    if not kept:
        return (), "m/s", ()
    time_s, work = np.array([t.time_s for t in kept]), np.array([t.work for t in kept])
    forms = TWO_PARAMETER_FORMS + ((critical_three_parameter,) if len(kept) >= LEAST_FOR_THREE else ())
    found, refused = [], []
    for form in forms:
        try:
            found.append(form(time_s, work))
        except CoachError as problem:
            refused.append(str(problem))
    return tuple(found), "m/s" if unit == "m" else "W", tuple(dict.fromkeys(refused))


class SecondThresholdPanel(ChoicePanel):
    """Athlete, typed stages and trials; the page; one value to accept."""

    def __init__(
        self, roster: RosterFolder, athlete: str, *, steps: str, step_unit: str, trials: str
    ) -> None:
        super().__init__(roster, athlete, what="second threshold", name_width="12em", width="44em")
        self.found: SecondThreshold | None = None
        self.steps = self.field(
            ipywidgets.Text, "Step test: load, lactate, bpm", value=steps, placeholder="8 1.1 118; 9 1.0 127"
        )
        self.step_unit = self.field(ipywidgets.Dropdown, "Load in", options=("km/h", "W"), value=step_unit)
        self.trials = self.field(
            ipywidgets.Text, "Trials: metres, seconds", value=trials, placeholder="1200 232; 2400 502"
        )
        self.choice = self.field(ipywidgets.Dropdown, "Accept")
        self.day = self.field(ipywidgets.DatePicker, "Valid from")
        self.accept_button = self.button("Accept this threshold", self.accept)
        self.on_choice(self._show, self.athlete, self.steps, self.step_unit, self.trials)
        self.on_choice(self._take_day, self.choice)
        self.stand(
            ipywidgets.VBox([self.athlete, self.steps, self.step_unit, self.trials]),
            self.page,
            ipywidgets.VBox([self.choice, self.day, self.accept_button]),
        )
        self.guarded(self._show)(None)

    def accept(self) -> None:
        """Write the chosen value into the athlete's file.

        Raises
        ------
        RosterProblem
            When nothing is chosen, no day is given, or one of that day stands.
        """
        chosen = self._chosen()
        if chosen is None or self.day.value is None:
            raise RosterProblem("there is no value to accept, or no day from which it holds. Choose both.")
        accepted = chosen.threshold.model_copy(update={"on": self.day.value})
        self.own().accept_threshold(accepted)
        self._show()
        self.say_accepted(accepted)

    def _chosen(self) -> Candidate | None:
        candidates = self.found.candidates if self.found else ()
        return next((c for c in candidates if c.name == self.choice.value), None)

    def _take_day(self) -> None:
        chosen = self._chosen()
        self.day.value = chosen.threshold.on if chosen else None

    def _show(self) -> None:
        self.found, self.page.value = None, ""
        found = second_threshold(
            self._roster,
            self.own(),
            steps=self.steps.value,
            step_unit=self.step_unit.value,
            trials=self.trials.value,
        )
        self.found = found
        names = [c.name for c in found.candidates]

        def fill() -> None:
            self.choice.options = names
            self.choice.value = names[0] if names else None

        self.filling(fill)
        self._take_day()
        self.page.value = on_screen(second_threshold_page(found))
        self.say("")


def second_threshold_panel(
    roster: str | os.PathLike[str] | None,
    athlete: str | None = None,
    *,
    steps: str = "",
    step_unit: str = "km/h",
    trials: str = "",
    interactive: bool = True,
) -> SecondThresholdPanel | StillPage:
    """Open one athlete's second threshold.

    Parameters
    ----------
    roster : path or None
        The roster's folder; None takes the one that ``COACHLIB_ROSTER`` names.
    athlete : str, optional
        Folder name or name; None takes the first athlete with a time trial, else the first of all.
    steps, step_unit, trials
        As for ``second_threshold``.
    interactive : bool
        False gives the page without anything to click.

    Raises
    ------
    RosterProblem
        When there is no such roster or athlete.

    Source
    ------
    This project's own choice.
    """
    folder = open_roster(roster)
    own = folder.athlete(athlete or _first_with_trial(folder))
    if interactive:
        return SecondThresholdPanel(folder, own.slug, steps=steps, step_unit=step_unit, trials=trials)
    found = second_threshold(folder, own, steps=steps, step_unit=step_unit, trials=trials)
    return StillPage(second_threshold_page(found), f"the second threshold of {own.slug}")


def _first_with_trial(folder: RosterFolder) -> str:
    slugs = folder.athletes()
    if not slugs:
        raise RosterProblem(f"{folder.path} has no athletes; each is a sub-folder with athlete.toml in it")
    for slug in slugs:
        try:
            if read_time_trials(folder, folder.athlete(slug))[0]:
                return slug
        except CoachError:
            continue
    return slugs[0]
