"""One recording as a still picture: for a run without a browser, and for print."""

import altair as alt
import numpy as np

from coachlib.analysis.recording.judge import main_window
from coachlib.errors import TooLittleData
from coachlib.measures.drift_test.drift import MIN_MAP_WINDOW_S
from coachlib.panels.recording.subject import RecordingSubject
from coachlib.panels.recording.verdict import Reading
from coachlib.report.figures.drift_charts import (
    trace_chart,
    window_map_chart,
    window_map_key,
)
from coachlib.report.figures.renderer import svg_of
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html, wide_figure
from coachlib.report.words import wording


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

    Examples
    --------
    ``workbooks/recording.ipynb`` shows this when it is run with ``interactive=False``.
    """
    reading = subject.read()
    unsaved = (
        "" if subject.is_saved else " Nothing is saved for this recording yet: the window is a suggestion."
    )
    figure = wide_figure(
        still_trace(subject, reading), title=reading.sentence, caption=reading.detail + unsaved
    )
    findings = "".join(f"<li>{escape(finding)}</li>" for finding in reading.findings)
    return Html(figure + (f"<ul>{findings}</ul>" if findings else ""))


def still_trace(subject: RecordingSubject, reading: Reading) -> alt.TopLevelMixin:
    """The trace as a chart."""
    lanes = subject.lanes()
    decisions = subject.state.decisions
    output = lanes[1] if len(lanes) > 1 and lanes[1].unit in ("W", wording.speed_unit()) else None
    return trace_chart(
        np.arange(float(lanes[0].values.size)),
        lanes[0].values,
        output.values if output else None,
        output_title=output.label if output else "",
        window=main_window(decisions),
        exclusions=[e for e in decisions.exclusions if e.quantity == "hr_bpm"],
        halves_bpm=reading.halves_bpm,
    )


def map_with_key(subject: RecordingSubject) -> Html:
    """The window map, and what its shades, its line and its ring mean."""
    return Html(
        f'<figure class="map">{svg_of(still_map(subject))}{window_map_key(subject.criterion_pct)}</figure>'
    )


def still_map(subject: RecordingSubject) -> alt.TopLevelMixin:
    """The window map as a chart.

    Raises
    ------
    TooLittleData
        When the recording holds no window long enough.
    """
    starts_s, stops_s, drift_pct = subject.window_map()
    if starts_s.size < 2:
        raise TooLittleData(
            f"a window map needs a recording of more than {MIN_MAP_WINDOW_S / 60:.0f} min; this one has "
            f"{subject.state.frame.length_s / 60:.0f} min."
        )
    return window_map_chart(
        starts_s,
        stops_s,
        drift_pct,
        criterion_pct=subject.criterion_pct,
        chosen=main_window(subject.state.decisions),
    )
