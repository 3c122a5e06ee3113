"""The season in small figures; one with nothing to say is left out."""

from datetime import date, timedelta

import altair as alt
import pandas as pd

from coachlib.analysis.season import OutputTrend, Season, SteadyDrift
from coachlib.report import wording
from coachlib.report.blocks import Figure, Html
from coachlib.report.palette import ACCENT, GREY, WARM, ZONES
from coachlib.report.renderer import WIDTH
from coachlib.report.tables import table

#: Weeks drawn.
N_SHOWN = 12
#: A figure needs this many weeks or sessions to say anything.  Own choice.
LEAST_WEEKS, LEAST_DRIFTS = 4, 4
#: A drift less well known than this is not drawn. [percentage points]  Own choice.
WIDEST_DRIFT_PCT = 5.0
HEIGHT = 120
#: Words for a call, by what it says.
CALLS = {"possible": "possibly", "likely": "likely", "clear": "clearly"}


def season_figures(season: Season) -> Html:
    """The last twelve weeks: training, output at a heart rate, drift, load."""
    figures = "".join(filter(None, (_training(season), _output(season), _drifts(season), _load(season))))
    return Html(
        f'<section><h2>The weeks behind you</h2><div class="pairs">{figures}</div></section>'
        if figures
        else ""
    )


def _shown(season: Season) -> date:
    """The first day of the first week drawn."""
    return season.weeks[-1].start_on - timedelta(weeks=N_SHOWN - 1)


def _time_axis(season: Season) -> alt.X:
    """The common axis of weeks, from the first to the last shown; gaps stay gaps."""
    start = _shown(season)
    stop = season.weeks[-1].start_on + timedelta(days=7)
    return alt.X(
        "on:T",
        title=None,
        scale=alt.Scale(domain=[start.isoformat(), stop.isoformat()], nice=False),
        axis=alt.Axis(format="%-d %b", tickCount=5, labelFlush=True),
    )


def _training(season: Season) -> str | None:
    """Hours a week, split by domain where thresholds are known."""
    weeks = [w for w in season.weeks if w.start_on >= _shown(season) and w.n_sessions]
    if len(weeks) < LEAST_WEEKS:
        return None
    parts = []
    for w in weeks:
        split = w.domains
        if split is None or split.total_s <= 0:
            shares = [("not judged", w.moving_s)]
        else:
            scale = w.moving_s / split.total_s
            shares = [
                ("below", split.below_s * scale),
                ("between", split.between_s * scale),
                ("above", (split.above_s or 0.0) * scale),
            ]
        floor = 0.0
        for name, seconds in shares:
            parts.append(
                {
                    "on": w.start_on.isoformat(),
                    "to": (w.start_on + timedelta(days=6)).isoformat(),
                    "from": floor / 3600,
                    "hours": (floor + seconds) / 3600,
                    "part": name,
                }
            )
            floor += seconds
    mean_s = sum(w.moving_s for w in weeks) / len(weeks)
    colours = alt.Scale(
        domain=["not judged", "below", "between", "above"], range=[GREY, ZONES[0], ZONES[2], ZONES[4]]
    )
    chart = (
        alt.Chart(pd.DataFrame(parts))
        .mark_bar()
        .encode(
            x=_time_axis(season),
            x2="to:T",
            y=alt.Y("from:Q", title="hours", axis=alt.Axis(tickCount=4)),
            y2="hours:Q",
            color=alt.Color("part:N", scale=colours),
        )
        .properties(
            width=WIDTH,
            height=HEIGHT,
            description=f"Hours of training a week over {len(weeks)} weeks, {wording.duration(mean_s)} on average.",
        )
    )
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
        chart,
        title=f"About {wording.duration(mean_s)} a week over {wording.count(len(weeks), 'week')}",
        caption="Hours a week; from light to dark: below, between and above the thresholds valid at the time"
        + (" (grey: not judged)." if any(p["part"] == "not judged" for p in parts) else "."),
        table=table(["Week from", "sessions", "time", "below"], rows, caption="Training by week"),
    )


def _output(season: Season) -> str | None:
    """Output at the reference heart rate with its band, the call in the title."""
    trend = season.main_trend
    if trend is None:
        return None
    starts = {w.name: w.start_on for w in season.weeks}
    weeks = [w for w in trend.weeks if w.week in starts and starts[w.week] >= _shown(season)]
    told = [w for w in weeks if w.known.has_readings]
    if len(told) < LEAST_WEEKS:
        return None
    factor, unit = (1.0, "W") if trend.unit == "W" else (3.6, "km/h")
    frame = pd.DataFrame(
        {
            "on": [(starts[w.week] + timedelta(days=3)).isoformat() for w in weeks],
            "level": [w.output * factor for w in weeks],
            "low": [w.output_low * factor for w in weeks],
            "high": [w.output_high * factor for w in weeks],
            "read": [w.known.has_readings for w in weeks],
        }
    )
    y = alt.Scale(zero=False, nice=True)
    band = (
        alt.Chart(frame)
        .mark_area(color=ZONES[0], opacity=0.7)
        .encode(
            x=_time_axis(season),
            y=alt.Y("low:Q", scale=y, title=unit, axis=alt.Axis(tickCount=4)),
            y2="high:Q",
        )
    )
    line = alt.Chart(frame).mark_line(color=ACCENT).encode(x="on:T", y=alt.Y("level:Q", scale=y, title=unit))
    dots = alt.Chart(frame[frame["read"]]).mark_point(color=ACCENT).encode(x="on:T", y="level:Q")
    layers = alt.layer(band, line, dots, *_threshold_marks(season)).properties(
        width=WIDTH,
        height=HEIGHT,
        description=f"{_thing(trend)} at {wording.heart_rate(trend.hr_reference_bpm)} week by week, with its 90 % band.",
    )
    rows = [
        [
            wording.short_date(starts[w.week]),
            f"{w.output * factor:.1f}",
            f"{w.output_low * factor:.1f} to {w.output_high * factor:.1f}",
            str(w.known.n_readings),
        ]
        for w in weeks
    ]
    return Figure(
        layers,
        title=_output_title(trend),
        caption=(
            f"{_thing(trend)} at {wording.heart_rate(trend.hr_reference_bpm)}, minutes 10 to 25 of steady "
            f"sessions, heat allowed for; the band holds the level in 9 of 10 cases. Compared with the weeks from "
            f"{wording.full_date(starts.get(trend.since, season.weeks[0].start_on))}."
        ),
        table=table(["Week from", unit, "90 % band", "readings"], rows, caption=_thing(trend)),
    )


def _thing(trend: OutputTrend) -> str:
    """What is followed, in words."""
    return "Power" if trend.unit == "W" else "Speed on the flat"


def _output_title(trend: OutputTrend) -> str:
    """The finding: the call, its size, or that nothing can be told."""
    at = f"At {wording.heart_rate(trend.hr_reference_bpm)}"
    change = trend.change
    if trend.call not in CALLS or change is None:
        return f"{at}: whether it goes up or down we cannot tell yet"
    better = "more" if trend.direction == "up" else "less"
    if trend.unit == "W":
        return f"{at} you hold {abs(change):.0f} W {better}, {CALLS[trend.call]} so"
    faster = "faster" if trend.direction == "up" else "slower"
    return f"{at} you are {abs(change) * 3.6:.1f} km/h {faster}, {CALLS[trend.call]} so"


def _threshold_marks(season: Season) -> list[alt.Chart]:
    """Hairlines on the days thresholds were accepted."""
    marks = [t for t in season.thresholds if t.on >= _shown(season)]
    if not marks:
        return []
    frame = pd.DataFrame({"on": [t.on.isoformat() for t in marks]})
    return [alt.Chart(frame).mark_rule(color=WARM, strokeDash=[3, 3]).encode(x="on:T")]


def _drifts(season: Season) -> str | None:
    """Drift of steady sessions, each with its interval."""
    told = [d for d in season.drifts if d.on >= _shown(season) and _says_enough(d)]
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
    y = alt.Y("drift:Q", title="% an hour", axis=alt.Axis(tickCount=4), scale=alt.Scale(nice=True))
    base = alt.Chart(frame)
    whiskers = base.mark_rule(color=GREY).encode(x=_time_axis(season), y="low:Q", y2="high:Q")
    dots = base.mark_point(color=ACCENT).encode(x="on:T", y=y)
    chart = alt.layer(whiskers, dots, *_threshold_marks(season)).properties(
        width=WIDTH,
        height=HEIGHT,
        description=f"Heart-rate drift of {len(told)} steady sessions, each with its 90 % interval.",
    )
    middle = sorted(frame["drift"])[len(told) // 2]
    marks = " The dashed line marks the day a threshold was accepted." if _threshold_marks(season) else ""
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
        title=f"Heart rate usually drifts by {wording.minus(middle, 1)} % an hour in steady sessions",
        caption=f"One point a steady session, brought to an hour; the line is what that run can tell.{marks}",
        table=table(["Day", "first half", "length", "drift"], rows, caption="Drift of steady sessions"),
    )


def _says_enough(drift: SteadyDrift) -> bool:
    return (drift.drift_high_pct - drift.drift_low_pct) * 60 / max(drift.minutes, 1.0) <= WIDEST_DRIFT_PCT


def _load(season: Season) -> str | None:
    """Load by week against the athlete's own range."""
    told = season.load_range
    weeks = [w for w in season.weeks if w.start_on >= _shown(season) and w.n_sessions and w.load is not None]
    if (
        told is None
        or told.usual is None
        or told.low is None
        or told.high is None
        or len(weeks) < LEAST_WEEKS
    ):
        return None
    frame = pd.DataFrame(
        {
            "on": [w.start_on.isoformat() for w in weeks],
            "to": [(w.start_on + timedelta(days=6)).isoformat() for w in weeks],
            "load": [w.load for w in weeks],
            "now": [w is season.weeks[-1] for w in weeks],
        }
    )
    ends = pd.DataFrame(
        {
            "on": [_shown(season).isoformat()],
            "to": [(season.weeks[-1].start_on + timedelta(days=7)).isoformat()],
            "low": [told.low],
            "high": [told.high],
        }
    )
    field = (
        alt.Chart(ends)
        .mark_rect(color=ZONES[0], opacity=0.45)
        .encode(
            x=_time_axis(season),
            x2="to:T",
            y=alt.Y("low:Q", title="load", axis=alt.Axis(tickCount=4)),
            y2="high:Q",
        )
    )
    bars = (
        alt.Chart(frame)
        .mark_bar()
        .encode(
            x="on:T",
            x2="to:T",
            y=alt.Y("load:Q", title="load"),
            y2=alt.datum(0),
            color=alt.Color("now:N", scale=alt.Scale(domain=[False, True], range=[GREY, ACCENT])),
        )
    )
    title = {
        "usual": "This week's load lies in your own usual range",
        "unusual": f"This week's load is unusually {told.side} for you",
        "flag": f"This week's load lies {'above' if told.side == 'high' else 'below'} your own range",
    }.get(told.verdict)
    if title is None:
        return None
    rows = [[wording.short_date(w.start_on), f"{w.load:.0f}"] for w in weeks]
    return Figure(
        alt.layer(field, bars).properties(
            width=WIDTH,
            height=HEIGHT,
            description=f"Load by week; this week {told.load:.0f}, own range {told.low:.0f} to {told.high:.0f}.",
        ),
        title=title,
        caption=(
            f"Load a week by {season.load_kind}; the field is the range of your own last "
            f"{wording.count(told.n_weeks, 'week')}. It says what is unusual for you, nothing more."
        ),
        table=table(["Week from", "load"], rows, caption=f"Load by {season.load_kind}"),
    )
