"""One recording as a still picture: for a run without a browser, and for print."""

import numpy as np

from coachlib.panels.edits import main_window
from coachlib.panels.subject import RecordingSubject
from coachlib.report.blocks import Html
from coachlib.report.drift_page import trace_chart
from coachlib.report.renderer import svg_of
from coachlib.report.text import escape


def still_picture(subject: RecordingSubject) -> Html:
    """The trace with window, halves and what is left out, and what it shows, without anything to click.

    Parameters
    ----------
    subject : RecordingSubject
        A recording with its decisions.

    Returns
    -------
    Html
        A figure with the finding as its title.

    Source
    ------
    This project's own choice.

    Examples
    --------
    ``workbooks/recording.ipynb`` shows this when it is run with ``interactive=False``.
    """
    reading = subject.read()
    unsaved = (
        "" if subject.is_saved else " Nothing is saved for this recording yet: the window is a suggestion."
    )
    findings = "".join(f"<li>{escape(finding)}</li>" for finding in reading.findings)
    return Html(
        f"<figure><h3>{escape(reading.sentence)}</h3>{trace_svg(subject)}"
        f"<figcaption>{escape(reading.detail + unsaved)}</figcaption></figure>"
        + (f"<ul>{findings}</ul>" if findings else "")
    )


def trace_svg(subject: RecordingSubject) -> str:
    """The trace as a drawing."""
    lanes = subject.lanes()
    decisions = subject.state.decisions
    output = lanes[1] if len(lanes) > 1 and lanes[1].unit in ("W", "km/h") else None
    return svg_of(
        trace_chart(
            np.arange(float(lanes[0].values.size)),
            lanes[0].values,
            output.values if output else None,
            output_title=output.label if output else "",
            window=main_window(decisions),
            exclusions=[e for e in decisions.exclusions if e.quantity == "hr_bpm"],
            halves_bpm=subject.read().halves_bpm,
        )
    )
