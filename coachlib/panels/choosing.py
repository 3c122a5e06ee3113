"""What the panels on which a coach chooses and accepts have in common."""

import threading
import traceback
from collections.abc import Callable
from typing import Any

import ipywidgets

from coachlib.errors import CoachError
from coachlib.files.folder import RosterFolder
from coachlib.report.blocks import Html
from coachlib.report.text import escape


class ChoicePanel(ipywidgets.VBox):
    """Choices on top, the page they make beneath, and one line for what was done or could not be done."""

    def __init__(self) -> None:
        self.lock = threading.RLock()
        self.errors: list[str] = []
        self._filling = False
        self.page = ipywidgets.HTML()
        self.status = ipywidgets.HTML()
        super().__init__([])

    def say(self, sentence: str) -> None:
        """Tell the coach one thing."""
        self.status.value = on_screen(Html(f'<p role="status">{escape(sentence)}</p>' if sentence else ""))

    def guarded(self, act: Callable[[], None]) -> Callable[[Any], None]:
        """A callback whose failure is said on the panel: a notebook would swallow it."""

        def callback(_: Any) -> None:
            with self.lock:
                if self._filling:
                    return
                try:
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
