"""The reasons that a season's trends give for standing on the call sheet: a change, or a comparison begun anew."""

from datetime import date, timedelta

from coachlib.analysis.roster.reasons import AthleteWeek, Told
from coachlib.analysis.season.season import OutputTrend
from coachlib.analysis.week.calendar import MONTHS, first_day
from coachlib.records.roster import RosterSettings, TriageSettings

#: A new reference is told for so long: it takes some sessions to be sure of it.  Own choice.
TOLD_FOR = timedelta(weeks=3)


def trend(athlete: AthleteWeek, direction: str, settings: TriageSettings) -> Told | None:
    """A change that is likely or clear; good news is news."""
    calls = ("possible", "likely", "clear") if settings.tell_possible_trends else ("likely", "clear")
    trends = athlete.season.trends if athlete.season is not None else ()
    called = [
        t for t in trends if t.call in calls and t.direction == direction and t.trend.latest.has_readings
    ]
    if not called:
        return None
    trend = max(called, key=lambda t: calls.index(t.call))
    settle = (
        "tell the athlete; test whether the threshold has moved up"
        if direction == "up"
        else f"ask before judging: {_beside(athlete)}"
    )
    return Told(sentence=_change_in_words(trend, athlete.week.settings), settle=settle, where="weekly letter")


def compared_anew(athlete: AthleteWeek) -> Told | None:
    """New gear found in recordings or diary, after which the coach will hear nothing of a trend for a while."""
    trends = athlete.season.trends if athlete.season is not None else ()
    stop_on = athlete.week.stop_on
    new = [
        t
        for t in trends
        if t.reference_found and t.new_reference_on is not None and t.new_reference_on >= stop_on - TOLD_FOR
    ]
    if not new:
        return None
    found = new[0]
    return Told(
        sentence=f"{found.group}: {' and '.join(found.new_gear)} since {_day(found.new_reference_on)}; no change can be told "
        f"before the week of {_day(found.first_call_on)}",
        settle=f'if it changes nothing: [[reference]] from = {found.new_reference_on} because = "compare on"',
        where="athlete.toml",
    )


def _change_in_words(trend: OutputTrend, settings: RosterSettings) -> str:
    """A trend's change with its 90 % interval, in km/h or watts."""
    change, sd = trend.change or 0.0, trend.trend.latest.change_sd_output or 0.0
    factor, unit, digits = (1.0, "W", 0) if trend.unit == "W" else (3.6, "km/h", 1)
    size, low, high = (
        abs(change) * factor,
        (abs(change) - 1.645 * sd) * factor,
        (abs(change) + 1.645 * sd) * factor,
    )
    moved = ("moved by the coach",) if any(c.name == "reference moved" for c in trend.about) else ()
    why = f" ({', '.join((*trend.new_gear, *moved))})" if trend.new_gear or moved else ""
    since = _day(first_day(trend.since, starts=settings.week_starts))
    return (
        f"{trend.group}: output at {trend.hr_reference_bpm:.0f} bpm {'up' if change > 0 else 'down'} by "
        f"{size:.{digits}f} {unit} ({low:.{digits}f} to {high:.{digits}f}) since {since}{why}, {trend.call}"
    )


def _day(on: date | None) -> str:
    return f"{on.day} {MONTHS[on.month - 1]}" if on else ""


def _beside(athlete: AthleteWeek) -> str:
    """What stands beside a loss: sleep, illness and load, since a bad fortnight looks the same."""
    season = athlete.season
    if season is None:
        return "a bad fortnight looks the same as lost fitness"
    recent = season.weeks[-3:]
    told = []
    sleep = [w.sleep_h for w in recent if w.sleep_h is not None]
    if sleep:
        told.append(f"sleep {sum(sleep) / len(sleep):.1f} h")
    unwell = sum(w.n_unwell for w in recent)
    if unwell:
        told.append(f"unwell on {unwell} day{'s' if unwell > 1 else ''}")
    found = season.load_range
    loads = [w.load for w in recent if w.load is not None]
    if found is not None and found.usual and loads:
        told.append(f"load {sum(loads) / len(loads) / found.usual:.1f} times the usual")
    beside = f" (last 3 weeks: {', '.join(told)})" if told else ""
    return f"a bad fortnight looks the same as lost fitness{beside}"
