"""What the panels on which a coach chooses and accepts have in common."""

import threading
import traceback
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any, TypeVar

import ipywidgets

from coachlib.errors import CoachError
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.records.athlete import Threshold
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.page.places import made_address
from coachlib.report.words import wording

#: Rows that break where the page is narrow.
WRAPPED = {"flex_flow": "row wrap"}
#: What is only looked at opens beside the page, which stays as it is.
ANEW = 'target="_blank" rel="noopener"'
AnyWidget = TypeVar("AnyWidget", bound=ipywidgets.Widget)


class ChoicePanel(ipywidgets.VBox):
    """Choices on top, the page they make beneath, and one line for what was done or could not be done.

    ``what`` names the panel; fields and their names stand in two columns of these widths.
    """

    def __init__(
        self, roster: RosterFolder, athlete: str, *, what: str, name_width: str = "9em", width: str
    ) -> None:
        self.lock = threading.RLock()
        self.errors: list[str] = []
        self._roster = roster
        self._what = what
        self._filling = False
        self._looks = {"style": {"description_width": name_width}, "layout": {"width": width}}
        self.page = ipywidgets.HTML()
        self.page.add_class("coach-evidence")
        self.status = ipywidgets.HTML()
        self.athlete = self.field(
            ipywidgets.Dropdown, "Athlete", options=athlete_names(roster), value=athlete
        )
        super().__init__([])
        self.add_class("coach-choice")

    def __repr__(self) -> str:
        """A name that is the same in every run."""
        return f"the {self._what} panel of {self.athlete.value}"

    def field(self, kind: type[AnyWidget], name: str, **options: Any) -> AnyWidget:
        """A field or a list with its name before it."""
        return kind(description=name, **options, **self._looks)

    def button(self, words: str, act: Callable[[], None], *, is_main: bool = False) -> ipywidgets.Button:
        """A button that does one thing; the main one of its page stands out."""
        made = ipywidgets.Button(description=words, layout={"width": "14em"})
        made.button_style = "primary" if is_main else ""
        made.on_click(self.guarded(act))
        return made

    def on_choice(self, act: Callable[[], None], *fields: ipywidgets.Widget) -> None:
        """Act whenever one of the fields is given another value."""
        for each in fields:
            each.observe(self.guarded(act), "value")

    def own(self) -> AthleteFolder:
        """The folder of the athlete that is chosen."""
        return self._roster.athlete(self.athlete.value).fresh()

    def say(self, sentence: str) -> None:
        """Tell the coach one thing."""
        self.status.value = on_screen(Html(f'<p role="status">{escape(sentence)}</p>' if sentence else ""))

    def say_accepted(self, threshold: Threshold) -> None:
        """Tell which threshold stands in the file now."""
        self.say(f"Accepted: {wording.threshold(threshold)}, valid from {wording.full_date(threshold.on)}.")

    def say_written(self, path: Path) -> None:
        """Tell where a sheet lies now, and lead there."""
        said = f"Written: {path.relative_to(self._roster.path)}."
        address = made_address(self.athlete.value, path.name)
        self.status.value = on_screen(
            Html(f'<p role="status">{escape(said)} <a href="{escape(address)}" {ANEW}>Open it</a></p>')
        )

    def guarded(self, act: Callable[[], None]) -> Callable[[Any], None]:
        """A callback whose failure is said on the panel: a notebook would swallow it."""

        def callback(_: Any) -> None:
            with self.lock:
                if self._filling:
                    return
                try:
                    with suppress(CoachError):  # the act itself tells what cannot be read
                        wording.speak(self.own().athlete().units)
                    act()
                except CoachError as refusal:
                    self.say(f"Not done: {refusal}")
                except Exception:
                    self.errors.append(traceback.format_exc())
                    last = self.errors[-1].strip().splitlines()[-1]
                    self.say(f"Not done: something in the program is wrong ({last}).")

        return callback

    def filling(self, fill: Callable[[], None]) -> None:
        """Set values without their callbacks answering."""
        with self.lock:
            self._filling = True
            try:
                fill()
            finally:
                self._filling = False


class StillPage:
    """The same page without anything to click."""

    def __init__(self, page: Html, name: str) -> None:
        self.page = page
        self._name = name

    def __repr__(self) -> str:
        """A name that is the same in every run."""
        return self._name

    def _repr_mimebundle_(self, **options: Any) -> dict[str, Any]:
        """Give Jupyter the page."""
        return self.page._repr_mimebundle_(**options)


def on_screen(page: Html) -> str:
    """A piece of a page with its style, for a widget."""
    return str(page._repr_mimebundle_()["text/html"]) if page else ""


def athlete_names(roster: RosterFolder) -> list[tuple[str, str]]:
    """Athletes as a list shows them: by name, and by folder where the profile cannot be read."""
    shown = []
    for slug in roster.athletes():
        try:
            shown.append((roster.athlete(slug).athlete().name, slug))
        except CoachError:
            shown.append((slug, slug))
    return shown
