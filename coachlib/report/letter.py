"""The blocks of an athlete's weekly letter, in the order in which they are read."""

from collections.abc import Iterable
from datetime import date

from coachlib import __version__
from coachlib.analysis.season import Season
from coachlib.analysis.session import DomainTime, SessionResult
from coachlib.analysis.week import WeekResult
from coachlib.measures import load
from coachlib.report import charts, sentences, wording
from coachlib.report.blocks import Figure, Html
from coachlib.report.markdown import markdown_html, words_html
from coachlib.report.season_view import season_figures
from coachlib.report.tables import table
from coachlib.report.text import escape


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


def next_thing(week: WeekResult) -> Html:
    """The one thing to do next week."""
    thing = sentences.next_thing(week)
    caution = (
        '<p class="small">Before a test: well, rested and fed as usual, and free to stop at any time; the cautions '
        "at the end of this page apply.</p>"
        if thing.is_test
        else ""
    )
    return Html(
        f'<section class="next"><h2>One thing for next week</h2><p><strong>{escape(thing.what)}</strong> '
        f"{escape(thing.why)}</p>{caution}</section>"
    )


def evidence(week: WeekResult) -> Html:
    """The figures behind the sentences; one with nothing to say is left out."""
    figures = "".join(filter(None, [_zones(week), *(_steady(week, s) for s in _worth_drawing(week))]))
    return Html(f"<section><h2>What that rests on</h2>{figures}</section>" if figures else "")


def _worth_drawing(week: WeekResult) -> tuple[SessionResult, ...]:
    """Field tests, else the one hardest steady session."""
    tests = tuple(s for s in week.steady if s.kind == "drift test")
    told = [s for s in week.steady if sentences.says_enough(s)]
    return tests or tuple(sorted(told, key=lambda s: s.hr_mean_bpm or 0)[-1:])


def _zones(week: WeekResult) -> str | None:
    """Minutes in zones against a usual week."""
    total = sum(t.minutes for t in week.zone_times)
    if total <= 0:
        return None
    has_usual = any(t.usual_minutes is not None for t in week.zone_times)
    rows = [
        [
            charts.zone_label(t),
            f"{t.minutes:.0f}",
            "" if t.usual_minutes is None else f"{t.usual_minutes:.0f}",
        ]
        for t in week.zone_times
    ]
    caption = "Minutes in each of your zones this week"
    caption += (
        f"; the upright mark is the mean of the {wording.count(week.n_usual_weeks, 'week')} before."
        if has_usual
        else "; there are no earlier weeks to compare with yet."
    )
    split = week.distribution
    if split is not None:
        shares = [wording.percent(x) for x in (split.below_frac, split.between_frac, split.above_frac)]
        pattern = f", {_pattern(split.kind)}" if len(set(shares)) == 3 else ""
        caption += f" Below, between and above the two thresholds: {wording.listed(shares)}{pattern}."
    return Figure(
        charts.zone_bars(week.zone_times),
        title=_zone_finding(week),
        caption=caption,
        table=table(["Zone", "this week, min", "usual, min"], rows, caption="Minutes in zones"),
    )


def _pattern(kind: str) -> str:
    """The literature's name of a distribution, as part of a sentence."""
    return (
        f"a pattern called {kind}" if kind in ("pyramidal", "polarized", "threshold") else "no named pattern"
    )


def _zone_finding(week: WeekResult) -> str:
    """The title of the zone figure: the share below the first threshold, or where most minutes lay."""
    domains = week.domains
    if domains is not None and domains.total_s > 0:
        share = wording.percent(domains.below_s / domains.total_s)
        usual = _usual_below(week)
        against = f", usually {wording.percent(usual)}" if usual is not None else ""
        return f"{share} of the week lay below your first threshold{against}"
    most = max(week.zone_times, key=lambda t: t.minutes)
    return f"Most of the week was {most.name}"


def _usual_below(week: WeekResult) -> float | None:
    """The usual share below the first threshold, where a zone limit falls on it."""
    first = sentences.threshold_of(week, "first")
    if first is None or any(t.usual_minutes is None for t in week.zone_times):
        return None
    if not any(t.high_bpm == round(first.hr_bpm) for t in week.zone_times):
        return None
    below = sum(
        t.usual_minutes or 0.0
        for t in week.zone_times
        if t.high_bpm is not None and t.high_bpm <= round(first.hr_bpm)
    )
    total = sum(t.usual_minutes or 0.0 for t in week.zone_times)
    return below / total if total else None


def _steady(week: WeekResult, session: SessionResult) -> str:
    """One steady session: trace, halves, drift."""
    result = session.drift
    if result is None:
        return ""
    title = (
        f"{wording.DAYS[session.on.weekday()]}: heart rate "
        f"{'rose' if result.drift_pct >= 0 else 'fell'} by {wording.minus(abs(result.drift_pct), 1)} % "
        f"over {(result.stop_s - result.start_s) / 60:.0f} steady minutes"
    )
    window = (
        "window set by your coach"
        if session.window_from == "decisions"
        else "window suggested by the program"
    )
    left_out = f", {wording.duration(session.excluded_s)} left out" if session.excluded_s >= 30 else ""
    caption = (
        f"Heart rate by the minute; the field is the steady window, {window}{left_out}. "
        f"The change is {wording.drift(result)} within this run; with ordinary day-to-day scatter it could read "
        f"{wording.minus(result.day_low_pct, 1)} to {wording.minus(result.day_high_pct, 1)} %."
    )
    rows = [
        ["First half", f"{result.first_half_bpm:.1f} bpm"],
        ["Second half", f"{result.second_half_bpm:.1f} bpm"],
        ["Change", f"{wording.drift(result)}"],
        ["Heart rate used", wording.duration(result.used_s)],
    ]
    if session.decoupling_pct is not None:
        rows.append(["Output per beat, loss", f"{wording.minus(session.decoupling_pct, 1)} %"])
    numbers = table(["Steady window", "value"], rows, caption="The two halves")
    return Figure(charts.steady_trace(session, result), title=title, caption=caption, table=numbers)


def days(week: WeekResult) -> Html:
    """The week day by day, one row a session."""
    if not week.sessions and not week.unrecorded:
        return Html("")
    entries = [(s.on, s.local_start.isoformat(), _day(week, s)) for s in week.sessions]
    entries += [
        (r.on, "", _unrecorded(r.on, r.planned or r.kind or "", r.remarks, r.rpe)) for r in week.unrecorded
    ]
    rows = "".join(row for *_, row in sorted(entries, key=lambda e: e[:2]))
    return Html(f'<section><h2>Day by day</h2><ol class="days">{rows}</ol></section>')


def _day(week: WeekResult, session: SessionResult) -> str:
    """One session: what it was meant to be, what it was, how hard it felt, in whose words."""
    facts = [wording.duration(session.moving_s)]
    if session.distance_m:
        facts.append(wording.distance(session.distance_m))
    if session.climb_m and session.climb_m >= 20:
        facts.append(f"{session.climb_m:.0f} m up")
    if session.output is not None:
        facts.append(_output(session))
    if session.hr_mean_bpm:
        facts.append(wording.heart_rate(session.hr_mean_bpm))
    if session.drift is not None and sentences.says_enough(session):
        facts.append(f"drift {wording.drift(session.drift)}")
    meant = session.planned or session.kind or ""
    return (
        f'<li><div class="what"><span class="day">{wording.DAYS[session.on.weekday()]}</span> '
        f'<span class="meant">{escape(meant)}</span></div>'
        f'<div class="facts">{escape(" · ".join(facts))}</div>{_bar(session.domains)}'
        f"{_felt(session.rpe, session.remarks)}</li>"
    )


def _output(session: SessionResult) -> str:
    """Mean output the way the sport says it."""
    output = session.output
    if output is None:
        return ""
    if output.kind == "power":
        return f"{output.mean:.0f} W"
    said = wording.speed(output.mean, sport=session.sport, is_indoor=session.is_indoor)
    return f"{said} on the flat" if output.kind == "flat-equivalent speed" else said


def _unrecorded(on: date, planned: str, remarks: str | None, rpe: float | None) -> str:
    """A diary row without a recording."""
    return (
        f'<li><div class="what"><span class="day">{wording.DAYS[on.weekday()]}</span> '
        f'<span class="meant">{escape(planned)}</span></div><div class="facts">no recording</div>'
        f"{_felt(rpe, remarks)}</li>"
    )


def _felt(rpe: float | None, remarks: str | None) -> str:
    """RPE and the athlete's own words."""
    said = f'<span class="rpe">RPE {rpe:g}</span> ' if rpe is not None else ""
    if remarks:
        said += f"<q>{words_html(remarks)}</q>"
    return f'<div class="words">{said}</div>' if said else ""


def _bar(domains: DomainTime | None) -> str:
    """A thin bar of minutes below, between and above the thresholds, the minutes written beside it."""
    if domains is None or domains.total_s <= 0:
        return ""
    parts = [
        ("below", domains.below_s, 1),
        ("between", domains.between_s, 3),
        ("above", domains.above_s or 0.0, 5),
    ]
    if domains.above_s is None:
        parts = [("below", domains.below_s, 1), ("above", domains.between_s, 4)]
    shown = [(name, s, shade) for name, s, shade in parts if s >= 30]
    bars = "".join(
        f'<span class="part z{shade}" style="flex-grow:{max(s / domains.total_s, 0.02):.3f}"></span>'
        for _, s, shade in shown
    )
    said = ", ".join(f"{s / 60:.0f} min {name}" for name, s, _ in shown)
    return f'<div class="split"><div class="bar" aria-hidden="true">{bars}</div><span class="min">{said}</span></div>'


def season(behind: Season | None) -> Html:
    """The weeks that led to this one."""
    return season_figures(behind) if behind is not None else Html("")


def how_we_know(week: WeekResult) -> Html:
    """Thresholds, what was left out and why, what could not be told, cautions, methods, version."""
    parts = [
        _thresholds(week),
        _left_out(week),
        _load(week),
        _items("What this letter cannot say yet", week.not_told),
        _items("Cautions", sentences.CAUTIONS),
        f'<p class="made">Made by coachlib {escape(__version__)} from the recordings up to '
        f"{wording.full_date(week.sessions[-1].on) if week.sessions else wording.full_date(week.start_on)}. "
        f"Methods: {escape(', '.join(methods(week)))}. Drift of 5 % in an hour as the sign of the first threshold "
        "is common practice, not a published standard.</p>",
    ]
    return Html(f'<section class="how"><h2>How we know</h2>{"".join(parts)}</section>')


def methods(week: WeekResult) -> tuple[str, ...]:
    """The names and versions of the methods behind the letter's numbers."""
    names = {s.drift.method for s in week.steady if s.drift is not None}
    if week.distribution is not None:
        names.add(week.distribution.method)
    if week.load.trimp is not None:
        names.add(load.TRIMP_METHOD)
    if week.load.rpe_load is not None:
        names.add(load.RPE_METHOD)
    return tuple(sorted(names)) or ("none needed",)


def _items(title: str, sentences_: Iterable[str]) -> str:
    items = "".join(f"<li>{escape(s)}</li>" for s in sentences_)
    return f"<h3>{escape(title)}</h3><ul>{items}</ul>" if items else ""


def _thresholds(week: WeekResult) -> str:
    said = []
    for found in week.thresholds:
        t = found.threshold
        stale = ", due for a new look" if found.is_stale else ""
        how = f", {t.method}" if t.method else ""
        said.append(
            f"Your {t.which} threshold: {wording.threshold(t)}, {wording.full_date(t.on)}"
            f" ({wording.age_weeks(found.weeks)}{stale}){how}."
        )
    return _items("Thresholds", said)


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
        said += [f"{name}: {caveat}" + ("" if caveat.endswith(".") else ".") for caveat in s.caveats]
    said += [f"{u.recording}: {u.sentence}" for u in week.unreadable]
    return _items("The recordings", said)


def _load(week: WeekResult) -> str:
    """Load with its conventions; no word about injury."""
    told = week.load
    rows = []
    if told.trimp is not None:
        rows.append(["Load by heart rate", f"{told.trimp:.0f}", _or_blank(told.usual_trimp)])
    if told.rpe_load is not None:
        rows.append(["Load by session RPE", f"{told.rpe_load:.0f}", _or_blank(told.usual_rpe_load)])
    if told.monotony is not None and told.strain is not None:
        rows.append(["Monotony", f"{told.monotony:.2f}", ""])
        rows.append(["Strain", f"{told.strain:.0f}", ""])
    if not rows:
        return ""
    words = " ".join(
        [
            *(["By heart rate: Banister's sum over every second."] if told.trimp is not None else []),
            *(["By session RPE: minutes times rating (CR-10)."] if told.rpe_load is not None else []),
            *([load.MONOTONY_CONVENTION] if told.monotony is not None else []),
            "These figures describe the week; they foretell nothing.",
        ]
    )
    return (
        f"<h3>Load</h3>{table(['Load', 'this week', 'usual'], rows, caption='Arbitrary units')}"
        f"<p>{escape(words)}</p>"
    )


def _or_blank(value: float | None) -> str:
    return "" if value is None else f"{value:.0f}"
