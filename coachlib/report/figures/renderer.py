"""From an Altair chart to a cleaned drawing, without any script."""

import re
from typing import Any

import altair as alt
import vl_convert

from coachlib.errors import ReportProblem
from coachlib.report.figures.svg import clean_svg
from coachlib.report.look.palette import GREY, INK, MUTED, PAPER, RULE, ZONES
from coachlib.report.look.text import clean_text

#: Width of a chart's plot; with its axis it fills a phone of 390 px at its true size. [px]
WIDTH = 300
HEIGHT = 170

_ZONED = re.compile(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d(?::\d\d(?:\.\d+)?)?(?:Z|[+-]\d\d:?\d\d)")

#: What labels are measured with. It travels with vl-convert, so a letter comes out the same everywhere;
#: it is drawn in the reader's own sans serif, whose widths are near.
MEASURED_FONT = "Liberation Sans"


@alt.theme.register("letter", enable=False)
def letter_theme() -> Any:
    """How a letter's charts look: no frame, few lines, the unit written above the axis.

    Examples
    --------
    >>> letter_theme()["config"]["axis"]["labelFontSize"]
    12
    """
    axis = {
        "domain": False,
        "labelColor": MUTED,
        "labelFontSize": 12,
        "labelPadding": 6,
        "titleColor": MUTED,
        "titleFontSize": 12,
        "titleFontWeight": "normal",
        "tickColor": GREY,
        "tickSize": 4,
        "gridColor": RULE,
        "gridWidth": 1,
        "labelOverlap": "greedy",
    }
    return {
        "config": {
            "background": None,
            "font": MEASURED_FONT,
            "padding": {"left": 0, "top": 2, "right": 2, "bottom": 2},
            "view": {
                "stroke": None,
                "continuousWidth": WIDTH,
                "continuousHeight": HEIGHT,
                "discreteWidth": WIDTH,
            },
            "axis": axis,
            "axisX": {
                "grid": False,
                "labelAngle": 0,
                "titleAnchor": "end",
                "titleAlign": "right",
                "titlePadding": 6,
            },
            "axisY": {
                "ticks": False,
                "tickCount": 4,
                "titleAngle": 0,
                "titleAlign": "left",
                "titleBaseline": "bottom",
                "titleX": -28,
                "titleY": -10,
            },
            "legend": {"disable": True},
            "title": {"color": INK, "fontSize": 13, "anchor": "start"},
            "header": {"labelColor": MUTED, "labelFontSize": 12, "titleColor": MUTED, "titleFontSize": 12},
            "range": {"ramp": list(ZONES), "ordinal": list(ZONES), "heatmap": list(ZONES)},
            "mark": {"color": INK},
            "text": {"fontSize": 12, "color": INK},
            "line": {"strokeWidth": 2, "strokeCap": "round", "strokeJoin": "round"},
            "bar": {"stroke": PAPER, "strokeWidth": 0.6},
            "point": {"filled": True, "size": 40, "opacity": 1},
            "rule": {"color": GREY},
        }
    }


def svg_of(chart: alt.TopLevelMixin) -> str:
    """Draw a chart as a cleaned SVG element.

    Parameters
    ----------
    chart : alt.Chart
        Any Altair chart with a ``description`` and colours of ``coachlib.report.look.palette``. Times in it
        must be local and naive, since no time zone is known to a drawing.

    Returns
    -------
    str
        See `coachlib.report.figures.svg.clean_svg`.

    Raises
    ------
    ReportProblem
        When the chart has no description, holds a link, a picture or times with a zone, or cannot be
        drawn.

    Examples
    --------
    >>> import pandas as pd
    >>> bars = alt.Chart(pd.DataFrame({"x": [1], "y": [2]}), description="One bar").mark_bar(color=INK)
    >>> svg_of(bars.encode(x="x:O", y="y:Q")).startswith('<svg class="chart" viewBox="0 0 ')
    True
    """
    with alt.theme.enable("letter"), alt.data_transformers.enable("default"):
        spec = _clean_strings(chart.to_dict())
    description = spec.get("description", "").strip()
    if not description:
        raise ReportProblem(
            "a chart has no description; a letter's charts say in words what they show, for readers who do "
            "not see them. Give the chart `description=`."
        )
    _refuse_addresses(spec)
    _refuse_zoned_times(spec.get("datasets", {}), description)
    try:
        drawing = vl_convert.vegalite_to_svg(spec, allowed_base_urls=[])
    except ValueError as problem:
        raise ReportProblem(f"the chart {description!r} cannot be drawn: {problem}") from problem
    return clean_svg(drawing, description=description)


def _clean_strings(part: Any) -> Any:
    """The same specification without characters that would end the process that draws it."""
    if isinstance(part, str):
        return clean_text(part)
    if isinstance(part, dict):
        return {clean_text(str(key)): _clean_strings(value) for key, value in part.items()}
    if isinstance(part, list):
        return [_clean_strings(value) for value in part]
    return part


def _refuse_addresses(part: Any) -> None:
    """Refuse links, pictures and data from elsewhere before they reach the drawing program.

    A refused link makes that program fail on the next chart too, which would be another athlete's.
    """
    if isinstance(part, list):
        for value in part:
            _refuse_addresses(value)
    if not isinstance(part, dict):
        return
    for key, value in part.items():
        if key in ("datasets", "values"):
            continue
        if key in ("href", "url") or (key in ("mark", "type") and value == "image"):
            raise ReportProblem(
                f"a chart uses {value if value == 'image' else key!r}; a letter's charts hold no links, "
                "pictures or data from elsewhere. Draw it without."
            )
        _refuse_addresses(value)


def _refuse_zoned_times(datasets: dict[str, Any], description: str) -> None:
    """Refuse instants with a zone: they would be drawn in the zone of the machine that draws them."""
    values = (value for rows in datasets.values() for row in rows for value in row.values())
    zoned = next((value for value in values if isinstance(value, str) and _ZONED.fullmatch(value)), None)
    if zoned:
        raise ReportProblem(
            f"the chart {description!r} holds the time {zoned}, which has a time zone; a drawing knows none. "
            "Convert times to the athlete's own clock and drop the zone before drawing."
        )
