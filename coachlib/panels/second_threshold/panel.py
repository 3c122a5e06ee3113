"""The panel of ``workbooks/second_threshold.ipynb``: trials read, steps typed in, one value to accept."""

import os

import ipywidgets

from coachlib.analysis.first_threshold.consistency import threshold_doubts
from coachlib.analysis.second_threshold.candidates import Candidate
from coachlib.analysis.second_threshold.findings import SecondThreshold
from coachlib.analysis.second_threshold.steps import LoadUnit
from coachlib.errors import CoachError, RosterProblem
from coachlib.files.roster.folder import RosterFolder, open_roster
from coachlib.jobs.field_tests.trials import read_time_trials
from coachlib.panels.choosing.choosing import WRAPPED, ChoicePanel, StillPage, on_screen
from coachlib.panels.choosing.standing import standing_options, withdraw_chosen
from coachlib.panels.desk.page_keeper import PageKeeper
from coachlib.panels.recording.panel import chosen_athlete
from coachlib.panels.second_threshold.page import second_threshold
from coachlib.report.second_threshold.view import doubts_about, name, second_threshold_page
from coachlib.report.words import wording
from coachlib.report.words.catalogue import sentence


def _units() -> tuple[tuple[str, LoadUnit], ...]:
    return (f"{wording.speed_unit()} and metres", "km/h"), ("watts", "W")


class SecondThresholdPanel(ChoicePanel):
    """One value to accept, one to withdraw; what can be typed in, folded; beneath it the page."""

    def __init__(
        self, roster: RosterFolder, athlete: str, *, steps: str, typed_unit: LoadUnit, trials: str
    ) -> None:
        super().__init__(roster, athlete, what="second threshold", name_width="9em", width="34em")
        self.found: SecondThreshold | None = None
        self._shown: str | None = None
        self.sport = self.field(ipywidgets.Dropdown, "Sport")
        self.choice = self.field(ipywidgets.Dropdown, "Accept")
        self.day = self.field(ipywidgets.DatePicker, "Valid from")
        self.accept_button = self.button("Accept this threshold", self.accept, is_main=True)
        self.doubts = ipywidgets.HTML()
        self.standing = self.field(ipywidgets.Dropdown, "Accepted")
        self.withdraw_button = self.button("Withdraw it", self.withdraw)
        self.steps = self._typed(
            "Lactate stages", "load lactate bpm; … such as 8 1.1 118; 9 1.0 127; 10 1.2 136", steps
        )
        self.trials = self._typed(
            "All-out trials", "metres (or W) seconds; … such as 1200 232; 2400 502; 3600 770", trials
        )
        self.estimate = self._typed(
            "An estimate",
            f"bpm, from, to, and {wording.speed_unit()} or W if known, such as 172 168 176 13.5",
        )
        self.source = self._typed("Where it is from", "such as: laboratory, ramp of 12 September")
        self.typed_unit = self.field(ipywidgets.Dropdown, "Typed in", options=_units(), value=typed_unit)
        self.typing = ipywidgets.Accordion(
            children=[
                ipywidgets.VBox([self.steps, self.trials, self.estimate, self.source, self.typed_unit])
            ],
            titles=("Type in a step test, trials, or an estimate from elsewhere",),
            selected_index=0 if steps or trials else None,
        )
        self.on_choice(self._open, self.athlete)
        self.on_choice(
            self._show, self.sport, self.steps, self.typed_unit, self.trials, self.estimate, self.source
        )
        self.on_choice(self._take_choice, self.choice)
        self.children = [
            ipywidgets.HBox([self.athlete, self.sport], layout=WRAPPED),
            ipywidgets.HBox([self.choice, self.day, self.accept_button], layout=WRAPPED),
            self.doubts,
            ipywidgets.HBox([self.standing, self.withdraw_button], layout=WRAPPED),
            self.status,
            self.typing,
            self.page,
            PageKeeper(athlete=self.athlete),
        ]
        self.guarded(self._open)(None)

    def _typed(self, name: str, example: str, value: str = "") -> ipywidgets.Text:
        """A wide field that is read when it is left."""
        field = self.field(ipywidgets.Text, name, value=value, placeholder=example, continuous_update=False)
        field.layout.width, field.layout.max_width = "54em", "100%"
        return field

    def accept(self) -> None:
        """Write the chosen value into the athlete's file.

        Raises
        ------
        RosterProblem
            When nothing is chosen, no day is given, one of that day stands, or the first threshold of that day
            is not below.
        """
        chosen, on = self._chosen(), self.day.value
        if self.found is None or chosen is None or on is None:
            raise RosterProblem("there is no value to accept, or no day from which it holds. Choose both.")
        accepted = chosen.threshold(on)
        first = self.found.athlete.threshold_on("first", on, accepted.sport)
        for doubt in threshold_doubts(first, accepted, hr_max_bpm=None):
            if doubt.name == "not above the first":
                raise RosterProblem(
                    f"{sentence(doubt)}. Choose another value, or withdraw the first threshold."
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
        said = withdraw_chosen(self._roster, self.own(), "second", self.standing.value)
        self._show()
        self.say(said)

    def _chosen(self) -> Candidate | None:
        at = self.choice.value
        return None if self.found is None or at is None else self.found.candidates[at]

    def _take_choice(self) -> None:
        """The day of the chosen value, which the coach gives where it has none, and what speaks against it."""
        chosen = self._chosen()
        self.day.value = chosen.on if chosen else None
        self.doubts.value = on_screen(doubts_about(self.found, chosen)) if self.found and chosen else ""

    def _offer(self, candidates: tuple[Candidate, ...]) -> None:
        """Let the coach choose among these values, and among the thresholds that stand."""
        standing = standing_options(self.own().athlete(), "second")

        def fill() -> None:
            self.choice.options = [
                (f"{name(c)}: {wording.heart_rate(c.hr_bpm)}", at) for at, c in enumerate(candidates)
            ]
            self.choice.value = 0 if candidates else None
            self.standing.options = standing
            self.standing.value = standing[0][1] if standing else None

        self.filling(fill)
        self._take_choice()

    def _open(self) -> None:
        """Another athlete: nothing that was typed in for the one before, and the sports of this one."""
        self.found, self.page.value = None, ""
        sports = self.own().athlete().sports
        is_another = self._shown not in (None, self.athlete.value)
        self._shown = self.athlete.value

        def fill() -> None:
            if is_another:
                for field in (self.steps, self.trials, self.estimate, self.source):
                    field.value = ""
            self.sport.options = [("that of the tests", None), *((s, s) for s in sports)]
            self.sport.value = None
            self.sport.layout.display = None if len(sports) > 1 else "none"

        self.filling(fill)
        self._show()

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
            estimate=self.estimate.value,
            source=self.source.value,
            sport=self.sport.value,
        )
        self.found = found
        self._offer(found.candidates)
        if not found.candidates:
            self.typing.selected_index = 0
        self.page.value = on_screen(second_threshold_page(found))
        self.say("")


def second_threshold_panel(
    roster: str | os.PathLike[str] | None,
    athlete: str | None = None,
    *,
    steps: str = "",
    typed_unit: LoadUnit = "km/h",
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
