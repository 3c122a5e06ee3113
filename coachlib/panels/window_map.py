"""The window map of the recording that a panel shows."""

from coachlib.panels.charts_in_lab import LabChart
from coachlib.panels.edits import main_window
from coachlib.panels.recording import RecordingPanel, StillPanel
from coachlib.report.drift_page import window_map_chart


def window_map(panel: RecordingPanel | StillPanel) -> LabChart:
    """Draw the drift of every window of the recording on the panel, under its decisions as they stand.

    Parameters
    ----------
    panel : RecordingPanel or StillPanel
        What ``recording_panel`` gave.

    Returns
    -------
    LabChart
        Shades of drift as a share of the criterion, a line where it meets it, a ring at the window in use.

    Source
    ------
    This project's own choice.

    Examples
    --------
    ``workbooks/recording.ipynb`` shows it under the trace.
    """
    subject = panel.subject
    starts_s, stops_s, drift_pct = subject.window_map()
    return LabChart(
        window_map_chart(
            starts_s,
            stops_s,
            drift_pct,
            criterion_pct=subject.criterion_pct,
            chosen=main_window(subject.state.decisions),
        )
    )
