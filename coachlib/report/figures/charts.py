"""The letter's charts.  Each takes results and gives an Altair chart with a description; nothing is computed here."""

import altair as alt
import pandas as pd

from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.week.week import ZoneTime
from coachlib.measures.drift_test.drift import HeartRateDrift
from coachlib.report.figures.renderer import WIDTH
from coachlib.report.look.palette import ACCENT, FIELD, GREY, INK, MUTED, ZONES
from coachlib.report.words import wording

#: Room for one zone in the bar chart. [px]
ROW_PX = 44


def zone_bars(times: tuple[ZoneTime, ...]) -> alt.TopLevelMixin:
    """Minutes in each zone, with a mark where a usual week lies."""
    frame = pd.DataFrame(
        {
            "zone": [zone_label(t) for t in times],
            "minutes": [t.minutes for t in times],
            "usual": [t.usual_minutes for t in times],
            "said": [f"{t.minutes:.0f} min" for t in times],
            "end": [max(t.minutes, t.usual_minutes or 0.0) for t in times],
        }
    )
    order = list(frame["zone"])
    top = max(frame["minutes"].max(), frame["usual"].fillna(0).max(), 1.0)
    length = alt.Scale(domain=[0, top * 1.22], nice=False)
    rows = alt.Y("zone:N", sort=order, title=None, axis=None)
    shades = alt.Scale(domain=order, range=list(ZONES[: len(order)]))
    base = alt.Chart(frame)
    names = base.mark_text(align="left", baseline="bottom", dy=-4, color=MUTED).encode(
        x=alt.value(0), y=rows, text="zone:N"
    )
    bars = base.mark_bar(height=13, yOffset=6).encode(
        x=alt.X("minutes:Q", scale=length, title=None, axis=None),
        y=rows,
        color=alt.Color("zone:N", scale=shades),
    )
    said = base.mark_text(align="left", dx=6, dy=6, color=INK).encode(x="end:Q", y=rows, text="said:N")
    layers = [names, bars, said]
    if frame["usual"].notna().any():
        layers.append(
            base.mark_tick(color=INK, thickness=2, height=19, yOffset=6).encode(
                x="usual:Q", y=rows, opacity=alt.value(0.75)
            )
        )
    said_all = "; ".join(f"{z} {m}" for z, m in zip(frame["zone"], frame["said"], strict=True))
    return alt.layer(*layers).properties(
        width=WIDTH, height=ROW_PX * len(order), description=f"Minutes in each zone this week: {said_all}."
    )


def zone_label(time: ZoneTime) -> str:
    """A zone's name with its limits."""
    if time.low_bpm is None or time.low_bpm <= 0:
        return f"{time.name}, up to {time.high_bpm} bpm"
    if time.high_bpm is None:
        return f"{time.name}, from {time.low_bpm} bpm"
    return f"{time.name}, {time.low_bpm} to {time.high_bpm} bpm"


def steady_trace(session: JudgedRecording, result: HeartRateDrift) -> alt.TopLevelMixin:
    """Heart rate by the minute, the window's two halves and their means."""
    frame = pd.DataFrame(
        {"minute": [m + 0.5 for m in range(len(session.minute_bpm))], "bpm": session.minute_bpm}
    )
    start, stop = result.start_s / 60, result.stop_s / 60
    middle = (start + stop) / 2
    halves = pd.DataFrame(
        {
            "from": [start, middle],
            "to": [middle, stop],
            "mean": [result.first_half_bpm, result.second_half_bpm],
            "said": [wording.heart_rate(result.first_half_bpm), wording.heart_rate(result.second_half_bpm)],
        }
    )
    inside = frame[(frame["minute"] >= start) & (frame["minute"] < stop)]
    low = min(inside["bpm"].min(), result.first_half_bpm) - 8
    high = max(inside["bpm"].max(), result.second_half_bpm) + 8
    frame["bpm"] = frame["bpm"].where(frame["bpm"].between(low, high))
    beats = alt.Scale(domain=[low, high], nice=False, zero=False)
    y = alt.Y("bpm:Q", scale=beats, title="bpm", axis=alt.Axis(tickCount=4))
    x = alt.X(
        "minute:Q",
        title="minutes",
        scale=alt.Scale(domain=[0, max(len(frame), stop)], nice=False),
        axis=alt.Axis(tickCount=4),
    )
    field = alt.Chart(halves).mark_rect(color=FIELD, opacity=0.45).encode(x="from:Q", x2="to:Q")
    line = alt.Chart(frame).mark_line(color=GREY, strokeWidth=1.5).encode(x=x, y=y)
    means = (
        alt.Chart(halves).mark_rule(color=ACCENT, strokeWidth=2.5).encode(x="from:Q", x2="to:Q", y="mean:Q")
    )
    said = (
        alt.Chart(halves)
        .transform_calculate(at="(datum.from + datum.to) / 2")
        .mark_text(dy=-16, color=ACCENT, fontWeight="bold")
        .encode(x="at:Q", y="mean:Q", text="said:N")
    )
    return alt.layer(field, line, means, said).properties(
        width=WIDTH,
        height=170,
        description=(
            f"Heart rate by the minute on {wording.day(session.on)}; mean {halves['said'][0]} in the first half "
            f"of the window, {halves['said'][1]} in the second."
        ),
    )
