"""Altair charts inside JupyterLab, without a network.

JupyterLab carries an older Vega-Lite than Altair writes for, and Altair's own ways of showing a chart
fetch a newer one from the network.  A chart is therefore offered twice: as a specification for the
Vega-Lite that is there, and as a finished drawing for everything else.
"""

from typing import Any

import altair as alt
import vl_convert

from coachlib.report.figures.renderer import letter_theme
from coachlib.report.look.palette import PAPER

#: The Vega-Lite that JupyterLab 4 carries.
_IN_LAB = "application/vnd.vegalite.v5+json"
_IN_LAB_SCHEMA = "https://vega.github.io/schema/vega-lite/v5.json"


class LabChart:
    """A chart as JupyterLab can show it: with tooltips there, as a plain drawing elsewhere.

    Parameters
    ----------
    chart : alt.Chart
        Any Altair chart with a ``description``.

    Source
    ------
    This project's own choice, measured: the charts of one page draw in about a second without a network.

    Examples
    --------
    >>> import pandas as pd
    >>> dots = alt.Chart(pd.DataFrame({"x": [1]}), description="One dot").mark_point().encode(x="x:Q")
    >>> data, _ = LabChart(dots)._repr_mimebundle_()
    >>> sorted(data)
    ['application/vnd.vegalite.v5+json', 'image/svg+xml', 'text/plain']
    """

    def __init__(self, chart: alt.TopLevelMixin) -> None:
        with alt.theme.enable("letter"), alt.data_transformers.enable("default"):
            self._spec = chart.to_dict()
        # charts keep their own paper: their ink could not be read on a dark page
        self._spec["config"] = {
            **letter_theme()["config"],
            **self._spec.get("config", {}),
            "background": PAPER,
        }
        self._spec["padding"] = 12

    def _repr_mimebundle_(self, **_: Any) -> tuple[dict[str, Any], dict[str, Any]]:
        """Give Jupyter both forms, and its chart no menu that would lead out of the page."""
        data = {
            _IN_LAB: {**self._spec, "$schema": _IN_LAB_SCHEMA},
            "image/svg+xml": vl_convert.vegalite_to_svg(self._spec, allowed_base_urls=[]),
            "text/plain": self._spec.get("description", "a chart"),
        }
        return data, {_IN_LAB: {"embed_options": {"actions": False}}}
