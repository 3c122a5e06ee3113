"""How we know: thresholds, what was left out, what cannot be said, cautions, methods, version."""

import re
from collections.abc import Iterable

from coachlib import __version__
from coachlib.analysis.season.season import Season
from coachlib.analysis.week.week import WeekResult
from coachlib.analysis.zones.plan import withdrawn
from coachlib.measures.common.codes import code
from coachlib.measures.week import load
from coachlib.report.letter import sentences
from coachlib.report.letter.season_drift import drifts_shown
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.words import cautions, wording
from coachlib.report.words.catalogue import sentence, whole

#: Caveats of a recording that its own row tells, or that are told once for all recordings.
_SAID_ELSEWHERE = frozenset({"totals differ", "utc taken"})


def how_we_know(week: WeekResult, behind: Season | None) -> Html:
    """What the athlete needs to know about how this is known; the full account folds away, and opens on paper."""
    account = "".join(
        (
            _items("Thresholds", (*_accepted_how(week), *watch_words(behind))),
            _left_out(week),
            _load(week, behind),
            _items(
                "What this letter cannot say yet", (*map(whole, week.not_told), *_season_not_told(behind))
            ),
            f"<h3>Cautions</h3><p>{escape(' '.join(cautions.CAUTIONS))}</p>",
            f"<h3>Methods</h3><p>{escape(', '.join(methods(week, behind)))}. Drift of 5 % in an hour as the sign of the "
            "first threshold is common practice, not a published standard.</p>",
        )
    )
    return Html(
        f'<section class="how"><h2>How we know</h2>{_items("", _thresholds(week))}{_drift_in_plain_words(week, behind)}'
        f"<p>{escape(cautions.CAUTION)}</p>"
        f'<details class="account"><summary>The full account</summary>{account}'
        f"<p>Made by coachlib {escape(__version__)} from what was recorded and written down {_newest(week)}.</p>"
        "</details></section>"
    )


def _drift_in_plain_words(week: WeekResult, behind: Season | None) -> str:
    """What drift is, said once where the page tells one."""
    of_week = any(sentences.tells_drift(s) or s.kind == "drift test" for s in week.steady)
    if not of_week and (behind is None or not drifts_shown(behind)):
        return ""
    return (
        "<p>Drift is how much higher heart rate was in the second half of a steady stretch than in the first. "
        f"About {week.settings.criterion_pct:g} % in an hour is common at the first threshold, a first-half mean.</p>"
    )


def _newest(week: WeekResult) -> str:
    """The day of the newest entry: the page says no day of making, so that the same data give the same page."""
    days = [*(s.on for s in week.sessions), *(row.on for row in week.unrecorded)]
    return f"up to {wording.full_date(max(days))}" if days else f"before {wording.full_date(week.start_on)}"


def methods(week: WeekResult, behind: Season | None = None) -> tuple[str, ...]:
    """The names and versions of the methods behind the letter's numbers."""
    names = {s.drift.method for s in week.steady if s.drift is not None}
    names |= {found.method for found in (week.distribution, week.easy) if found is not None}
    if week.load.trimp is not None:
        names.add(load.TRIMP_METHOD)
    if week.load.rpe_load is not None:
        names.add(load.RPE_METHOD)
    if behind is not None:
        trend = behind.main_trend.trend if behind.main_trend is not None else None
        own_range = behind.load_range if behind.load_range is not None and behind.load_range.usual else None
        of_season = (trend, behind.watch, behind.easy_four_weeks, own_range)
        names |= {found.method for found in of_season if found is not None}
    return tuple(sorted(names)) or ("none needed",)


def _items(title: str, sentences_: Iterable[str]) -> str:
    items = "".join(f"<li>{escape(s)}</li>" for s in sentences_)
    heading = f"<h3>{escape(title)}</h3>" if title else ""
    return f"{heading}<ul>{items}</ul>" if items else ""


def _thresholds(week: WeekResult) -> tuple[str, ...]:
    """Each threshold with its value, its range and its day."""
    several = len({found.threshold.sport for found in week.thresholds}) > 1
    said = []
    for found in week.thresholds:
        t = found.threshold
        stale = ", due for a new look" if found.is_stale else ""
        if found.unchecked is not None:
            stale = f", {sentence(found.unchecked)}"
        sport = f" in {t.sport}" if several and t.sport else ""
        said.append(
            f"Your {t.which} threshold{sport}: {wording.threshold(t)}, {wording.full_date(t.on)} "
            f"({wording.age_weeks(found.weeks)}{stale})."
        )
    said += [whole(withdrawn(t)) for t in week.athlete.withdrawn_on(week.stop_on)]
    return tuple(said)


def _accepted_how(week: WeekResult) -> tuple[str, ...]:
    """What each threshold was accepted from."""
    return tuple(
        f"The {found.threshold.which} threshold of {wording.full_date(found.threshold.on)} comes from: "
        f"{_without_version(found.threshold.method)}."
        for found in week.thresholds
        if found.threshold.method
    )


def _without_version(method: str) -> str:
    """A method's name as it is said; its version stands among the methods and in the numbers.

    Examples
    --------
    >>> _without_version("drift series 3"), _without_version("30-minute time trial")
    ('drift series', '30-minute time trial')
    """
    return re.sub(r" \d+$", "", method)


def watch_words(behind: Season | None) -> tuple[str, ...]:
    """What ordinary sessions say about the accepted first threshold; that they are silent confirms nothing."""
    watch = behind.main_watch if behind is not None else None
    says = watch.says if watch is not None else None
    return (whole(says),) if says is not None else ()


def _left_out(week: WeekResult) -> str:
    said = []
    for s in week.sessions:
        name = wording.day(s.on)
        if s.excluded_s >= 1:
            said.append(
                f"{name}: {wording.duration(s.excluded_s) if s.excluded_s >= 60 else f'{s.excluded_s:.0f} s'} of "
                f"heart rate left out ({wording.listed(sorted(set(s.exclusions)))})."
            )
        elif s.n_suggestions and not s.decided:
            said.append(
                f"{name}: {wording.count(s.n_suggestions, 'stretch', 'stretches')} of heart rate "
                f"{'looks' if s.n_suggestions == 1 else 'look'} odd and still {'counts' if s.n_suggestions == 1 else 'count'}."
            )
        said += [f"{name}: {sentence(caveat)}." for caveat in s.caveats if caveat.name not in _SAID_ELSEWHERE]
    if in_utc := [c for s in week.sessions for c in s.caveats if c.name == "utc taken"]:
        said.append(whole(in_utc[0]))
    if n := len(week.unreadable):
        said.append(f"Not used as meant: {wording.count(n, 'recording')}; your coach knows which.")
    return _items("The recordings", said)


def _load(week: WeekResult, behind: Season | None) -> str:
    """Load with its conventions and the athlete's own range; no word about injury."""
    told = week.load
    said = []
    if told.trimp is not None:
        said.append(f"By heart rate (Banister's sum) {told.trimp:.0f}{_usually(told.usual_trimp)}.")
    if told.rpe_load is not None:
        said.append(
            f"Load {told.rpe_load:.0f}{_usually(told.usual_rpe_load)} (minutes times your 0 to 10 rating)."
        )
    if not said:
        return ""
    own = behind.load_range if behind is not None else None
    if behind is not None and own is not None and own.low is not None and own.high is not None:
        said.append(
            f"Your own range by {behind.load_kind}, from {wording.count(own.n_weeks, 'week')}: {own.low:.0f} to "
            f"{own.high:.0f}."
        )
    return (
        f"<h3>Load</h3><p>{escape(' '.join([*said, 'These figures describe; they foretell nothing.']))}</p>"
    )


def _usually(value: float | None) -> str:
    return "" if value is None else f", usually {value:.0f}"


def _season_not_told(behind: Season | None) -> tuple[str, ...]:
    """Why the trend of output says nothing yet, and what would help."""
    if behind is None:
        return ()
    trend = behind.main_trend
    if trend is None:
        return tuple(whole(c) for c in behind.not_told if c.name != "no first threshold for easy days")
    if trend.change is not None:
        return ()
    until = () if trend.is_open else (code("no change told before", from_on=trend.first_call_on),)
    said = (*trend.about, *trend.trend.caveats) or until
    return tuple(whole(c) for c in (trend.says, *said))
