"""The panel of ``workbooks/first_threshold.ipynb``: a series of drift tests, the next one, and accepting."""

import os
from collections.abc import Sequence
from dataclasses import replace

import ipywidgets

from coachlib.analysis.first_threshold.accepting import Proposal, chosen_by_coach
from coachlib.analysis.first_threshold.machine import ergometer_of, machine_of, treadmill_of
from coachlib.analysis.first_threshold.series import of_sport, sports_of
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.errors import CoachError, RosterProblem
from coachlib.files.roster.folder import RosterFolder, open_roster
from coachlib.jobs.field_tests.drift_tests import DriftTests, read_drift_tests
from coachlib.jobs.sheets import against_test, next_day_of, save_protocol_sheet
from coachlib.measures.common.codes import Code
from coachlib.panels.choosing.choosing import ChoicePanel, StillPage, on_screen
from coachlib.panels.choosing.standing import standing_options, withdraw_chosen
from coachlib.panels.desk.page_keeper import PageKeeper
from coachlib.panels.first_threshold.elsewhere import EstimateFields
from coachlib.panels.first_threshold.machine import MachineFields
from coachlib.panels.first_threshold.page import (
    SeriesPage,
    name_of_test,
    recent_sessions,
    series_page,
    today_of,
)
from coachlib.panels.recording.panel import chosen_athlete
from coachlib.records.machine import Ergometer, Machine, Treadmill
from coachlib.report.first_threshold.accepting_view import (
    no_test_yet,
    note_of,
    offered_words,
    standing_thresholds,
)
from coachlib.report.first_threshold.next_test_view import next_settings
from coachlib.report.words import wording
from coachlib.report.words.machine_words import grid_of, kind_of

OUTDOORS, BELT, WATTS = "heart rate only", "treadmill", "power"


class FirstThresholdPanel(ChoicePanel):
    """Choices and what the series says side by side with accepting it; the evidence and the rest beneath."""

    def __init__(self, roster: RosterFolder, athlete: str, criterion_pct: float) -> None:
        super().__init__(roster, athlete, what="threshold", width="26em")
        self._sessions: tuple[JudgedRecording, ...] = ()
        self._today = today_of(roster)
        self._against: tuple[Code, ...] = ()
        self._known: DriftTests | None = None
        self._typed_for = athlete
        self.shown: SeriesPage | None = None
        self.sport = self.field(ipywidgets.Dropdown, "Sport", options=[])
        self.criterion = self.field(
            ipywidgets.BoundedFloatText, "Criterion, %", value=criterion_pct, min=1, max=15, step=0.5
        )
        self.machine = self.field(ipywidgets.Dropdown, "Next test by", options=[BELT, WATTS, OUTDOORS])
        self.tests = self.field(ipywidgets.SelectMultiple, "Tests that count", rows=4)
        self.estimate = ipywidgets.HTML(layout={"flex": "1 1 24em"})
        self.value = self.field(ipywidgets.BoundedFloatText, "Accept, bpm", min=30, max=250, step=1)
        self.day = self.field(ipywidgets.DatePicker, "Valid from")
        self.accept_button = self.button("Accept this threshold", self.accept, is_main=True)
        self.standing = self.field(ipywidgets.Dropdown, "Accepted")
        self.withdraw_button = self.button("Withdraw it", self.withdraw)
        self.sheet_button = self.button("Write the protocol sheet", self.write_sheet)
        self.keep_button = self.button("Keep this machine", self.keep_machine)
        self.accept_estimate_button = self.button("Accept the estimate", self.accept_estimate)
        self.elsewhere = EstimateFields(self.accept_estimate_button)
        self.grid = MachineFields(on_change=self.guarded(self._show), keep=self.keep_button)
        self.on_choice(self._open, self.athlete)
        self.on_choice(self._take_sport, self.sport)
        self.on_choice(self._show, self.criterion, self.tests)
        self.on_choice(self._take_machine, self.machine)
        acting = ipywidgets.VBox(
            [
                self.athlete, self.sport, self.criterion, self.tests, self.value, self.day, self.accept_button,
                self.machine, self.sheet_button, self.standing, self.withdraw_button, self.status,
            ]
        )  # fmt: skip
        beside = ipywidgets.HBox([acting, self.estimate], layout={"flex_flow": "row wrap"})
        self.children = [beside, self.elsewhere, self.grid, self.page, PageKeeper(athlete=self.athlete)]
        self.guarded(self._open)(None)

    def say(self, sentence: str) -> None:
        """Tell the coach one thing, also beside the machine's fields, which lie far above the foot of the page."""
        super().say(sentence)
        planned = f"The next test: {next_settings(self.shown.series)}." if self.shown is not None else ""
        self.grid.answer.value = sentence or planned

    def accept(self) -> None:
        """Write the threshold into the athlete's file.

        Raises
        ------
        RosterProblem
            When there is nothing to accept, or one of that day stands.
        UnfitTest
            When the tests do not allow this value.
        """
        page, on = self._page(), self.day.value
        if on is None:
            raise RosterProblem("a threshold needs the day from which it holds; none is given. Choose one.")
        chosen = chosen_by_coach(page.proposal, hr_bpm=float(self.value.value), on=on)
        if chosen.threshold is None:  # refused above
            return
        accepted = chosen.threshold.model_copy(update={"note": note_of(chosen)})
        self.own().accept_threshold(accepted)
        self._open()
        self.say(f"Accepted: {offered_words(chosen)}, valid from {wording.full_date(accepted.on)}.")

    def accept_estimate(self) -> None:
        """Write an estimate from elsewhere into the athlete's file.

        Raises
        ------
        RosterProblem
            When something is missing, or a threshold of that day stands.
        BadArgument
            When what was typed cannot be true.
        """
        accepted = self.elsewhere.threshold(self.own().athlete(), self.sport.value or None)
        self.own().accept_threshold(accepted)
        self._open()
        self.say_accepted(accepted)

    def withdraw(self) -> None:
        """Withdraw the accepted threshold that is chosen; it stays in the file for the record.

        Raises
        ------
        RosterProblem
            When none is chosen.
        """
        said = withdraw_chosen(self._roster, self.own(), "first", self.standing.value)
        self._open()
        self.say(said)

    def keep_machine(self) -> None:
        """Note in the athlete's file what the machine can be set to.

        Raises
        ------
        RosterProblem
            When there is no machine, or none can be like that.
        """
        machine = self.grid.machine
        if machine is None or self._known is None:
            raise RosterProblem("there is no machine to note. Choose one under Next test by.")
        self.own().keep_machine(machine)
        self._known = replace(self._known, athlete=self.own().athlete())
        # kept it is, also where there is no series to show
        self.guarded(self._show)(None)
        self.say(f"Kept: {self._known.athlete.name}'s {kind_of(machine)} has {grid_of(machine)}.")

    def write_sheet(self) -> None:
        """Write the protocol sheet of the next test for the athlete."""
        page = self._page()
        self.say_written(save_protocol_sheet(self._roster, self.own(), page.series, against=page.against))

    def _page(self) -> SeriesPage:
        if self.shown is None:
            raise RosterProblem("there is no series on this page yet. Choose an athlete with a drift test.")
        return self.shown

    def _open(self) -> None:
        """Read the athlete's tests and show them."""
        self.shown = None
        self._known = None
        self.page.value = self.estimate.value = ""
        self.say("")
        known = read_drift_tests(self._roster, self.own())
        sports = list(sports_of(known.tests)) or list(known.athlete.sports) or [""]
        if self.athlete.value != self._typed_for:
            self._typed_for = self.athlete.value
            self.elsewhere.empty()

        def fill() -> None:
            self.sport.options = [(sport.replace("_", " ") or "not told", sport) for sport in sports]
            self.sport.value = sports[0]
            self.standing.options = standing = standing_options(known.athlete, "first")
            self.standing.value = standing[0][1] if standing else None
            self.withdraw_button.disabled = not standing
            _offered((self.standing, self.withdraw_button), there=bool(standing))

        self.filling(fill)
        self._known = known
        self._sessions = recent_sessions(self._roster, self.own())
        day = self._today or next_day_of(self._roster, self.own())
        self._against = against_test(self._roster, self.own(), day)
        self._take_sport()

    def _take_sport(self) -> None:
        """The tests of a sport, and the machine of the last one."""
        known = self._known
        if known is None:
            return
        own, _ = of_sport(known.tests, self.sport.value or "")
        machine, names = machine_of(known.athlete, own), [name_of_test(t) for t in own]

        def fill() -> None:
            self.tests.options, self.tests.value = names, names
            self.machine.value = (
                WATTS
                if isinstance(machine, Ergometer)
                else BELT
                if isinstance(machine, Treadmill)
                else OUTDOORS
            )
            self.grid.show(machine)

        self.filling(fill)
        self._show()

    def _take_machine(self) -> None:
        """Another kind of machine, as it is noted."""
        if self._known is not None:
            athlete = self._known.athlete
            kinds: dict[str, Machine] = {BELT: treadmill_of(athlete), WATTS: ergometer_of(athlete)}
            self.grid.show(kinds.get(self.machine.value))
            self._show()

    def _show(self) -> None:
        """Make the page anew from the choices."""
        known = self._known
        if known is None:
            return
        machine = self.grid.machine
        self.grid.tell(machine)
        self.shown = None
        self.page.value = self.estimate.value = ""
        self.accept_button.disabled = self.sheet_button.disabled = True
        has_tests = bool(of_sport(known.tests, self.sport.value or "")[0])
        of_tests = (self.criterion, self.tests, self.value, self.day, self.accept_button, self.sheet_button)
        _offered(of_tests, there=has_tests)
        if not has_tests:
            self._show_without_tests(known)
            return
        self.shown = series_page(
            known,
            sport=self.sport.value or "",
            today=self._today,
            criterion_pct=float(self.criterion.value),
            machine=machine,
            against=self._against,
            sessions=self._sessions,
            left_out=tuple(n for n in self.tests.options if n not in self.tests.value),
        )
        self.estimate.value = on_screen(self.shown.estimate())
        self.page.value = on_screen(self.shown.evidence())
        self._offer(self.shown.proposal)
        self.say("")

    def _show_without_tests(self, known: DriftTests) -> None:
        """What there is before the first test: an estimate from elsewhere, and what was accepted."""
        self.estimate.value = on_screen(no_test_yet(known.athlete))
        self.page.value = on_screen(standing_thresholds(known.athlete, "first"))
        self.elsewhere.selected_index = 0
        self.say("")

    def _offer(self, proposed: Proposal) -> None:
        """Set what can be accepted beside its button."""
        self.sheet_button.disabled = False
        threshold = proposed.threshold
        self.accept_button.disabled = threshold is None
        self.value.disabled = threshold is None or proposed.is_bound
        offered = offered_words(proposed) if proposed.is_bound else "this threshold"
        self.accept_button.description = f"Accept {offered}"
        if threshold is None:
            return

        def fill() -> None:
            self.value.value, self.day.value = threshold.hr_bpm, threshold.on

        self.filling(fill)


def _offered(fields: Sequence[ipywidgets.Widget], *, there: bool) -> None:
    """Offer fields, or hide those that there is nothing for."""
    for each in fields:
        each.layout.display = None if there else "none"


def first_threshold_panel(
    roster: str | os.PathLike[str] | None,
    athlete: str | None = None,
    *,
    sport: str | None = None,
    criterion_pct: float | None = None,
    leave_out: str = "",
    interactive: bool = True,
) -> FirstThresholdPanel | StillPage:
    """Open one athlete's series of drift tests.

    Parameters
    ----------
    roster : path or None
        The roster's folder; None takes the one that ``COACHLIB_ROSTER`` names.
    athlete : str, optional
        Folder name or name; None takes the athlete with the most drift tests.
    sport : str, optional
        Which sport's tests, for a run without a screen; None takes the sport with most tests.
    criterion_pct : float, optional
        Drift over an hour that marks the threshold; None takes the roster's. [%]
    leave_out : str
        Names of tests to leave out, with commas between, for a run without a screen.
    interactive : bool
        False gives the page without anything to click.

    Raises
    ------
    RosterProblem
        When there is no such roster or athlete.
    TooLittleData
        When the athlete has no drift test.

    Examples
    --------
    ``workbooks/first_threshold.ipynb`` is this function and two sentences.
    """
    folder = open_roster(roster)
    own = chosen_athlete(folder, athlete or _most_tested(folder))
    criterion = folder.settings.criterion_pct if criterion_pct is None else criterion_pct
    if interactive:
        return FirstThresholdPanel(folder, own.slug, criterion)
    known = read_drift_tests(folder, own)
    sports = sports_of(known.tests)
    chosen = sport or (sports[0] if sports else "")
    page = series_page(
        known,
        sport=chosen,
        today=today_of(folder),
        criterion_pct=criterion,
        machine=machine_of(known.athlete, of_sport(known.tests, chosen)[0]),
        sessions=recent_sessions(folder, own),
        against=against_test(folder, own, today_of(folder) or next_day_of(folder, own)),
        left_out=tuple(name.strip() for name in leave_out.split(",") if name.strip()),
    )
    return StillPage(page.html(), f"the thresholds of {own.slug}")


def _most_tested(folder: RosterFolder) -> str | None:
    """The athlete with the most drift tests, so that the page opens on something."""
    counted = []
    for slug in folder.athletes():
        try:
            counted.append((len(read_drift_tests(folder, folder.athlete(slug)).tests), slug))
        except CoachError:
            continue
    return max(counted, key=lambda c: c[0])[1] if counted else None
