"""The blocks of an athlete's weekly letter, in the order in which they are read."""

from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.one_thing import one_thing
from coachlib.analysis.season.season import Season
from coachlib.analysis.week.week import WeekResult, ZoneTime
from coachlib.report.figures import charts
from coachlib.report.letter import sentences
from coachlib.report.letter.intensity_view import easy_words
from coachlib.report.letter.season_view import season_figures
from coachlib.report.look.markdown import markdown_html
from coachlib.report.look.tables import table
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Figure, Html, side_by_side
from coachlib.report.words import wording
from coachlib.report.words.catalogue import whole
from coachlib.report.words.recording import seen
from coachlib.report.words.wording import lower

#: Less time than this is told nowhere: minutes are whole. [s]
LEAST_TOLD_S = 30.0
#: Heart rate outside the zones shown is told from here on. [s]  Own choice: rounding and edges of zones make less.
LEAST_LEFT_S = 300.0


def head(week: WeekResult) -> Html:
    """Who, when, from whom."""
    coach = f'<p class="from">from {escape(week.settings.coach)}</p>' if week.settings.coach else ""
    return Html(
        f'<header class="head"><h1>{escape(week.athlete.name)}</h1>'
        f'<p class="when">{wording.week(week.start_on)}</p>{coach}</header>'
    )


def lead(week: WeekResult) -> Html:
    """What the week was, what it shows, how sure that is."""
    return Html(f'<p class="lead">{" ".join(escape(s) for s in sentences.lead(week))}</p>')


def note(week: WeekResult) -> Html:
    """The coach's own words; nothing where there are none."""
    return Html(f'<div class="note">{markdown_html(week.note)}</div>' if week.note else "")


def next_thing(monday: AthleteWeek) -> Html:
    """The one thing to do next week."""
    thing = one_thing(monday)
    caution = (
        '<p class="small">Before a test: well, rested and fed as usual, and free to stop at any time; the cautions '
        "at the end of this page apply.</p>"
        if thing.is_test
        else ""
    )
    do, colon, how = whole(thing.what).partition(":")
    what, why = f"<strong>{escape(do)}</strong>{colon}{escape(how)}", escape(whole(thing.why))
    # "instead of a test" is understood only after the reason
    said = f"{why} {what}" if thing.what.name.endswith("instead") else f"{what} {why}"
    return Html(f'<section class="next"><h2>One thing for next week</h2><p>{said}</p>{caution}</section>')


def evidence(week: WeekResult, behind: Season | None) -> Html:
    """The figures behind the sentences, in their order; one with nothing to say is left out."""
    if not week.sessions:
        return Html("")
    tests = [_steady(session) for session in week.steady if session.kind == "drift test"]
    said, figure = easy_words(week, behind, is_told=sentences.tells_easy(week))
    drawn = [found for found in (*tests, figure, _zones(week)) if found]
    words = f"<p>{escape(said)}</p>" if said else ""
    figures = side_by_side(drawn)
    return Html(f"<section><h2>What that rests on</h2>{words}{figures}</section>" if words or figures else "")


def _zones(week: WeekResult) -> str | None:
    """Minutes in zones against a usual week; the highest zones left out where nobody went."""
    times = _visited(week.zone_times)
    if not times or not any(t.minutes > 0 for t in times):
        return None
    left_s = sum(s.hr_s for s in week.sessions) - 60 * sum(t.minutes for t in times)
    is_part = left_s >= LEAST_LEFT_S
    beside = f" {wording.duration(left_s)} of sessions without these zones are not in it." if is_part else ""
    has_usual = any(t.usual_minutes is not None for t in times)
    rows = [
        [
            charts.zone_label(t),
            f"{t.minutes:.0f}",
            "" if t.usual_minutes is None else f"{t.usual_minutes:.0f}",
        ]
        for t in times
    ]
    return Figure(
        charts.zone_bars(times),
        title=_most_was(week) if is_part else _zone_finding(week),
        caption=("Minutes in each zone; mark: a usual week." if has_usual else "Minutes in each zone.")
        + beside,
        table=table(
            ["Zone", "this week, min", "usual, min"],
            rows,
            caption="Minutes in zones"
            + (
                f"; usual is the middle one of {wording.count(week.n_usual_weeks, 'week')}"
                if has_usual
                else ""
            ),
        ),
    )


def _visited(times: tuple[ZoneTime, ...]) -> tuple[ZoneTime, ...]:
    """The zones up to the highest with at least half a minute, this week or usually."""
    seen = [i for i, t in enumerate(times) if t.minutes >= 0.5 or (t.usual_minutes or 0.0) >= 0.5]
    return times[: seen[-1] + 1] if seen else ()


def _zone_finding(week: WeekResult) -> str:
    """The title of the zone figure: the share below the first threshold, or where most minutes lay."""
    domains = week.domains
    if domains is not None and domains.total_s > 0:
        above_s = domains.total_s - domains.below_s
        share = wording.share(domains.below_s / domains.total_s if above_s >= LEAST_TOLD_S else 1.0)
        said = f"{share[0].upper()}{share[1:]} of the week lay below your first threshold"
        usual = week.usual_below_frac
        if usual is None:
            return said
        is_same = wording.percent(usual) == wording.percent(domains.below_s / domains.total_s)
        return f"{said}, as usual" if is_same else f"{said}, usually {wording.share(usual)}"
    return _most_was(week)


def _most_was(week: WeekResult) -> str:
    """Where most of the minutes lay that have zones."""
    most = max(week.zone_times, key=lambda t: t.minutes)
    return f"Most of the minutes in zones were {most.name}"


def _steady(session: JudgedRecording) -> str:
    """One steady test: trace, halves, drift."""
    stretch = session.steady
    if stretch is None:
        return ""
    drift = stretch.drift
    title = f"{wording.DAYS[session.on.weekday()]}: {lower(seen(stretch))}"
    window = "set by your coach" if stretch.window_from == "decisions" else "suggested by the program"
    left_out = f", {wording.duration(session.excluded_s)} left out" if session.excluded_s >= 30 else ""
    caption = (
        f"By the minute; pale: the steady window, {window}{left_out}. On another ordinary day it could read "
        f"{wording.minus(drift.day_low_pct, 1)} to {wording.minus(drift.day_high_pct, 1)} %."
    )
    rows = [
        ["First half", f"{drift.first_half_bpm:.1f} bpm"],
        ["Second half", f"{drift.second_half_bpm:.1f} bpm"],
        ["Change", wording.drift(drift)],
        ["Heart rate used", wording.duration(drift.used_s)],
    ]
    if stretch.held is not None:
        rows.insert(3, ["Change at constant output", wording.drift(stretch.held)])
    numbers = table(["Steady window", "value"], rows, caption="The two halves")
    return Figure(charts.steady_trace(session, drift), title=title, caption=caption, table=numbers)


def season(week: WeekResult, behind: Season | None) -> Html:
    """The weeks that led to this one."""
    return Html("") if behind is None else season_figures(behind, week.settings.criterion_pct)
