"""The season in small figures: what is news first, one with nothing to say left out."""

from collections.abc import Sequence
from datetime import timedelta

import altair as alt
import pandas as pd

from coachlib.analysis.season.season import Season, SteadyDrift
from coachlib.analysis.season.weeks import SeasonWeek
from coachlib.report.figures.renderer import WIDTH
from coachlib.report.figures.season_charts import (
    HEIGHT,
    LEAST_WEEKS,
    ROW_PX,
    apart,
    first_shown,
    marks,
    time_axis,
    weeks_shown,
)
from coachlib.report.letter.intensity_view import distribution_figure
from coachlib.report.letter.season_trend import is_news, output_figure
from coachlib.report.look.palette import ACCENT, GREY, INK, MUTED, ZONES
from coachlib.report.look.tables import table
from coachlib.report.page.blocks import Figure, Html
from coachlib.report.words import wording

#: A figure of drift needs this many sessions.  Own choice.
LEAST_DRIFTS = 4
#: A drift less well known than this is not drawn. [percentage points]  Own choice.
WIDEST_DRIFT_PCT = 5.0
#: Room right of the bars for the names of their parts. [px]
NAMES_PX = 52
PARTS = {"not judged": GREY, "below": ZONES[0], "between": ZONES[2], "above": ZONES[4]}


def season_figures(season: Season, criterion_pct: float) -> Html:
    """The last twelve weeks: output at a heart rate, training and its intensity, drift, load."""
    trend = season.main_trend
    output = output_figure(season)
    others = [_load(season), _training(season), distribution_figure(season)]
    told = [output, *others] if trend is not None and is_news(trend) else [*others, output]
    figures = "".join(filter(None, [*told, _drifts(season, criterion_pct)]))
    return Html(
        f'<section><h2>The weeks behind you</h2><div class="pairs">{figures}</div></section>'
        if figures
        else ""
    )


def _training(season: Season) -> str | None:
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
        caption=f"Hours a week{_judged(weeks)}.",
        table=table(["Week from", "sessions", "time", "below"], rows, caption="Training by week"),
    )


def _judged(weeks: Sequence[SeasonWeek]) -> str:
    """By what the hours are told apart."""
    judged = [w.domains for w in weeks if w.domains is not None]
    if not judged:
        return ""
    if all(d.above_s is None for d in judged):
        return " below and above the first threshold that was valid at the time"
    mixed = "; all above the first counts as between where the second was not known yet"
    names = " below, between and above the thresholds that were valid at the time"
    return names + mixed * any(d.above_s is None for d in judged)


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


def _drifts(season: Season, criterion_pct: float) -> str | None:
    """Drift of steady sessions, each with its interval, against the line that marks the first threshold."""
    told = [d for d in season.drifts if d.on >= first_shown(season) and _says_enough(d)]
    if len(told) < LEAST_DRIFTS:
        return None
    frame = pd.DataFrame(
        {
            "on": [d.on.isoformat() for d in told],
            "drift": [d.drift_pct * 60 / d.minutes for d in told],
            "low": [d.drift_low_pct * 60 / d.minutes for d in told],
            "high": [d.drift_high_pct * 60 / d.minutes for d in told],
        }
    )
    x = time_axis(season)
    scale = alt.Scale(domainMax=max(criterion_pct + 1, frame["high"].max()), nice=True)
    y = alt.Y("drift:Q", title="% an hour", axis=alt.Axis(tickCount=4), scale=scale)
    base = alt.Chart(frame)
    whiskers = base.mark_rule(color=GREY).encode(x=x, y=alt.Y("low:Q", scale=scale), y2="high:Q")
    dots = base.mark_point(color=ACCENT).encode(x=x, y=y)
    limit = alt.Chart(pd.DataFrame({"drift": [criterion_pct]})).mark_rule(color=INK, strokeDash=[1, 2])
    below = int((frame["drift"] < criterion_pct).sum())
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
    rows = [
        [
            wording.short_date(d.on),
            wording.heart_rate(d.first_half_bpm),
            f"{d.minutes:.0f} min",
            wording.drift(d),
        ]
        for d in told
    ]
    return Figure(
        chart,
        title=_drift_title(below, len(told), criterion_pct),
        caption=(
            f"One point a steady session, brought to an hour, with what that run can tell; about {criterion_pct:g} % "
            "(dotted) is common at the first threshold."
        ),
        table=table(["Day", "first half", "length", "drift"], rows, caption="Drift of steady sessions"),
    )


def _drift_title(below: int, n: int, criterion_pct: float) -> str:
    """How many steady sessions stayed below the line."""
    where = f"all {n}" if below == n else f"{below} of {n}"
    return f"In {where} steady sessions heart rate drifted by less than {criterion_pct:g} % an hour"


def _says_enough(drift: SteadyDrift) -> bool:
    return (drift.drift_high_pct - drift.drift_low_pct) * 60 / max(drift.minutes, 1.0) <= WIDEST_DRIFT_PCT


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
    field = range_.mark_rect(color=ZONES[0], opacity=0.6).encode(
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
            f"Load a week by {season.load_kind}; the field is the range of your own last "
            f"{wording.count(told.n_weeks, 'week')}: it says what is unusual for you, nothing more."
        ),
        table=table(["Week from", "load"], rows, caption=f"Load by {season.load_kind}"),
    )
