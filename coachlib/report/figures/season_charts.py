"""What the small figures of a season share: the axis of weeks, and the days that explain what is seen."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

import altair as alt
import pandas as pd

from coachlib.analysis.season.season import Season
from coachlib.analysis.season.weeks import SeasonWeek
from coachlib.report.figures.renderer import WIDTH
from coachlib.report.look.palette import INK, MUTED, RULE, WARM

#: A figure needs this many weeks to say anything.  Own choice.
LEAST_WEEKS = 4
HEIGHT = 120
#: Width of a letter and height of a line, for setting labels so that none lies on another. [px]
LETTER_PX, ROW_PX, LABEL_GAP_PX = 6.4, 15, 6
#: Room that an axis's title takes beside the first label. [px]
AXIS_TITLE_PX = 40


def first_shown(season: Season) -> date:
    """First day drawn."""
    return season.weeks[-1].start_on - timedelta(weeks=season.n_shown - 1)


def day_after(season: Season) -> date:
    """The day after the last one drawn."""
    return season.weeks[-1].start_on + timedelta(days=7)


def weeks_shown(season: Season) -> list[SeasonWeek]:
    """The weeks drawn, those without training included."""
    return [w for w in season.weeks if w.start_on >= first_shown(season)]


def middle_of_week(start_on: date) -> str:
    """The day of a week on which its point stands."""
    return (start_on + timedelta(days=3)).isoformat()


def time_axis(season: Season, *, labels: bool = True) -> alt.X:
    """The common axis from the first week drawn to the last; gaps stay gaps.

    Days are drawn as universal time, so that neither the machine's time zone nor a change of the clocks moves one.
    """
    ends = [first_shown(season).isoformat(), day_after(season).isoformat()]
    axis = alt.Axis(format="%-d %b", tickCount=5, labelFlush=True) if labels else None
    return alt.X("on:T", title=None, scale=alt.Scale(type="utc", domain=ends, nice=False), axis=axis)


def blocks_shown(season: Season) -> list[tuple[str, date, date]]:
    """Kind, first day and the day after the last one of each block, as far as drawn; one that lasts has no end."""
    first, stop = first_shown(season), day_after(season)
    found: list[tuple[str, date, date]] = []
    for block in season.athlete.blocks:
        end = stop if block.stop_on is None else min(block.stop_on + timedelta(days=1), stop)
        if max(block.start_on, first) < end:
            found.append((block.kind, max(block.start_on, first), end))
    return found


def apart(season: Season) -> list[alt.Chart]:
    """Grey fields over the days set apart (ill, travel, altitude), each with its name."""
    rows = [
        {
            "on": start.isoformat(),
            "to": end.isoformat(),
            "at": (start + (end - start) / 2).isoformat(),
            "kind": kind,
        }
        for kind, start, end in blocks_shown(season)
    ]
    if not rows:
        return []
    base = alt.Chart(pd.DataFrame(rows))
    field = base.mark_rect(color=RULE, opacity=0.7).encode(
        x=time_axis(season), x2="to:T", y=alt.value(0), y2=alt.value(HEIGHT)
    )
    name = base.mark_text(color=MUTED, baseline="top").encode(x="at:T", y=alt.value(3), text="kind:N")
    return [field, name]


def marks(
    season: Season,
    others: Sequence[tuple[date, str]] = (),
    *,
    which: Sequence[str] = ("first", "second"),
) -> list[alt.Chart]:
    """Hairlines on the days thresholds were accepted, each with its value above the drawing.

    ``others`` are further days with their words, such as the start of a new reference.
    """
    first = first_shown(season)
    accepted = [t for t in season.thresholds if t.which in which]
    told = [(t.on, f"{t.which} {t.hr_bpm:.0f} bpm", True) for t in accepted if t.on >= first]
    told += [(on, words, False) for on, words in others if on >= first]
    told.sort()
    px_a_day = WIDTH / (day_after(season) - first).days
    places = _places([((on - first).days * px_a_day, words) for on, words, _ in told], WIDTH)
    rows = [
        {"on": on.isoformat(), "words": words, "own": own, "left": left, "y": -6 - ROW_PX * row, "to": HEIGHT}
        for (on, words, own), (left, row) in zip(told, places, strict=True)
    ]
    return [_mark(row, season) for row in rows] + [_words(row) for row in rows]


def _mark(row: dict[str, Any], season: Season) -> alt.Chart:
    """One hairline, from its words down."""
    rule = alt.Chart(pd.DataFrame([{"on": row["on"]}])).mark_rule(
        color=WARM if row["own"] else INK, strokeDash=[3, 3] if row["own"] else [1, 0], strokeWidth=1
    )
    return rule.encode(x=time_axis(season), y=alt.value(row["y"] + 2), y2=alt.value(row["to"]))


def _words(row: dict[str, Any]) -> alt.Chart:
    """The words of one hairline."""
    text = alt.Chart(pd.DataFrame([{"words": row["words"]}])).mark_text(
        align="left", baseline="bottom", color=WARM if row["own"] else INK
    )
    return text.encode(x=alt.value(row["left"]), y=alt.value(row["y"] + 4), text="words:N")


def _places(wanted: Sequence[tuple[float, str]], width: int) -> list[tuple[float, int]]:
    """Left edge and row of each label: right of its line, in the lowest row where it has room.

    Set from the last to the first, so that the line of an earlier one passes no label on its way down; the
    lowest row begins with the axis's title.

    Examples
    --------
    >>> _places([(10.0, "first 150 bpm"), (60.0, "second 170 bpm"), (200.0, "first 152 bpm")], 300)
    [(13.0, 1), (63.0, 0), (203.0, 0)]
    """
    edges: dict[int, float] = {}
    places = []
    for at, words in reversed(wanted):
        long = len(words) * LETTER_PX
        left = min(at + 3, width - long)
        row = 0 if left >= AXIS_TITLE_PX else 1
        while left + long + LABEL_GAP_PX > edges.get(row, width + LABEL_GAP_PX):
            row += 1
        edges[row] = left
        places.append((round(left, 1), row))
    return places[::-1]
