"""The season in small figures: what is news first, one with nothing to say left out."""

from collections.abc import Sequence
from datetime import timedelta

import altair as alt
import pandas as pd

from coachlib.analysis.season.season import Season
from coachlib.analysis.season.weeks import SeasonWeek
from coachlib.report.figures.renderer import WIDTH
from coachlib.report.figures.season_charts import (
    HEIGHT,
    LEAST_WEEKS,
    ROW_PX,
    apart,
    time_axis,
    weeks_shown,
)
from coachlib.report.letter.intensity_view import distribution_figure
from coachlib.report.letter.season_drift import drift_figure
from coachlib.report.letter.season_trend import is_news, output_figure
from coachlib.report.look.palette import ACCENT, FIELD, GREY, INK, MUTED, ZONES
from coachlib.report.look.tables import table
from coachlib.report.page.blocks import Figure, Html, side_by_side
from coachlib.report.words import wording

#: Room right of the bars for the names of their parts. [px]
NAMES_PX = 62
PARTS = {"not judged": GREY, "below": ZONES[0], "between": ZONES[2], "above": ZONES[4]}


def season_figures(season: Season, criterion_pct: float) -> Html:
    """The last twelve weeks: output at a heart rate, load, training and its intensity, drift; what is news first."""
    trend = season.main_trend
    output = output_figure(season)
    news, old = (output, None) if trend is not None and is_news(trend) else (None, output)
    told = (
        news,
        _load(season),
        training_figure(season),
        drift_figure(season, criterion_pct),
        old,
        distribution_figure(season),
    )
    figures = [figure for figure in told if figure]
    if not figures:
        return Html("")
    return Html(f"<section><h2>The weeks behind you</h2>{side_by_side(figures)}</section>")


def training_figure(season: Season) -> str | None:
    """Hours a week, split by domain where thresholds are known."""
    weeks = [w for w in weeks_shown(season) if w.n_sessions]
    if len(weeks) < LEAST_WEEKS:
        return None
    has_second = any(w.domains is not None and w.domains.above_s is not None for w in weeks)
    parts = pd.DataFrame([part for w in weeks for part in _parts(w, has_second=has_second)])
    mean_s = sum(w.moving_s for w in weeks) / len(weeks)
    y = alt.Y("from:Q", title="hours", axis=alt.Axis(tickCount=4))
    bars = (
        alt.Chart(parts)
        .mark_bar()
        .encode(
            x=time_axis(season),
            x2="to:T",
            y=y,
            y2="hours:Q",
            color=alt.Color("part:N", scale=alt.Scale(domain=list(PARTS), range=list(PARTS.values()))),
        )
    )
    now = weeks[-1] if weeks[-1] is season.weeks[-1] else None
    title = f"About {wording.duration(mean_s)} a week over {wording.count(len(weeks), 'week')}"
    rows = [
        [
            wording.short_date(w.start_on),
            str(w.n_sessions),
            wording.duration(w.moving_s),
            "" if w.domains is None else wording.percent(w.domains.below_s / max(w.domains.total_s, 1.0)),
        ]
        for w in weeks
    ]
    return Figure(
        alt.layer(*apart(season), bars, *_part_names(parts)).properties(
            width=WIDTH - NAMES_PX,
            height=HEIGHT,
            description=f"Hours of training a week over {len(weeks)} weeks, {wording.duration(mean_s)} on average.",
        ),
        title=f"{title}, {wording.duration(now.moving_s)} in this one" if now else title,
        caption=f"Hours a week{_judged_by(weeks)}.",
        table=table(
            ["Week from", "sessions", "time", "below"], rows, caption=f"Training by week{_judged(weeks)}"
        ),
    )


def _judged_by(weeks: Sequence[SeasonWeek]) -> str:
    return _judged(weeks).partition(" (")[0]


def _judged(weeks: Sequence[SeasonWeek]) -> str:
    """By what the hours are told apart."""
    judged = [w.domains for w in weeks if w.domains is not None]
    if not judged:
        return ""
    if all(d.above_s is None for d in judged):
        return ", below and above the first threshold of the time"
    if any(d.above_s is None for d in judged):
        return (
            ", by the thresholds of the time (all above the first is between while the second was not known)"
        )
    return ", by the thresholds of the time"


def _parts(week: SeasonWeek, *, has_second: bool) -> list[dict[str, object]]:
    """One week's hours, from the easiest up; ``has_second`` is whether any week knew a second threshold."""
    split = week.domains
    if split is None or split.total_s <= 0:
        shares = [("not judged", 1.0)]
    else:
        one_only = split.above_s is None and not has_second
        shares = [
            ("below", split.below_s / split.total_s),
            ("above" if one_only else "between", split.between_s / split.total_s),
            ("above", (split.above_s or 0.0) / split.total_s),
        ]
    floor, rows = 0.0, []
    for name, share in shares:
        hours = share * week.moving_s / 3600
        ends = {"on": week.start_on.isoformat(), "to": (week.start_on + timedelta(days=6)).isoformat()}
        if hours > 0:
            rows.append({**ends, "from": floor, "hours": floor + hours, "part": name})
        floor += hours
    return rows


def _part_names(parts: pd.DataFrame) -> list[alt.Chart]:
    """The names of the parts right of the bars, in the order in which they are stacked."""
    names = [name for name in PARTS if name in set(parts["part"])]
    right = WIDTH - NAMES_PX + 2
    drawn = []
    for row, name in enumerate(names):
        at = HEIGHT - 8 - ROW_PX * row
        frame = pd.DataFrame({"part": [name]})
        drawn.append(
            alt.Chart(frame)
            .mark_point(shape="square", size=60, color=PARTS[name], stroke=INK, strokeWidth=0.4)
            .encode(x=alt.value(right), y=alt.value(at))
        )
        drawn.append(
            alt.Chart(frame)
            .mark_text(align="left", baseline="middle", dx=8, color=MUTED)
            .encode(x=alt.value(right), y=alt.value(at), text="part:N")
        )
    return drawn


def _load(season: Season) -> str | None:
    """Load by week against the athlete's own range; None in a week like others."""
    told = season.load_range
    weeks = [w for w in weeks_shown(season) if w.n_sessions and w.load is not None]
    titles = {
        ("unusual", "high"): "This week's load is unusually high for you",
        ("unusual", "low"): "This week's load is unusually low for you",
        ("flag", "high"): "This week's load lies above your own range",
        ("flag", "low"): "This week's load lies below your own range",
    }
    if told is None or (told.verdict, told.side) not in titles or len(weeks) < LEAST_WEEKS:
        return None
    frame = pd.DataFrame(
        {
            "on": [w.start_on.isoformat() for w in weeks],
            "to": [(w.start_on + timedelta(days=6)).isoformat() for w in weeks],
            "load": [w.load for w in weeks],
            "now": [w is season.weeks[-1] for w in weeks],
        }
    )
    x = time_axis(season)
    ends = pd.DataFrame({"low": [told.low], "high": [told.high], "said": ["usual for you"]})
    range_ = alt.Chart(ends)
    field = range_.mark_rect(color=FIELD, opacity=0.6).encode(
        x=alt.value(0),
        x2=alt.value(WIDTH),
        y=alt.Y("low:Q", title="load", axis=alt.Axis(tickCount=4)),
        y2="high:Q",
    )
    name = range_.mark_text(color=MUTED, align="left", baseline="bottom", dx=2, dy=-2)
    bars = (
        alt.Chart(frame)
        .mark_bar()
        .encode(
            x=x,
            x2="to:T",
            y=alt.Y("load:Q", title="load"),
            y2=alt.datum(0),
            color=alt.Color("now:N", scale=alt.Scale(domain=[False, True], range=[GREY, ACCENT])),
        )
    )
    rows = [[wording.short_date(w.start_on), f"{w.load:.0f}"] for w in weeks]
    return Figure(
        alt.layer(
            field, *apart(season), bars, name.encode(x=alt.value(0), y="high:Q", text="said:N")
        ).properties(
            width=WIDTH,
            height=HEIGHT,
            description=f"Load by week; this week {told.load:.0f}, own range {told.low:.0f} to {told.high:.0f}.",
        ),
        title=titles[told.verdict, told.side],
        caption=(
            f"Load a week by {season.load_kind}; pale: your own range of the last "
            f"{wording.count(told.n_weeks, 'week')}. It says what is unusual for you, nothing more."
        ),
        table=table(["Week from", "load"], rows, caption=f"Load by {season.load_kind}"),
    )
