"""Drift of the season's steady sessions, brought to an hour: figure, table and count are of the same sessions."""

import altair as alt
import pandas as pd

from coachlib.analysis.season.season import Season, SteadyDrift
from coachlib.report.figures.renderer import WIDTH
from coachlib.report.figures.season_charts import HEIGHT, apart, first_shown, marks, time_axis
from coachlib.report.letter.sentences import WIDEST_DRIFT_PCT
from coachlib.report.look.palette import ACCENT, GREY, INK
from coachlib.report.look.tables import table
from coachlib.report.page.blocks import Figure
from coachlib.report.words import wording

#: A figure of drift needs this many sessions.  Own choice.
LEAST_DRIFTS = 4


def drifts_shown(season: Season) -> list[SteadyDrift]:
    """The drifts of the weeks drawn that can be compared, each brought to an hour; none where they are too few."""
    hourly = [d.an_hour for d in season.drifts if d.on >= first_shown(season)]
    told = [d for d in hourly if d is not None and d.drift_high_pct - d.drift_low_pct <= WIDEST_DRIFT_PCT]
    return told if len(told) >= LEAST_DRIFTS else []


def n_below(told: list[SteadyDrift], criterion_pct: float) -> int:
    """How many drifts lay below the criterion of an hour."""
    return sum(d.drift_pct < criterion_pct for d in told)


def drift_figure(season: Season, criterion_pct: float) -> str | None:
    """Drift of steady sessions, each with its interval, against the line that marks the first threshold."""
    told = drifts_shown(season)
    if not told:
        return None
    frame = pd.DataFrame(
        {
            "on": [d.on.isoformat() for d in told],
            "drift": [d.drift_pct for d in told],
            "low": [d.drift_low_pct for d in told],
            "high": [d.drift_high_pct for d in told],
        }
    )
    x = time_axis(season)
    scale = alt.Scale(domainMax=max(criterion_pct + 1, frame["high"].max()), nice=True)
    y = alt.Y("drift:Q", title="% an hour", axis=alt.Axis(tickCount=4), scale=scale)
    base = alt.Chart(frame)
    whiskers = base.mark_rule(color=GREY).encode(x=x, y=alt.Y("low:Q", scale=scale), y2="high:Q")
    dots = base.mark_point(color=ACCENT).encode(x=x, y=y)
    limit = alt.Chart(pd.DataFrame({"drift": [criterion_pct]})).mark_rule(color=INK, strokeDash=[1, 2])
    below = n_below(told, criterion_pct)
    chart = alt.layer(
        *apart(season), limit.encode(y=y), whiskers, dots, *marks(season, which=("first",))
    ).properties(
        width=WIDTH,
        height=HEIGHT,
        description=(
            f"Heart-rate drift of {len(told)} steady sessions, each with its 90 % interval; {below} lie below "
            f"{criterion_pct:g} % an hour."
        ),
    )
    rows = [[wording.short_date(d.on), wording.heart_rate(d.first_half_bpm), wording.drift(d)] for d in told]
    return Figure(
        chart,
        title=_title(below, len(told), criterion_pct),
        caption=(
            "One point a steady session of at least 45 min, brought to an hour, with its range; dotted: "
            f"{criterion_pct:g} %."
        ),
        table=table(
            ["Day", "first half", "drift an hour"],
            rows,
            caption="Drift of steady sessions, brought to an hour",
        ),
    )


def _title(below: int, n: int, criterion_pct: float) -> str:
    """How many steady sessions stayed below the line."""
    where = f"all {n}" if below == n else f"{below} of {n}"
    return f"In {where} steady sessions drift was below {criterion_pct:g} % an hour"
