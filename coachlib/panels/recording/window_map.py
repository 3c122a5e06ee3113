"""The window map of the recording that a panel shows."""

import asyncio
from typing import TYPE_CHECKING, Any

import ipywidgets

from coachlib.errors import CoachError
from coachlib.panels.recording.panel import RecordingPanel, StillPanel

if TYPE_CHECKING:
    from coachlib.report.page.blocks import Html


def window_map(panel: RecordingPanel | StillPanel) -> "LiveMap | Html":
    """Draw the drift of every window of the recording on the panel, under its decisions as they stand.

    Parameters
    ----------
    panel : RecordingPanel or StillPanel
        What ``recording_panel`` gave.

    Returns
    -------
    LiveMap or Html
        Shades of drift as a share of the criterion with their key, a line where it meets it, a ring at the window
        in use; where the recording is too short for a map, that sentence.  Beside a panel to edit on it follows
        every edit.

    Examples
    --------
    ``workbooks/recording.ipynb`` shows it under the trace.
    """
    return LiveMap(panel) if isinstance(panel, RecordingPanel) else _drawn(panel)


class LiveMap(ipywidgets.HTML):
    """The map, drawn anew after each edit of the panel it belongs to.

    Parameters
    ----------
    panel : RecordingPanel
        Whose recording it draws.
    """

    def __init__(self, panel: RecordingPanel) -> None:
        super().__init__()
        self._panel = panel
        self._drawn_for: object = None
        self._draw()
        panel.editor.observe(self._after_the_answer, "view")

    def __repr__(self) -> str:
        """A name that is the same in every run."""
        return "the window map"

    def _after_the_answer(self, _: Any) -> None:
        """Draw once the editor's own answer is on its way: the numbers must not wait for the map."""
        try:
            asyncio.get_running_loop().call_soon(self._draw)
        except RuntimeError:
            self._draw()

    def _draw(self) -> None:
        from coachlib.panels.choosing.choosing import on_screen

        with self._panel.editor.lock:
            now = self._what_counts()
            if now == self._drawn_for:
                return
            self._drawn_for = now
            self.value = on_screen(_drawn(self._panel))

    def _what_counts(self) -> object:
        """What the map depends on; None before a recording is open."""
        try:
            subject = self._panel.subject
        except CoachError:
            return "none"
        decisions = subject.state.decisions
        return (subject.fit_path, subject.activity.part, decisions.windows, decisions.exclusions)


def _drawn(panel: RecordingPanel | StillPanel) -> "Html":
    """The map with its key, or why there is none."""
    # charts take two seconds to import: the panel above must not wait for them
    from coachlib.panels.recording.still import map_with_key
    from coachlib.report.look.text import escape
    from coachlib.report.page.blocks import Html

    try:
        return map_with_key(panel.subject)
    except CoachError as refusal:
        return Html(f"<p>{escape(refusal)}</p>")
