"""The drawing of the second threshold: every method's value on one axis of heart rate."""

from collections.abc import Sequence
from typing import Any

import altair as alt
import pandas as pd

from coachlib.analysis.first_threshold.consistency import Value
from coachlib.records.athlete import Threshold
from coachlib.report.figures.drift_charts import WIDTH
from coachlib.report.look.palette import ACCENT, INK, MUTED, WARM

#: Room for one method. [px]
ROW_PX = 30
#: Room for the names before the axis. [px]
NAMES_PX = 265
#: Beats beyond the outermost value. [1/min]
MARGIN_BPM = 4


def spread_chart(
    values: Sequence[tuple[str, Value]], accepted: Threshold | None, first: Threshold | None
) -> alt.TopLevelMixin:
    """A row a method: its value as a dot, its interval as a line; what is accepted as upright lines.

    Parameters
    ----------
    values : sequence of (str, Value)
        Name and value of each method, one at least.
    accepted, first : Threshold or None
        The second and the first threshold that hold now.
    """
    frame = pd.DataFrame(
        [
            {
                "name": name,
                "bpm": t.hr_bpm,
                "low": t.hr_bpm if t.hr_low_bpm is None else t.hr_low_bpm,
                "high": t.hr_bpm if t.hr_high_bpm is None else t.hr_high_bpm,
                "said": f"{t.hr_bpm:.0f}",
            }
            for name, t in values
        ]
    )
    marked: list[tuple[float, str, str, dict[str, Any]]] = [
        (t.hr_bpm, said, colour, side)
        for t, said, colour, side in (
            (first, "first threshold", MUTED, {"align": "right", "dx": 4}),
            (accepted, "accepted", WARM, {"align": "left", "dx": -4}),
        )
        if t is not None
    ]
    known = [frame["low"].min(), frame["high"].max(), *(bpm for bpm, *_ in marked)]
    domain = [min(known) - MARGIN_BPM, max(known) + MARGIN_BPM]
    beats = alt.X(
        "bpm:Q",
        scale=alt.Scale(domain=domain, nice=False, zero=False),
        title="bpm",
        axis=alt.Axis(tickMinStep=5, tickCount=6),
    )
    rows = alt.Y(
        "name:N",
        sort=list(frame["name"]),
        title=None,
        axis=alt.Axis(
            domain=False, ticks=False, labelLimit=NAMES_PX, labelAlign="left", labelPadding=NAMES_PX - 8
        ),
    )
    base = alt.Chart(frame)
    layers: list[alt.Chart] = []
    for bpm, said, colour, side in marked:
        mark = pd.DataFrame({"bpm": [bpm], "said": [f"{said} {bpm:.0f}"]})
        layers += [
            alt.Chart(mark).mark_rule(color=colour, strokeWidth=1.5, strokeDash=[5, 3]).encode(x=beats),
            alt.Chart(mark)
            .mark_text(color=colour, baseline="bottom", dy=-3, **side)
            .encode(x=beats, y=alt.value(0), text="said:N"),
        ]
    layers += [
        base.mark_rule(color=INK, strokeWidth=1.2).encode(x=alt.X("low:Q", title="bpm"), x2="high:Q", y=rows),
        base.mark_point(color=ACCENT, size=75, shape="circle", opacity=1).encode(x=beats, y=rows),
        base.mark_text(color=INK, fontSize=11, dx=0, dy=-10).encode(x=beats, y=rows, text="said:N"),
    ]
    points = "; ".join(f"{name} {t.hr_bpm:.0f} bpm" for name, t in values)
    lines = "; ".join(f"{said} {bpm:.0f} bpm" for bpm, said, *_ in marked)
    return alt.layer(*layers).properties(
        width=WIDTH - NAMES_PX,
        height=max(ROW_PX * len(frame), 60),
        description=f"Second threshold by each method: {points}." + (f" {lines}." if lines else ""),
    )
