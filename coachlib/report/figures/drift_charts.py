"""Charts of one recording for print and for a run without a screen: the trace, and the window map."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from coachlib.measures.common.spans import Stretch, inside
from coachlib.measures.drift_test.drift import scaled_criterion_pct
from coachlib.report.look.palette import ACCENT, INK, MUTED, PAPER, WARM, ZONES
from coachlib.report.words import wording

#: Width of these charts' plots; with its axis one fills a page's column. [px]
WIDTH = 560
_CLOCK = "floor(datum.value / 3600) + ':' + format(floor(datum.value % 3600 / 60), '02d')"
#: Drift as a share of the criterion at which the map's shade changes: 1 is the criterion itself.
_SHADES = (0.0, 0.5, 1.0, 1.5)


def trace_chart(
    time_s: np.ndarray,
    hr_bpm: np.ndarray,
    output: np.ndarray | None,
    *,
    output_title: str,
    window: Stretch | None,
    exclusions: Sequence[Stretch],
    halves_bpm: tuple[float, float] | None,
) -> alt.TopLevelMixin:
    """Heart rate with its window, halves and what is left out, and the output beneath on the same axis.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        Elapsed time. [s]
    hr_bpm : ndarray, shape (n,)
        Heart rate; NaN where the sensor gave nothing. [1/min]
    output : ndarray, shape (n,), or None
        Speed or power as it is to be written on its axis.
    output_title : str
        Its name with the unit.
    window : Stretch or None
        The window; its middle is drawn with the two half means.
    exclusions : sequence of Stretch
        What is left out.
    halves_bpm : tuple of float or None
        The two half means. [1/min]

    Notes
    -----
    Each column of pixels shows its lowest and highest value, so that no spike
    is averaged away.

    Examples
    --------
    >>> t = np.arange(600.0)
    >>> bare = {"output_title": "", "window": None, "exclusions": (), "halves_bpm": None}
    >>> chart = trace_chart(t, 140 + 0 * t, None, **bare)
    >>> chart.to_dict()["description"]
    'Heart rate over 10 min.'
    """
    span = alt.Scale(domain=[0, float(time_s[-1])], nice=False)
    low, high = _beats_shown(time_s, hr_bpm, exclusions)
    beats = alt.Scale(domain=[low, high], nice=False, zero=False, clamp=True)
    y = alt.Y("value:Q", scale=beats, title="Heart rate, bpm")
    bottom = output is None
    fields = []
    if window is not None:
        field = pd.DataFrame({"start": [window.start_s], "stop": [window.stop_s]})
        fields.append(
            alt.Chart(field).mark_rect(color=ACCENT, opacity=0.1).encode(x=_time(span, bottom), x2="stop:Q")
        )
    if exclusions:
        gone = pd.DataFrame(
            {"start": [e.start_s for e in exclusions], "stop": [e.stop_s for e in exclusions]}
        )
        fields.append(
            alt.Chart(gone).mark_rect(color=WARM, opacity=0.35).encode(x=_time(span, bottom), x2="stop:Q")
        )
    line = alt.Chart(_extremes(time_s, hr_bpm)).mark_line(color=INK, strokeWidth=1)
    layers = [*fields, line.encode(x=_time(span, bottom), y=y)]
    if window is not None and halves_bpm is not None:
        layers += _halves(window, halves_bpm, span, beats, bottom)
    heart = alt.layer(*layers).properties(width=WIDTH, height=190)
    description = _described(time_s, window, exclusions, halves_bpm)
    if output is None:
        return heart.properties(description=description)
    lane = alt.Chart(_extremes(time_s, output)).mark_line(color=MUTED, strokeWidth=1)
    lane = lane.encode(
        x=_time(span, True),
        y=alt.Y("value:Q", title=output_title, scale=_room(output), axis=alt.Axis(tickCount=2)),
    )
    return alt.vconcat(heart, lane.properties(width=WIDTH, height=52), spacing=26).properties(
        description=description
    )


def window_map_chart(
    starts_s: np.ndarray,
    stops_s: np.ndarray,
    drift_pct: np.ndarray,
    *,
    criterion_pct: float,
    chosen: Stretch | None,
) -> alt.TopLevelMixin:
    """Drift of every window by its start and end, with a contour where it meets the criterion.

    Parameters
    ----------
    starts_s, stops_s : ndarray, shape (n,) and (m,)
        Even grids of starts and ends. [s]
    drift_pct : ndarray, shape (n, m)
        Drift; NaN where the window is too short or too empty. [%]
    criterion_pct : float
        The criterion of a 60-minute window; shorter windows are held against their share. [%]
    chosen : Stretch or None
        The window in use, drawn as a ring.

    Examples
    --------
    >>> grid = np.arange(3) * 600.0
    >>> chart = window_map_chart(grid, grid + 3600, np.full((3, 3), 1.0), criterion_pct=5.0, chosen=None)
    >>> chart.to_dict()["description"]
    'Drift of 9 windows by start and end: 1.0 to 1.0 %.'
    """
    cells = _cells(starts_s, stops_s, drift_pct, criterion_pct)
    x = alt.X(
        "start:Q",
        title="start of the window, h:mm",
        axis=alt.Axis(labelExpr=_CLOCK, values=_ticks(starts_s)),
        scale=alt.Scale(domain=_edges(starts_s), nice=False),
    )
    y = alt.Y(
        "stop:Q",
        title="end of the window, h:mm",
        axis=alt.Axis(labelExpr=_CLOCK, values=_ticks(stops_s)),
        scale=alt.Scale(domain=_edges(stops_s), nice=False),
    )
    said = [alt.Tooltip("window:N", title="window"), alt.Tooltip("said:N", title="drift")]
    shade = alt.Color("share:Q", scale=alt.Scale(type="threshold", domain=list(_SHADES), range=list(ZONES)))
    layers = [
        alt.Chart(cells)
        .mark_rect()
        .encode(x=x, x2="start_to:Q", y=y, y2="stop_to:Q", color=shade, tooltip=said)
    ]
    contour = _contour(starts_s, stops_s, drift_pct, criterion_pct)
    if len(contour):
        layers.append(
            alt.Chart(contour)
            .mark_rule(color=WARM, strokeWidth=2.5)
            .encode(x=x, x2="start_to:Q", y=y, y2="stop_to:Q")
        )
    if chosen is not None:
        ring = pd.DataFrame({"start": [chosen.start_s], "stop": [chosen.stop_s]})
        layers.append(
            alt.Chart(ring).mark_point(filled=False, size=130, strokeWidth=2.5, color=INK).encode(x=x, y=y)
        )
    finite = drift_pct[np.isfinite(drift_pct)]
    told = (
        f"{wording.minus(finite.min(), 1)} to {wording.minus(finite.max(), 1)} %"
        if finite.size
        else "none long enough"
    )
    return alt.layer(*layers).properties(
        width=WIDTH, height=240, description=f"Drift of {finite.size} windows by start and end: {told}."
    )


def window_map_key(criterion_pct: float) -> str:
    """What the map's shades, line and ring mean, in the order of the shades.

    Examples
    --------
    >>> window_map_key(5.0).count("<li>")
    7
    """
    ends = [wording.minus(share * criterion_pct, 1) for share in _SHADES]
    said = [f"below {ends[0]} %", *(f"{a} to {b} %" for a, b in pairwise(ends)), f"above {ends[-1]} %"]
    patch = "display:inline-block;width:1em;height:.8em;margin-right:.4em"
    shades = [
        f'<li><span class="z{i}" style="{patch}"></span>{words}</li>' for i, words in enumerate(said, 1)
    ]
    signs = [
        f'<li><span style="{patch};height:0;border-top:2.5px solid var(--warm);vertical-align:.25em"></span>'
        f"where the drift meets {wording.minus(criterion_pct, 1)} % an hour</li>",
        f'<li><span style="{patch};width:.8em;border:2px solid var(--ink);border-radius:50%"></span>'
        "the window in use</li>",
    ]
    style = (
        "list-style:none;padding:0;display:flex;flex-wrap:wrap;gap:.2em 1.2em;font:.875rem/1.5 var(--sans)"
    )
    return f'<ul style="{style}" aria-label="Key">{"".join([*shades, *signs])}</ul>'


def _time(span: alt.Scale, labelled: bool) -> alt.X:
    """The time axis; only the lowest lane writes its times."""
    axis = alt.Axis(
        labelExpr=_CLOCK, labels=labelled, ticks=labelled, tickMinStep=300, values=_ticks(span.domain)
    )
    return alt.X("start:Q", scale=span, title="h:mm" if labelled else None, axis=axis)


def _ticks(ends: Sequence[float] | np.ndarray) -> list[float]:
    """Times on whole steps of minutes, at most about ten."""
    first, last = float(ends[0]), float(ends[-1])
    step = next(s for s in (60, 120, 300, 600, 900, 1800, 3600, 7200, 1e9) if (last - first) / s <= 10)
    return [float(t) for t in np.arange(np.ceil(first / step) * step, last + 1, step)]


def _extremes(time_s: np.ndarray, values: np.ndarray) -> pd.DataFrame:
    """Lowest and highest value of each pixel column, in the order of time; an empty column breaks the line."""
    column = (time_s / (time_s[-1] or 1.0) * WIDTH).astype(int)
    known = np.flatnonzero(np.isfinite(values))
    ordered = known[np.lexsort((values[known], column[known]))]
    starts = np.flatnonzero(np.diff(column[ordered], prepend=-1))
    stops = np.append(starts[1:], ordered.size) - 1
    empty = np.setdiff1d(column, column[known])
    rows = np.union1d(ordered[np.union1d(starts, stops)], np.searchsorted(column, empty)).astype(int)
    return pd.DataFrame({"start": time_s[rows], "value": values[rows]})


def _beats_shown(
    time_s: np.ndarray, hr_bpm: np.ndarray, exclusions: Sequence[Stretch]
) -> tuple[float, float]:
    """The heart rates the axis reaches: what counts, with room; what is left out may leave the axis."""
    counted = hr_bpm[np.isfinite(hr_bpm) & ~inside(time_s, exclusions)]
    if counted.size == 0:
        return 40.0, 200.0
    return float(np.quantile(counted, 0.004)) - 4, float(np.quantile(counted, 0.998)) + 10


def _room(output: np.ndarray) -> alt.Scale:
    """The axis of the output, wide enough that one steady setting lies in its middle."""
    known = output[np.isfinite(output)]
    low, high = np.quantile(known, [0.004, 0.996]) if known.size else (0.0, 1.0)
    spare = max(0.1 * (high - low), 0.08 * abs(high), 0.1)
    return alt.Scale(domain=[float(low - spare), float(high + spare)], nice=False, zero=False, clamp=True)


def _halves(
    window: Stretch, halves_bpm: tuple[float, float], span: alt.Scale, beats: alt.Scale, labelled: bool
) -> list[alt.Chart]:
    """The middle of the window, and the mean of each half written on it."""
    middle = (window.start_s + window.stop_s) / 2
    means = pd.DataFrame(
        {
            "start": [window.start_s, middle],
            "stop": [middle, window.stop_s],
            "value": halves_bpm,
            "said": [f"{mean:.1f} bpm" for mean in halves_bpm],
            "at": [middle, middle],
            "second": [False, True],
        }
    )
    y = alt.Y("value:Q", scale=beats, title="Heart rate, bpm")
    text = alt.X("at:Q", scale=span)
    rule = alt.Chart(pd.DataFrame({"start": [middle]})).mark_rule(color=ACCENT, strokeDash=[2, 3])
    base = alt.Chart(means)
    return [
        rule.encode(x=_time(span, labelled)),
        base.mark_rule(color=ACCENT, strokeWidth=2.5).encode(x=_time(span, labelled), x2="stop:Q", y=y),
        *(
            _mean_label(base, second=second, ink=ink, x=text, y=y)
            for second in (False, True)
            for ink in _INKS
        ),
    ]


#: Paper behind the number, where it crosses the trace; then the number.
_INKS: tuple[dict[str, Any], ...] = ({"color": PAPER, "stroke": PAPER, "strokeWidth": 4}, {"color": ACCENT})


def _mean_label(base: alt.Chart, *, second: bool, ink: dict[str, Any], x: alt.X, y: alt.Y) -> alt.Chart:
    """One half's mean, written on its side of the middle."""
    side: dict[str, Any] = {"align": "left", "dx": 7} if second else {"align": "right", "dx": -7}
    half = base.transform_filter(alt.datum.second == second)
    return half.mark_text(fontWeight="bold", fontSize=13, dy=-28, **side, **ink).encode(
        x=x, y=y, text="said:N"
    )


def _described(
    time_s: np.ndarray,
    window: Stretch | None,
    exclusions: Sequence[Stretch],
    halves_bpm: tuple[float, float] | None,
) -> str:
    """The trace in words, for readers who do not see it."""
    said = f"Heart rate over {wording.duration(float(time_s[-1]))}"
    if window is not None and halves_bpm is not None:
        said += (
            f"; in the window of {wording.duration(window.stop_s - window.start_s)} "
            f"{halves_bpm[0]:.1f} bpm in the first half and {halves_bpm[1]:.1f} bpm in the second"
        )
    if exclusions:
        said += f"; left out: {wording.count(len(exclusions), 'stretch', 'stretches')}"
    return said + "."


def _edges(grid: np.ndarray) -> list[float]:
    """First and last edge of a grid's cells."""
    half = (grid[1] - grid[0]) / 2 if grid.size > 1 else 60.0
    return [float(grid[0] - half), float(grid[-1] + half)]


def _share(
    starts_s: np.ndarray, stops_s: np.ndarray, drift_pct: np.ndarray, criterion_pct: float
) -> np.ndarray:
    """Drift as a share of what the criterion is in a window of that length."""
    lengths = stops_s[None, :] - starts_s[:, None]
    return drift_pct / (np.where(lengths > 0, lengths, np.nan) * scaled_criterion_pct(criterion_pct, 1.0))


def _cells(
    starts_s: np.ndarray, stops_s: np.ndarray, drift_pct: np.ndarray, criterion_pct: float
) -> pd.DataFrame:
    """One row a window that can be judged."""
    share = _share(starts_s, stops_s, drift_pct, criterion_pct)
    i, j = np.nonzero(np.isfinite(share))
    half_start, half_stop = starts_s[0] - _edges(starts_s)[0], stops_s[0] - _edges(stops_s)[0]
    return pd.DataFrame(
        {
            "start": starts_s[i] - half_start,
            "start_to": starts_s[i] + half_start,
            "stop": stops_s[j] - half_stop,
            "stop_to": stops_s[j] + half_stop,
            "share": share[i, j],
            "said": [f"{wording.minus(d, 1)} %" for d in drift_pct[i, j]],
            "window": [f"{_hm(a)} to {_hm(b)}" for a, b in zip(starts_s[i], stops_s[j], strict=True)],
        }
    )


def _contour(
    starts_s: np.ndarray, stops_s: np.ndarray, drift_pct: np.ndarray, criterion_pct: float
) -> pd.DataFrame:
    """The edges between cells below the criterion and cells above it."""
    share = _share(starts_s, stops_s, drift_pct, criterion_pct)
    half_start, half_stop = starts_s[0] - _edges(starts_s)[0], stops_s[0] - _edges(stops_s)[0]
    below, judged = share < 1.0, np.isfinite(share)
    upright_i, upright_j = np.nonzero((below[1:] != below[:-1]) & judged[1:] & judged[:-1])
    flat_i, flat_j = np.nonzero((below[:, 1:] != below[:, :-1]) & judged[:, 1:] & judged[:, :-1])
    upright = starts_s[upright_i] + half_start
    flat = stops_s[flat_j] + half_stop
    return pd.DataFrame(
        {
            "start": np.concatenate((upright, starts_s[flat_i] - half_start)),
            "start_to": np.concatenate((upright, starts_s[flat_i] + half_start)),
            "stop": np.concatenate((stops_s[upright_j] - half_stop, flat)),
            "stop_to": np.concatenate((stops_s[upright_j] + half_stop, flat)),
        }
    )


def _hm(seconds: float) -> str:
    """Elapsed time as h:mm."""
    return f"{int(seconds // 3600)}:{int(seconds // 60 % 60):02d}"
