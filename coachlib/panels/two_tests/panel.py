"""The panel of ``workbooks/two_tests.ipynb``: two tests to choose, the page beneath."""

import os

import ipywidgets

from coachlib.errors import CoachError, RosterProblem
from coachlib.files.roster.folder import RosterFolder, open_roster
from coachlib.jobs.field_tests.drift_tests import read_drift_tests
from coachlib.jobs.two_tests import name_of, read_pair, save_pair
from coachlib.panels.choosing.choosing import WRAPPED, ChoicePanel, StillPage, on_screen
from coachlib.panels.desk.page_keeper import PageKeeper
from coachlib.panels.recording.panel import chosen_athlete
from coachlib.report.page.blocks import Html
from coachlib.report.two_tests.page import Shown, blocks


class TwoTestsPanel(ChoicePanel):
    """Athlete and two tests to choose, the page to write; the page itself."""

    def __init__(self, roster: RosterFolder, athlete: str, recording: str | None) -> None:
        super().__init__(roster, athlete, what="two tests", name_width="7em", width="26em")
        self.shown: Shown | None = None
        self.one = self.field(ipywidgets.Dropdown, "This test")
        self.other = self.field(ipywidgets.Dropdown, "beside")
        self.write_button = self.button("Write this page", self.write)
        self._wanted = recording
        self.on_choice(self._open, self.athlete)
        self.on_choice(self._show, self.one, self.other)
        self.children = [
            ipywidgets.HBox([self.athlete, self.one, self.other, self.write_button], layout=WRAPPED),
            self.status,
            self.page,
            PageKeeper(athlete=self.athlete),
        ]
        self.guarded(self._open)(None)

    def write(self) -> None:
        """Write the page into the athlete's reports.

        Raises
        ------
        RosterProblem
            When there is nothing on the page to write.
        """
        if self.shown is None:
            raise RosterProblem("there are no two tests on this page. Choose two.")
        self.say_written(save_pair(self._roster, self.own(), self.shown))

    def _open(self) -> None:
        """Offer the athlete's tests, the newest first."""
        self.shown, self.page.value = None, ""
        found = read_drift_tests(self._roster, self.own()).tests
        names = [name_of(t) for t in sorted(found, key=lambda t: t.on, reverse=True)]
        chosen = read_pair(self._roster, self.own(), self._wanted if self._wanted in names else None)
        self._wanted = None

        def fill() -> None:
            self.one.options = self.other.options = names
            self.one.value, self.other.value = (
                name_of(t) for t in (chosen.found.later, chosen.found.earlier)
            )

        self.filling(fill)
        self._draw(chosen)

    def _show(self) -> None:
        self.shown, self.page.value = None, ""
        self._draw(read_pair(self._roster, self.own(), self.one.value, self.other.value))

    def _draw(self, shown: Shown) -> None:
        self.shown = shown
        self.page.value = on_screen(Html("".join(blocks(shown))))
        self.say("")


def two_tests_panel(
    roster: str | os.PathLike[str] | None,
    athlete: str | None = None,
    *,
    recording: str | None = None,
    beside: str | None = None,
    interactive: bool = True,
) -> TwoTestsPanel | StillPage:
    """Open two tests of one athlete side by side.

    Parameters
    ----------
    roster : path or None
        The roster's folder; None takes the one that ``COACHLIB_ROSTER`` names.
    athlete : str, optional
        Folder name or name; None takes the first with two tests of one sport.
    recording, beside : str, optional
        The tests, see ``jobs.two_tests.read_pair``.
    interactive : bool
        False gives the page without anything to click.

    Raises
    ------
    RosterProblem
        When there is no such roster, athlete or test, or nobody has two tests (without a screen).

    Examples
    --------
    ``workbooks/two_tests.ipynb`` is this function and two sentences.
    """
    folder = open_roster(roster)
    own = chosen_athlete(folder, athlete or _first_with_two(folder))
    if interactive:
        return TwoTestsPanel(folder, own.slug, recording)
    shown = read_pair(folder, own, recording, beside)
    return StillPage(Html("".join(blocks(shown))), f"two tests of {own.slug}")


def _first_with_two(folder: RosterFolder) -> str | None:
    for slug in folder.athletes():
        try:
            read_pair(folder, folder.athlete(slug))
        except CoachError:
            continue
        return slug
    return None
