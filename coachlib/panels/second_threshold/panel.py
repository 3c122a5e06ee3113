"""The panel of ``workbooks/second_threshold.ipynb``: trials read, steps typed in, one value to accept."""

import os

import ipywidgets

from coachlib.errors import CoachError, RosterProblem
from coachlib.files.roster.folder import RosterFolder, open_roster
from coachlib.jobs.field_tests.trials import read_time_trials
from coachlib.panels.choosing.choosing import ChoicePanel, StillPage, on_screen
from coachlib.panels.choosing.standing import standing_options, withdraw_chosen
from coachlib.panels.recording.panel import chosen_athlete
from coachlib.panels.second_threshold.page import second_threshold
from coachlib.report.second_threshold.view import Candidate, SecondThreshold, second_threshold_page
from coachlib.report.words import wording

UNITS = (("km/h and metres", "km/h"), ("watts", "W"))


class SecondThresholdPanel(ChoicePanel):
    """Athlete, typed stages and trials; the page; one value to accept, one to withdraw."""

    def __init__(
        self, roster: RosterFolder, athlete: str, *, steps: str, typed_unit: str, trials: str
    ) -> None:
        super().__init__(roster, athlete, what="second threshold", name_width="9em", width="40em")
        self.found: SecondThreshold | None = None
        self.steps = self.field(
            ipywidgets.Text,
            "Lactate stages",
            value=steps,
            placeholder="load lactate bpm; … such as 8 1.1 118; 9 1.0 127; 10 1.2 136",
            continuous_update=False,
        )
        self.trials = self.field(
            ipywidgets.Text,
            "All-out trials",
            value=trials,
            placeholder="metres (or W) seconds; … such as 1200 232; 2400 502; 3600 770",
            continuous_update=False,
        )
        for typed in (self.steps, self.trials):
            typed.layout.width = "54em"
        self.typed_unit = self.field(ipywidgets.Dropdown, "Both typed in", options=UNITS, value=typed_unit)
        self.choice = self.field(ipywidgets.Dropdown, "Accept")
        self.day = self.field(ipywidgets.DatePicker, "Valid from")
        self.accept_button = self.button("Accept this threshold", self.accept)
        self.standing = self.field(ipywidgets.Dropdown, "Accepted")
        self.withdraw_button = self.button("Withdraw it", self.withdraw)
        self.on_choice(self._show, self.athlete, self.steps, self.typed_unit, self.trials)
        self.on_choice(self._take_day, self.choice)
        self.stand(
            ipywidgets.VBox([self.athlete, self.steps, self.trials, self.typed_unit]),
            self.page,
            self.choice,
            ipywidgets.HBox([self.day, self.accept_button]),
            ipywidgets.HBox([self.standing, self.withdraw_button]),
        )
        self.guarded(self._show)(None)

    def accept(self) -> None:
        """Write the chosen value into the athlete's file.

        Raises
        ------
        RosterProblem
            When nothing is chosen, no day is given, one of that day stands, or the first threshold of that day
            is not below.
        """
        found, at, on = self.found, self.choice.value, self.day.value
        if found is None or at is None or on is None:
            raise RosterProblem("there is no value to accept, or no day from which it holds. Choose both.")
        accepted = found.candidates[at].threshold.model_copy(update={"on": on})
        first = found.athlete.threshold_on("first", on)
        if first is not None and first.hr_bpm >= accepted.hr_bpm:
            raise RosterProblem(
                f"{wording.heart_rate(accepted.hr_bpm)} is not above the first threshold of that day, "
                f"{wording.heart_rate(first.hr_bpm)}. Choose another value, or withdraw the first threshold."
            )
        self.own().accept_threshold(accepted)
        self._show()
        self.say_accepted(accepted)

    def withdraw(self) -> None:
        """Withdraw the accepted threshold that is chosen; it stays in the file for the record.

        Raises
        ------
        RosterProblem
            When none is chosen.
        """
        said = withdraw_chosen(self.own(), "second", self.standing.value)
        self._show()
        self.say(said)

    def _take_day(self) -> None:
        """The day of the chosen trial; a typed-in test has none, so the coach gives it."""
        at = self.choice.value
        chosen = self.found.candidates[at].threshold if self.found and at is not None else None
        self.day.value = chosen.on if chosen and chosen.tests else None

    def _offer(self, candidates: tuple[Candidate, ...]) -> None:
        """Let the coach choose among these values, and among the thresholds that stand."""
        standing = standing_options(self.own().athlete(), "second")

        def fill() -> None:
            self.choice.options = [
                (f"{c.name}: {wording.heart_rate(c.threshold.hr_bpm)}", at) for at, c in enumerate(candidates)
            ]
            self.choice.value = 0 if candidates else None
            self.standing.options = standing
            self.standing.value = standing[0][1] if standing else None

        self.filling(fill)
        self._take_day()

    def _show(self) -> None:
        """Make the page anew from the choices."""
        self.found, self.page.value = None, ""
        self._offer(())
        found = second_threshold(
            self._roster,
            self.own(),
            steps=self.steps.value,
            typed_unit=self.typed_unit.value,
            trials=self.trials.value,
        )
        self.found = found
        self._offer(found.candidates)
        self.page.value = on_screen(second_threshold_page(found))
        self.say("")


def second_threshold_panel(
    roster: str | os.PathLike[str] | None,
    athlete: str | None = None,
    *,
    steps: str = "",
    typed_unit: str = "km/h",
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
    steps, typed_unit, trials
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

    Examples
    --------
    ``workbooks/second_threshold.ipynb`` is this function and two sentences.
    """
    folder = open_roster(roster)
    own = chosen_athlete(folder, athlete or _first_with_trial(folder))
    if interactive:
        return SecondThresholdPanel(folder, own.slug, steps=steps, typed_unit=typed_unit, trials=trials)
    found = second_threshold(folder, own, steps=steps, typed_unit=typed_unit, trials=trials)
    return StillPage(second_threshold_page(found), f"the second threshold of {own.slug}")


def _first_with_trial(folder: RosterFolder) -> str | None:
    """The first athlete with a time trial, so that the page opens on something."""
    for slug in folder.athletes():
        try:
            if read_time_trials(folder, folder.athlete(slug))[0]:
                return slug
        except CoachError:
            continue
    return None
