"""Output at a heart rate through the season: the level with its band, what was different, what goes with it."""

from collections.abc import Sequence
from datetime import date
from typing import Any

import altair as alt
import pandas as pd

from coachlib.analysis.season.output_trend import OutputTrend, OutputWeek
from coachlib.analysis.season.season import Season
from coachlib.analysis.season.weeks import SeasonWeek
from coachlib.report.figures.renderer import WIDTH
from coachlib.report.figures.season_charts import (
    HEIGHT,
    LEAST_WEEKS,
    apart,
    blocks_shown,
    first_shown,
    marks,
    middle_of_week,
    time_axis,
    weeks_shown,
)
from coachlib.report.look.palette import ACCENT, FIELD, GREY, MUTED
from coachlib.report.look.tables import table
from coachlib.report.page.blocks import Figure
from coachlib.report.words import wording
from coachlib.report.words.catalogue import whole

#: Height of the lane of temperature. [px]
LANE_PX = 26
#: "The last weeks" beside a call, and the weeks before that they are held against.  Own choice.
RECENT_WEEKS, WEEKS_BEFORE = 2, 6


def is_news(trend: OutputTrend) -> bool:
    """Whether a trend says something: a call above *possible*; a possible one lies inside what chance does."""
    return trend.call in ("likely", "clear")


def output_figure(season: Season) -> str | None:
    """Output at the reference heart rate week by week; None where too few weeks have readings."""
    trend = season.main_trend
    if trend is None:
        return None
    weeks = _weeks(season, trend)
    if sum(level.known.has_readings for _, level in weeks) < LEAST_WEEKS:
        return None
    lane = _temperature(season)
    lanes: list[Any] = [_level(season, trend, _frame(weeks, trend.unit), labels=not lane), *lane]
    beneath = " Grey: mean temperature." if lane else ""
    return Figure(
        alt.vconcat(*lanes, spacing=6).properties(description=_description(season, trend)),
        title=title_of(trend),
        caption=f"{whole(trend.compares)}{beneath}",
        beside=" ".join(filter(None, (about(season), _gone_with(season)))),
        table=_numbers(trend, weeks),
    )


def _weeks(season: Season, trend: OutputTrend) -> list[tuple[SeasonWeek, OutputWeek]]:
    """The weeks drawn that the trend covers."""
    levels = {level.week: level for level in trend.weeks}
    return [(week, levels[week.name]) for week in weeks_shown(season) if week.name in levels]


def _frame(weeks: Sequence[tuple[SeasonWeek, OutputWeek]], unit: str) -> pd.DataFrame:
    """Levels as they are said; a week without readings is left empty, so that line and band break there."""
    factor = wording.output_scale(unit)[0]
    read = [level.known.has_readings for _, level in weeks]
    alone = [now and not any(read[max(i - 1, 0) : i] + read[i + 1 : i + 2]) for i, now in enumerate(read)]
    return pd.DataFrame(
        {
            "on": [middle_of_week(week.start_on) for week, _ in weeks],
            "level": [w.output * factor if r else None for (_, w), r in zip(weeks, read, strict=True)],
            "low": [w.output_low * factor if r else None for (_, w), r in zip(weeks, read, strict=True)],
            "high": [w.output_high * factor if r else None for (_, w), r in zip(weeks, read, strict=True)],
            "read": read,
            "alone": alone,
        }
    )


def _level(season: Season, trend: OutputTrend, frame: pd.DataFrame, *, labels: bool) -> alt.TopLevelMixin:
    """Band, line and points of the level, over what sets days apart."""
    unit = wording.output_scale(trend.unit)[1]
    x = time_axis(season, labels=labels)
    scale = alt.Scale(zero=False, nice=True)
    y = alt.Y("level:Q", scale=scale, title=unit, axis=alt.Axis(tickCount=4))
    low = alt.Y("low:Q", scale=scale, title=unit, axis=alt.Axis(tickCount=4))
    base = alt.Chart(frame)
    band = base.mark_area(color=FIELD, opacity=0.7).encode(x=x, y=low, y2="high:Q")
    line = base.mark_line(color=ACCENT).encode(x=x, y=y)
    read = alt.Chart(frame[frame["read"]])
    dots = read.mark_point(color=ACCENT).encode(x=x, y=y)
    alone = alt.Chart(frame[frame["alone"]]).mark_rule(color=FIELD, strokeWidth=8, opacity=0.7)
    layers = [
        *apart(season),
        band,
        *([alone.encode(x=x, y=low, y2="high:Q")] if frame["alone"].any() else []),
    ]
    return alt.layer(*layers, line, dots, *marks(season, _began(trend))).properties(
        width=WIDTH, height=HEIGHT
    )


def _began(trend: OutputTrend) -> list[tuple[date, str]]:
    """The day a new reference began, with what is written there."""
    if trend.new_reference_on is None:
        return []
    return [(trend.new_reference_on, wording.listed(list(trend.new_gear)) or "compared from here")]


def _temperature(season: Season) -> list[alt.TopLevelMixin]:
    """The weeks' mean temperature as a thin lane, its first and last value written; nothing where unknown."""
    weeks = weeks_shown(season)
    known = [w for w in weeks if w.temperature_c is not None]
    if len(known) < LEAST_WEEKS:
        return []
    frame = pd.DataFrame(
        {"on": [middle_of_week(w.start_on) for w in weeks], "t": [w.temperature_c for w in weeks]}
    )
    ends = pd.DataFrame(
        {
            "on": [middle_of_week(w.start_on) for w in (known[0], known[-1])],
            "t": [known[0].temperature_c, known[-1].temperature_c],
            "said": [wording.temperature(w.temperature_c or 0.0) for w in (known[0], known[-1])],
        }
    )
    y = alt.Y("t:Q", title=None, axis=None, scale=alt.Scale(zero=False, nice=False, padding=4))
    x = time_axis(season)
    line = alt.Chart(frame).mark_line(color=GREY, strokeWidth=1.5).encode(x=x, y=y)
    dots = alt.Chart(frame).mark_point(color=GREY, size=14).encode(x=x, y=y)
    first = alt.Chart(ends[:1]).mark_text(color=MUTED, align="right", dx=-6, baseline="middle")
    last = alt.Chart(ends[1:]).mark_text(color=MUTED, align="left", dx=6, baseline="middle")
    said = [text.encode(x=x, y=y, text="said:N") for text in (first, last)]
    return [alt.layer(line, dots, *said).properties(width=WIDTH, height=LANE_PX)]


def title_of(trend: OutputTrend) -> str:
    """The finding: the change with its interval and how sure it is; a change inside chance is no news."""
    return whole(trend.says).removesuffix(".")


def about(season: Season) -> str:
    """Since when and why compared anew, until when nothing is told, what a change rests on."""
    return " ".join(whole(c) for c in season.main_trend.about) if season.main_trend is not None else ""


def _gone_with(season: Season) -> str:
    """Sleep, health and load of the last weeks, said wherever a change is called."""
    trend = season.main_trend
    if trend is None or not trend.direction:
        return ""
    recent = season.weeks[-RECENT_WEEKS:]
    before = season.weeks[-RECENT_WEEKS - WEEKS_BEFORE : -RECENT_WEEKS]
    days = sum(w.n_unwell for w in recent)
    said = [
        _mean_against("sleep", "h", [w.sleep_h for w in recent], [w.sleep_h for w in before], 1),
        f"unwell on {wording.count(days, 'day')}" if days else "never unwell",
        _mean_against("load a week", "", _loads(recent), _loads(before), 0),
    ]
    return f"The last two weeks (the six before): {', '.join(filter(None, said))}."


def _loads(weeks: Sequence[SeasonWeek]) -> list[float | None]:
    """Loads of the weeks that were not set apart."""
    return [w.load for w in weeks if not w.apart]


def _mean_against(
    name: str, unit: str, recent: Sequence[float | None], before: Sequence[float | None], decimals: int
) -> str:
    """A mean of the last weeks with the same of the weeks before, "" where it was not written down."""
    now, then = ([x for x in values if x is not None] for values in (recent, before))
    if not now:
        return ""
    usual = f" ({sum(then) / len(then):.{decimals}f})" if then else ""
    return f"{name} {sum(now) / len(now):.{decimals}f} {unit}".rstrip() + usual


def _description(season: Season, trend: OutputTrend) -> str:
    """The drawing in words, for who does not see it."""
    blocks = [f"{kind} from {wording.short_date(start)}" for kind, start, _ in blocks_shown(season)]
    accepted = [
        f"{t.which} threshold {wording.heart_rate(t.hr_bpm)} accepted on {wording.short_date(t.on)}"
        for t in season.thresholds
        if t.on >= first_shown(season)
    ]
    return " ".join([whole(trend.compares), *(f"{said}." for said in (title_of(trend), *blocks, *accepted))])


def _numbers(trend: OutputTrend, weeks: Sequence[tuple[SeasonWeek, OutputWeek]]) -> str:
    """The weeks as a table."""
    factor, unit, decimals = wording.output_scale(trend.unit)
    rows = [
        [
            wording.short_date(week.start_on),
            f"{level.output * factor:.{decimals}f}" if level.known.has_readings else "",
            f"{level.output_low * factor:.{decimals}f} to {level.output_high * factor:.{decimals}f}"
            if level.known.has_readings
            else "",
            str(level.known.n_readings),
            "" if week.temperature_c is None else wording.minus(wording.degrees(week.temperature_c), 0),
        ]
        for week, level in weeks
    ]
    return table(["Week from", unit, "band", "sessions", wording.degree_unit()], rows, caption="Week by week")
