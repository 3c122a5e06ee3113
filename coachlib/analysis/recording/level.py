"""Minutes 10 to 25 of one recording: what a season compares, worked out once and kept."""

from collections.abc import Iterable

import numpy as np

from coachlib.analysis.recording.output import OutputSeries, grade_of
from coachlib.measures.common.spans import Span, Stretch, inside
from coachlib.measures.recording import steady
from coachlib.measures.season.output_level import OutputLevel, output_level
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions

#: Suggestions that leave the heart rate believable; pauses are left out by themselves.
BELIEVED = frozenset({"flat", "pause"})


def level_of(
    activity: Activity,
    decisions: Decisions | None,
    output: OutputSeries | None,
    *,
    pauses: Iterable[Stretch],
    suggestions: Iterable[Span],
) -> OutputLevel | None:
    """Heart rate and output of a session's minutes 10 to 25; None where it has no output.

    Parameters
    ----------
    activity, decisions
        The recording and the coach's decisions; decisions may be missing.
    output : OutputSeries or None
        Its output, see ``analysis.recording.output``.
    pauses : stretches
        Left out, with what follows them.
    suggestions : spans
        Suggested exclusions: what is not left out is no part of the means either, *flat* ones aside.

    Source
    ------
    ``measures.season.output_level``.
    """
    if output is None:
        return None
    samples = activity.samples
    time_s = samples["time_s"].to_numpy()
    excluded = [e for e in (decisions.exclusions if decisions else ()) if e.quantity == "hr_bpm"]
    apart = inside(time_s, excluded) | inside(time_s, steady.pauses_with_settling(tuple(pauses)))
    grade = grade_of(activity, decisions)
    cadence = samples["cadence_rpm"].to_numpy()
    return output_level(
        time_s, samples["hr_bpm"].to_numpy(), output.values, ~apart, is_cycling=output.unit == "W",
        undecided=inside(time_s, [s for s in suggestions if s.reason not in BELIEVED]), cadence_rpm=cadence,
        grade=grade if np.isfinite(grade).any() else None,
    )  # fmt: skip
