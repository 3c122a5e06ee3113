"""Two recordings over each other: by elapsed time, and by the time spent at each heart rate."""

from collections.abc import Sequence

import altair as alt
import numpy as np
import pandas as pd

from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.report.figures.renderer import WIDTH
from coachlib.report.look.palette import ACCENT, MUTED
from coachlib.report.words import wording

#: So many beats are drawn as one.  Own choice: a day moves heart rate by as much.
BIN_BPM = 3
#: Less than this share of the longest is left out at both ends, where nearly nothing is.  Own choice.
_SHOWN_FRAC = 0.02


def over_time(earlier: JudgedRecording, later: JudgedRecording) -> alt.TopLevelMixin:
    """Heart rate by the minute of elapsed time; the window is drawn full, what lies outside thin."""
    frames = [_minutes(s, name) for s, name in _named(earlier, later)]
    low = float(min(f["bpm"].quantile(0.02) for f in frames)) - 4
    high = float(max(f["bpm"].quantile(0.995) for f in frames)) + 4
    last = max(f["minute"].max() for f in frames)
    x = alt.X(
        "minute:Q", title="minutes", scale=alt.Scale(domain=[0, last], nice=False), axis=alt.Axis(tickCount=5)
    )
    y = alt.Y(
        "bpm:Q", title="bpm", scale=alt.Scale(domain=[low, high], nice=False, zero=False, clamp=True), axis=alt.Axis(tickCount=4)
    )  # fmt: skip
    layers = []
    is_first_higher = frames[0]["bpm"].mean() > frames[1]["bpm"].mean()
    for frame, colour, is_higher in zip(
        frames, (MUTED, ACCENT), (is_first_higher, not is_first_higher), strict=True
    ):
        base = alt.Chart(frame)
        layers.append(base.mark_line(color=colour, strokeWidth=1, opacity=0.45).encode(x=x, y=y))
        layers.append(
            alt.Chart(frame[frame["inside"]]).mark_line(color=colour, strokeWidth=2.2).encode(x=x, y=y)
        )
        layers.append(
            _label(frame[frame["inside"]], colour, dy=-10 if is_higher else 14).encode(
                x=x, y=y, text="name:N"
            )
        )
    days = " and ".join(wording.day(s.on) for s in (earlier, later))
    return alt.layer(*layers).properties(
        width=WIDTH, height=190, description=f"Heart rate by the minute of {days}, over each other."
    )


def by_heart_rate(earlier: JudgedRecording, later: JudgedRecording) -> alt.TopLevelMixin:
    """Minutes at each heart rate, one outline over the other."""
    frame = pd.concat([_at_bpm(s, name) for s, name in _named(earlier, later)])
    shown = frame[frame["minutes"] >= _SHOWN_FRAC * frame["minutes"].max()]
    lowest, highest = shown["bpm"].min() - BIN_BPM, shown["bpm"].max() + BIN_BPM
    frame = frame[frame["bpm"].between(lowest, highest)]
    x = alt.X(
        "bpm:Q", title="bpm", scale=alt.Scale(domain=[lowest, highest], nice=False, zero=False), axis=alt.Axis(tickCount=6)
    )  # fmt: skip
    y = alt.Y("minutes:Q", title="minutes", axis=alt.Axis(tickCount=3))
    layers = []
    for name, colour in zip((n for _, n in _named(earlier, later)), (MUTED, ACCENT), strict=True):
        own = frame[frame["name"] == name]
        layers.append(
            alt.Chart(own).mark_area(color=colour, opacity=0.18, interpolate="step").encode(x=x, y=y)
        )
        layers.append(
            alt.Chart(own).mark_line(color=colour, strokeWidth=2, interpolate="step").encode(x=x, y=y)
        )
        top = own.loc[[own["minutes"].idxmax()]]
        layers.append(
            alt.Chart(top).mark_text(color=colour, dy=-9, fontWeight="bold").encode(x=x, y=y, text="name:N")
        )
    days = " and ".join(wording.day(s.on) for s in (earlier, later))
    return alt.layer(*layers).properties(
        width=WIDTH, height=150, description=f"Minutes at each heart rate of {days}, over each other."
    )


def median_bpm(session: JudgedRecording) -> float | None:
    """The heart rate that half of the time lay at or below; None without any. [1/min]"""
    seconds = np.asarray(session.seconds_at_bpm)
    if seconds.sum() <= 0:
        return None
    return float(np.searchsorted(np.cumsum(seconds), seconds.sum() / 2))


def _named(earlier: JudgedRecording, later: JudgedRecording) -> tuple[tuple[JudgedRecording, str], ...]:
    """Each with the name that stands at its line; two of one day by their hour."""
    if earlier.on == later.on:
        return tuple((s, f"{s.local_start:%H:%M}") for s in (earlier, later))
    names = (
        [wording.short_date(s.on) for s in (earlier, later)]
        if earlier.on.year == later.on.year
        else [f"{wording.short_date(s.on)} {s.on.year}" for s in (earlier, later)]
    )
    return tuple(zip((earlier, later), names, strict=True))


def _minutes(session: JudgedRecording, name: str) -> pd.DataFrame:
    minute = np.arange(len(session.minute_bpm)) + 0.5
    window = session.steady.window if session.steady is not None else None
    inside = np.ones(minute.size, bool)
    if window is not None:
        inside = (minute * 60 >= window.start_s) & (minute * 60 < window.stop_s)
    bpm: Sequence[float] = [np.nan if b is None else b for b in session.minute_bpm]
    return pd.DataFrame({"minute": minute, "bpm": bpm, "inside": inside, "name": name})


def _label(frame: pd.DataFrame, colour: str, *, dy: int) -> alt.Chart:
    """The line's name at its own end, on the side where the other line is not."""
    known = frame.dropna(subset=["bpm"])
    return alt.Chart(known.tail(1)).mark_text(color=colour, align="right", dy=dy, fontWeight="bold")


def _at_bpm(session: JudgedRecording, name: str) -> pd.DataFrame:
    seconds = np.asarray(session.seconds_at_bpm)
    n_bins = int(np.ceil(seconds.size / BIN_BPM))
    padded = np.zeros(n_bins * BIN_BPM)
    padded[: seconds.size] = seconds
    minutes = padded.reshape(n_bins, BIN_BPM).sum(axis=1) / 60
    return pd.DataFrame({"bpm": np.arange(n_bins) * BIN_BPM + BIN_BPM / 2, "minutes": minutes, "name": name})
