"""The drawing of a series of drift tests: tests, curves, criterion, and the probability of the threshold."""

from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.first_threshold.series import Series
from coachlib.measures.common.constants import Z90
from coachlib.measures.drift_test.reference_conditions import REFERENCE_C
from coachlib.measures.first_threshold.estimate import FirstThreshold, FittedSeries
from coachlib.report.figures.drift_charts import WIDTH
from coachlib.report.look.palette import ACCENT, FIELD, INK, MUTED, WARM, ZONES
from coachlib.report.words import wording
from coachlib.report.words.first_threshold import estimated

#: The posterior is drawn where it holds more than this share of its peak.  Own choice.
DRAWN_FRAC = 0.01


def is_hot(test: SeriesTest) -> bool:
    """Whether the estimate brought a test back to cooler air."""
    return test.air_c is not None and test.air_c > REFERENCE_C


def series_chart(series: Series) -> alt.TopLevelMixin:
    """The drawing of ``chart``."""
    found = series.threshold
    fitted = FittedSeries(series.asked)
    grid, probability = fitted.grid_bpm, fitted.probability
    low_x, high_x = _ends(series, grid, probability)
    at = np.arange(low_x, high_x + 0.5, 1.0)
    band = fitted.curve_band(at)
    points = _points(series)
    top = max(points["high"].max(), found.criterion_pct + 2.0) + 0.5
    bottom = min(points["low"].min(), 0.0) - 0.3
    x = alt.Scale(domain=[low_x, high_x], nice=False, zero=False)
    y = alt.Scale(domain=[bottom, top], nice=False, zero=False, clamp=True)
    beats = alt.X("bpm:Q", scale=x, title=None, axis=alt.Axis(labels=False, ticks=False, tickMinStep=5))
    drift = alt.Y("drift:Q", scale=y, title="drift in an hour, %", axis=alt.Axis(tickMinStep=1, tickCount=6))
    curve = pd.DataFrame({"bpm": at, "low": band[0], "drift": band[1], "high": band[2]})
    inside_y = (curve["drift"] >= bottom) & (curve["drift"] <= top)
    middle = curve[inside_y]
    curve = curve.assign(low=curve["low"].clip(bottom, top), high=curve["high"].clip(bottom, top))
    line = pd.DataFrame(
        {"drift": [found.criterion_pct], "bpm": [low_x], "said": [f"criterion {found.criterion_pct:g} %"]}
    )
    layers = [
        alt.Chart(curve)
        .mark_area(color=FIELD, opacity=0.8)
        .encode(x=beats, y=alt.Y("low:Q", scale=y), y2="high:Q"),
        alt.Chart(middle).mark_line(color=ZONES[2], strokeWidth=1.5).encode(x=beats, y=drift),
        alt.Chart(line).mark_rule(color=WARM, strokeDash=[5, 3], strokeWidth=1.5).encode(y=drift),
        alt.Chart(line)
        .mark_text(color=WARM, align="left", dx=3, dy=-7)
        .encode(x=beats, y=drift, text="said:N"),
        *_test_marks(points, beats, drift, x_scale=x, y_scale=y),
    ]
    upper = alt.layer(*layers).properties(width=WIDTH, height=270)
    return alt.vconcat(upper, _posterior(grid, probability, found, low_x, high_x), spacing=4).properties(
        description=_described(series)
    )


def _ends(series: Series, grid: np.ndarray, probability: np.ndarray) -> tuple[float, float]:
    """Heart rates the axis reaches: the tests and nearly all of the probability."""
    likely = grid[probability > DRAWN_FRAC * probability.max()]
    known = [*(t.test.first_half_bpm for t in series.tests), *(t.reference_hr_bpm for t in series.tests)]
    low = max(min(min(known), series.threshold.hr_low_bpm) - 6, min(min(known), float(likely[0])) - 3)
    high = min(max(max(known), series.threshold.hr_high_bpm) + 6, max(max(known), float(likely[-1])) + 3)
    return float(np.floor(low)), float(np.ceil(high))


def _points(series: Series) -> pd.DataFrame:
    """A row a test: where it counts, where it was measured, its interval, its label."""
    by_bpm = sorted(range(len(series.tests)), key=lambda i: series.tests[i].reference_hr_bpm)
    return pd.DataFrame(
        [
            {
                "bpm": t.reference_hr_bpm,
                "drift": t.reference_drift_pct,
                "low": t.reference_drift_pct - Z90 * t.hour_se_pct,
                "high": t.reference_drift_pct + Z90 * t.hour_se_pct,
                "bpm_measured": t.test.first_half_bpm,
                "drift_measured": t.hour_drift_pct,
                "hot": is_hot(t.test),
                "typed": t.test.typed,
                # neighbours are labelled on different sides
                "above": by_bpm.index(i) % 2 == 1,
                "said": wording.short_date(t.test.on),
            }
            for i, t in enumerate(series.tests)
        ]
    )


def _test_marks(
    points: pd.DataFrame, x: alt.X, y: alt.Y, *, x_scale: alt.Scale, y_scale: alt.Scale
) -> list[alt.Chart]:
    """Points with whiskers and days; hot ones twice, joined by a line."""
    base = alt.Chart(points)
    recorded, typed = points[~points["typed"]], points[points["typed"]]
    hot = points[points["hot"]]
    marks = [
        base.mark_rule(color=INK, strokeWidth=1.2).encode(x=x, y=alt.Y("low:Q", scale=y_scale), y2="high:Q")
    ]
    if len(hot):
        # the scales travel with the encodings, so that "as measured" shares the axes of "as it counts"
        measured = {
            "x": alt.X("bpm_measured:Q", scale=x_scale, title=None),
            "y": alt.Y("drift_measured:Q", scale=y_scale),
        }
        marks += [
            alt.Chart(hot)
            .mark_rule(color=WARM, strokeWidth=1.5)
            .encode(**measured, x2="bpm:Q", y2="drift:Q"),
            alt.Chart(hot).mark_point(filled=False, color=WARM, size=60, strokeWidth=1.8).encode(**measured),
        ]
    for frame, shape in ((recorded, "circle"), (typed, "square")):
        if len(frame):
            marks.append(
                alt.Chart(frame).mark_point(color=ACCENT, size=75, shape=shape, opacity=1).encode(x=x, y=y)
            )
    above, beside = points[points["above"]], points[~points["above"]]
    marks += [
        alt.Chart(above)
        .mark_text(color=MUTED, fontSize=11, align="right", dx=-8, dy=-9)
        .encode(x=x, y=y, text="said:N"),
        alt.Chart(beside)
        .mark_text(color=MUTED, fontSize=11, align="left", dx=8, dy=10)
        .encode(x=x, y=y, text="said:N"),
    ]
    return marks


def _posterior(
    grid: np.ndarray, probability: np.ndarray, found: FirstThreshold, low_x: float, high_x: float
) -> Any:
    """The probability of the threshold along the axis, its middle 90 % dark, its best guess written where held."""
    shown = (grid >= low_x) & (grid <= high_x)
    x = alt.Scale(domain=[low_x, high_x], nice=False, zero=False)
    frame = pd.DataFrame({"bpm": grid[shown], "p": probability[shown]})
    middle = frame[(frame["bpm"] >= found.hr_low_bpm) & (frame["bpm"] <= found.hr_high_bpm)]
    beats = alt.X("bpm:Q", scale=x, title="heart rate in the first half, bpm", axis=alt.Axis(tickMinStep=5))
    height = alt.Y("p:Q", title=None, axis=None, scale=alt.Scale(domain=[0, float(frame["p"].max()) * 1.35]))
    layers = [
        alt.Chart(frame).mark_area(color=FIELD).encode(x=beats, y=height),
        alt.Chart(middle).mark_area(color=ZONES[2]).encode(x=beats, y=height),
    ]
    if found.is_unresolved:
        return alt.layer(*layers).properties(width=WIDTH, height=64)
    at = {"both": found.hr_bpm, "below": found.hr_low_bpm, "above": found.hr_high_bpm}[found.bounded]
    mark = pd.DataFrame({"bpm": [at], "said": [estimated(found)]})
    late = at > low_x + 0.6 * (high_x - low_x)
    side: dict[str, Any] = {"align": "right", "dx": -5} if late else {"align": "left", "dx": 5}
    layers += [
        alt.Chart(mark).mark_rule(color=ACCENT, strokeWidth=1.5).encode(x=beats),
        alt.Chart(mark)
        .mark_text(color=ACCENT, fontWeight="bold", baseline="top", **side)
        .encode(x=beats, y=alt.value(1), text="said:N"),
    ]
    return alt.layer(*layers).properties(width=WIDTH, height=64)


def _described(series: Series) -> str:
    points = "; ".join(
        f"{wording.short_date(t.test.on)} {t.test.first_half_bpm:.0f} bpm {wording.minus(t.hour_drift_pct, 1)} %"
        for t in series.tests
    )
    return (
        f"Drift against heart rate of {len(series.tests)} tests ({points}), criterion "
        f"{series.threshold.criterion_pct:g} %; threshold {estimated(series.threshold)}."
    )
