"""The window map of the recording that a panel shows."""

from typing import TYPE_CHECKING

from coachlib.errors import CoachError
from coachlib.panels.recording import RecordingPanel, StillPanel

if TYPE_CHECKING:
    from coachlib.panels.charts_in_lab import LabChart
    from coachlib.report.blocks import Html


def window_map(panel: RecordingPanel | StillPanel) -> "LabChart | Html":
    """Draw the drift of every window of the recording on the panel, under its decisions as they stand.

    Parameters
    ----------
    panel : RecordingPanel or StillPanel
        What ``recording_panel`` gave.

    Returns
    -------
    LabChart or Html
        Shades of drift as a share of the criterion, a line where it meets it, a ring at the window in use;
        where the recording is too short for a map, that sentence.

    Source
    ------
    This project's own choice.

    Examples
    --------
    ``workbooks/recording.ipynb`` shows it under the trace.
    """
    # charts take two seconds to import: the panel above must not wait for them
    from coachlib.panels.charts_in_lab import LabChart
    from coachlib.panels.still import still_map
    from coachlib.report.blocks import Html
    from coachlib.report.text import escape

    try:
        return LabChart(still_map(panel.subject))
    except CoachError as refusal:
        return Html(f"<p>{escape(refusal)}</p>")
