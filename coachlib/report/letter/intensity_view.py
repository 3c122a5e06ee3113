"""How hard the training was: by minutes and by what sessions were for, and whether easy was easy."""

from collections.abc import Sequence
from itertools import pairwise

import altair as alt
import pandas as pd

from coachlib.analysis.season.season import Season
from coachlib.analysis.week.easy import EasyTime
from coachlib.analysis.week.week import WeekResult
from coachlib.measures.week.distribution import POLARIZED_INDEX, distribution_type, polarization_index
from coachlib.report.figures.renderer import WIDTH
from coachlib.report.look.palette import GREY, INK, MUTED, ZONES
from coachlib.report.look.tables import table
from coachlib.report.page.blocks import Figure
from coachlib.report.words import wording

#: A distribution needs this many sessions.  Own choice.
LEAST_SESSIONS = 6
#: Shares of minutes, and numbers of sessions, nearer to each other than this name no pattern: a few beats or
#: one session would turn it.  Own choice.
LEAST_GAP_FRAC, LEAST_GAP_SESSIONS = 0.03, 2
#: Minutes and sessions disagree when the easy shares differ by this.  Own choice.
DISAGREE_FRAC = 0.1
#: With more than this easy by both ways of counting there is nothing to tell apart.  Own choice.
NEARLY_ALL_FRAC = 0.95
#: Whether easy days were easy, on the figure.
_VERDICTS = {"easy": "easy", "not easy": "not easy", "open": "we cannot tell"}
#: Height of one row of words and bar. [px]
ROW_PX = 44
SHADES = {"low": ZONES[0], "middle": ZONES[2], "high": ZONES[4]}


def pattern(low_frac: float, middle_frac: float, high_frac: float, *, least_gap_frac: float) -> str:
    """The literature's name of a distribution, "" where it hangs on little or the two measures of it differ.

    Source
    ------
    ``measures.week.distribution``.  Naming a pattern only where no two shares lie nearer than ``least_gap_frac``, and
    polarized only where the index agrees, is this project's own choice.

    Examples
    --------
    >>> pattern(0.75, 0.06, 0.19, least_gap_frac=0.03), pattern(0.98, 0.01, 0.01, least_gap_frac=0.03)
    ('polarized', '')
    """
    shares = sorted((low_frac, middle_frac, high_frac))
    # to a billionth, so that a gap of exactly so many sessions counts
    if min(b - a for a, b in pairwise(shares)) < least_gap_frac - 1e-9:
        return ""
    kind = distribution_type(low_frac, middle_frac, high_frac)
    index = polarization_index(low_frac, middle_frac, high_frac)
    if kind == "none" or (kind == "polarized" and (index is None or index <= POLARIZED_INDEX)):
        return ""
    return kind


def distribution_figure(season: Season) -> str | None:
    """Four weeks by minutes and by session goal, one above the other."""
    goals = season.goals
    if goals is None or goals.n_sessions < LEAST_SESSIONS or goals.domains.total_s <= 0:
        return None
    minutes = goals.domains
    by_time = [s / minutes.total_s for s in (minutes.below_s, minutes.between_s, minutes.above_s or 0.0)]
    by_goal = [goals.easy_frac, goals.between_frac, goals.hard_frac]
    if min(by_time[0], by_goal[0]) > NEARLY_ALL_FRAC:
        return None
    names = ("below", "between", "above")
    # what is neither easy nor hard holds sessions of unknown goal too, so no sessions are called "threshold"
    by_sessions = pattern(*by_goal, least_gap_frac=LEAST_GAP_SESSIONS / goals.n_sessions)
    kinds = ["", by_sessions.replace("threshold", "")]
    if minutes.above_s is None:
        by_time, names = [by_time[0], 0.0, by_time[1]], ("below", "", "above")
    else:
        kinds[0] = pattern(*by_time, least_gap_frac=LEAST_GAP_FRAC)
    rows = [
        [said, *(wording.percent(x) for x in shares)]
        for said, shares in (("by minutes", by_time), ("by what sessions were for", by_goal))
    ]
    return Figure(
        _bars(
            {
                _shares("minutes", by_time, names): by_time,
                _shares("sessions", by_goal, ("easy", "neither", "hard")): by_goal,
            }
        ),
        title=_distribution_title(by_time[0], by_goal[0]),
        caption=(
            "The same four weeks counted twice, by minutes and by what "
            f"{wording.count(goals.n_sessions, 'session')} were for{_named(*kinds)}."
        ),
        table=table(
            ["Four weeks", "below, easy", "between, neither", "above, hard"],
            rows,
            caption="Shares of minutes and sessions",
        ),
    )


def _shares(name: str, shares: Sequence[float], names: Sequence[str]) -> str:
    """One row's words."""
    parts = [f"{wording.percent(x)} {said}" for x, said in zip(shares, names, strict=True) if x >= 0.005]
    return f"{name}: {', '.join(parts)}"


def _bars(shares: dict[str, Sequence[float]]) -> alt.TopLevelMixin:
    """A stacked bar for each way of counting, its words above it."""
    order = list(shares)
    rows = []
    for words, parts in shares.items():
        floor = 0.0
        for part, share in zip(SHADES, parts, strict=True):
            rows.append({"row": words, "part": part, "from": floor, "to": floor + share})
            floor += share
    y = alt.Y("row:N", sort=order, title=None, axis=None)
    base = alt.Chart(pd.DataFrame(rows))
    bars = base.mark_bar(height=13, yOffset=7).encode(
        x=alt.X("from:Q", scale=alt.Scale(domain=[0, 1], nice=False), title=None, axis=None),
        x2="to:Q",
        y=y,
        color=alt.Color("part:N", scale=alt.Scale(domain=list(SHADES), range=list(SHADES.values()))),
    )
    said = alt.Chart(pd.DataFrame({"row": order})).mark_text(
        align="left", baseline="bottom", dy=-3, color=INK
    )
    words = said.encode(x=alt.value(0), y=y, text="row:N")
    return alt.layer(bars, words).properties(
        width=WIDTH, height=ROW_PX * len(order), description=f"The last four weeks. {'; '.join(order)}."
    )


def _distribution_title(below_frac: float, easy_frac: float) -> str:
    """The finding: the two ways of counting, and whether they agree."""
    minutes, sessions = wording.percent(below_frac), wording.percent(easy_frac)
    only = "only " if below_frac < easy_frac - DISAGREE_FRAC else ""
    return f"In four weeks {sessions} of the sessions were meant easy; {only}{minutes} of the minutes were"


def _named(by_minutes: str, by_sessions: str) -> str:
    """The literature's names, where they hold."""
    if by_minutes and by_minutes == by_sessions:
        return f"; the literature calls both {by_minutes}"
    named = [
        f"the {how} {kind}" for how, kind in (("minutes", by_minutes), ("sessions", by_sessions)) if kind
    ]
    return f"; the literature calls {wording.listed(named)}" if named else ""


def easy_words(week: WeekResult, season: Season | None, *, is_told: bool) -> tuple[str, str]:
    """Was easy easy?  A sentence where it was, a figure where it was not or is open; the other one empty.

    ``is_told`` says that the letter's first sentences have told the week.
    """
    found = {"this week": week.easy, "four weeks": season.easy_four_weeks if season is not None else None}
    known = {when: easy for when, easy in found.items() if easy is not None}
    if any(easy.share.verdict != "easy" for easy in known.values()):
        return "", _easy_figure(known)
    if is_told:
        known.pop("this week", None)
    said = ", ".join(f"{_over(when)} {_minutes(easy)}" for when, easy in known.items())
    if not said:
        return "", ""
    if any(easy.unchecked is not None for easy in known.values()):
        return (
            f"{said[0].upper()}{said[1:]} at or below your first threshold, which was not checked since.",
            "",
        )
    also = "also " if is_told else ""
    return f"Easy days were {also}easy: {said} at or below your first threshold.", ""


def _over(when: str) -> str:
    return when if when == "this week" else f"over {when}"


def _minutes(easy: EasyTime) -> str:
    """Minutes at or below the first threshold."""
    return f"{easy.below:.0f} of {easy.minutes:.0f} min"


def _easy_figure(known: dict[str, EasyTime]) -> str:
    """Each share with its interval against the wanted one."""
    order = [f"{when}: {_minutes(easy)}, {_VERDICTS[easy.share.verdict]}" for when, easy in known.items()]
    frame = pd.DataFrame(
        {
            "row": order,
            "share": [easy.share.share_frac for easy in known.values()],
            "low": [easy.share.share_low_frac for easy in known.values()],
            "high": [easy.share.share_high_frac for easy in known.values()],
            "none": 0.0,
            "all": 1.0,
        }
    )
    wanted = next(iter(known.values())).share.wanted_frac
    height = ROW_PX * len(order)
    x = alt.X("none:Q", scale=alt.Scale(domain=[0, 1], nice=False), title=None, axis=None)
    y = alt.Y("row:N", sort=order, title=None, axis=None)
    base = alt.Chart(frame)
    line = alt.Chart(pd.DataFrame({"wanted": [wanted]}))
    whole = base.mark_bar(height=2, yOffset=8, color=GREY).encode(x=x, x2="all:Q", y=y)
    reach = base.mark_bar(height=9, yOffset=8, color=ZONES[2]).encode(x="low:Q", x2="high:Q", y=y)
    dot = base.mark_point(color=INK, yOffset=8, size=60).encode(x="share:Q", y=y)
    limit = line.mark_rule(color=INK, strokeWidth=1).encode(
        x="wanted:Q", y=alt.value(18), y2=alt.value(height + 2)
    )
    name = line.mark_text(color=MUTED, baseline="top").encode(
        x="wanted:Q", y=alt.value(height + 5), text=alt.value(f"{wording.percent(wanted)} wanted")
    )
    words = base.mark_text(align="left", baseline="bottom", dy=-4, color=INK).encode(
        x=alt.value(0), y=y, text="row:N"
    )
    numbers = [
        [
            when,
            _minutes(easy),
            _reach(easy),
            str(easy.n_sessions),
        ]
        for when, easy in known.items()
    ]
    return Figure(
        alt.layer(whole, reach, limit, dot, words, name).properties(
            width=WIDTH,
            height=height,
            description=f"Share of easy days' time that was easy. {'; '.join(order)}.",
        ),
        title=_easy_title({when: easy.share.verdict for when, easy in known.items()}),
        caption=(
            "Minutes of easy sessions at or below your first threshold; bar: how far the share may be out, as the "
            "threshold may."
        ),
        table=table(["Easy days", "at or below", "may be", "sessions"], numbers, caption="Was easy easy?"),
    )


def _reach(easy: EasyTime) -> str:
    """The interval of the share; one number where it has no width."""
    low, high = wording.percent(easy.share.share_low_frac), wording.percent(easy.share.share_high_frac)
    return high if low == high else f"{low.removesuffix(' %')} to {high}"


def _easy_title(verdicts: dict[str, str]) -> str:
    """The verdicts as a sentence."""
    both = ", this week and over four weeks" if len(verdicts) > 1 else f" {_over(next(iter(verdicts)))}"
    kinds = set(verdicts.values())
    if kinds == {"not easy"}:
        return f"Easy days were not easy{both}"
    if kinds == {"open"}:
        return f"Whether easy days were easy we cannot tell{both}"
    said = "; ".join(f"{_over(when)}: {_VERDICTS[v]}" for when, v in verdicts.items())
    return f"Were easy days easy? {said[0].upper()}{said[1:]}"
