"""The season review: what it was, what changed surely and what cannot be told, and the numbers behind it."""

from datetime import date, timedelta

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.season.output_trend import OutputTrend
from coachlib.analysis.season.review import Dated, Month, Review, ThresholdMove
from coachlib.records.thresholds import Threshold
from coachlib.report.letter.season_trend import about, output_figure, title_of
from coachlib.report.letter.season_view import training_figure
from coachlib.report.look.tables import table
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.words import wording
from coachlib.report.words.catalogue import whole
from coachlib.report.words.cautions import CAUTION
from coachlib.report.words.sports import sport_in_words

#: How a change is called that stands among what changed.
_SURE = ("likely", "clear")
#: Two sheets of paper: less air than on the screen, tables in two columns.
STYLE = (
    "<style>.letter .season-tables{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(20rem,100%),1fr));gap:0 2.5rem}"
    ".letter .season-tables>section{min-width:0}.letter h2+ul{margin-top:.4rem}.letter .season-tables+.pairs{margin-top:2rem}"
    "@media print{.letter .season-tables{grid-template-columns:1fr 1fr;gap:0 8mm}.letter .season-tables table{font-size:8.5pt}"
    ".letter h2{margin-top:4mm}.letter .pairs{margin:0}.letter .pairs details>table{display:none}.letter li{margin:0 0 .5mm}}</style>"
)


def blocks(found: Review, *, coach: str = "") -> tuple[Html, ...]:
    """The whole page in its order."""
    return head(found, coach), changes(found), figures(found), tables(found), how(found)


def head(found: Review, coach: str) -> Html:
    """Whose season, from when to when, and what it was in three sentences."""
    last = found.stop_on - timedelta(days=1)
    n_weeks = len(found.season.weeks)
    when = (
        f"{wording.full_date(found.start_on)} to {wording.full_date(last)}, {wording.count(n_weeks, 'week')}"
    )
    from_coach = f'<p class="from">from {escape(coach)}</p>' if coach else ""
    said = " ".join((_what_it_was(found), *_most_sure(found)))
    return Html(
        f'{STYLE}<header class="head"><h1>{escape(found.athlete.name)}: the season</h1>'
        f'<p class="when">{escape(when)}</p>{from_coach}</header><p class="lead">{escape(said)}</p>'
    )


def _what_it_was(found: Review) -> str:
    n = wording.count(found.n_sessions, "session")
    trained = sum(1 for week in found.season.weeks if week.n_sessions)
    a_week = wording.duration(found.moving_s / max(trained, 1))
    up = f" and {wording.height(found.climb_m)} up" if found.climb_m >= 1000 else ""
    return (
        f"{n[0].upper()}{n[1:]} in {wording.duration(found.moving_s)}{up}, about {a_week} in each of the "
        f"{wording.count(trained, 'week')} with training."
    )


def _most_sure(found: Review) -> list[str]:
    """The first sure change, or that none can be told; the others stand below."""
    sure = [s for s, call in _told(found) if call in _SURE]
    return sure[:1] or ["No change can be told from one day's and one test's scatter."]


def _told(found: Review) -> list[tuple[str, str]]:
    """Every change as a sentence, with how sure it is."""
    trends = [(_trend(t), t.call) for t in found.season.trends if t.weeks]
    return [*trends, *((_move(m), m.call) for m in found.moves if m.change_bpm is not None)]


def _trend(trend: OutputTrend) -> str:
    said = title_of(trend)
    return f"{sport_in_words(trend.sport).capitalize()}: {said[:1].lower()}{said[1:]}."


def _move(move: ThresholdMove) -> str:
    """How a threshold moved, and how surely."""
    change = move.change_bpm or 0.0
    sport = f" in {sport_in_words(move.sport)}" if move.sport else ""
    by = f"{wording.heart_rate(abs(change))} {'lower' if change < 0 else 'higher'}"
    ends = ""
    if move.change_low_bpm is not None and move.change_high_bpm is not None:
        low, high = sorted((-1 if change < 0 else 1) * e for e in (move.change_low_bpm, move.change_high_bpm))
        ends = f" ({wording.minus(low, 0)} to {wording.minus(high, 0)}): {move.call}"
    else:
        ends = ": how sure that is cannot be told, one of the two has no interval"
    since = wording.full_date(move.earlier.on) if move.earlier is not None else ""
    return f"The {move.which} threshold{sport} is accepted {by} than on {since}{ends}."


def changes(found: Review) -> Html:
    """What changed surely, and what cannot be told."""
    told = _told(found)
    sure = [s for s, call in told if call in _SURE]
    open_ = [s for s, call in told if call not in _SURE]
    open_ += [_alone(m) for m in found.moves if m.earlier is None]
    open_ += [whole(c) for c in found.season.not_told]
    return Html(
        f'<div class="season-tables">{_items("What changed", sure) or _items("What changed", ["Nothing that is sure."])}'
        f"{_items('What cannot be told', list(dict.fromkeys(open_)))}</div>"
    )


def _alone(move: ThresholdMove) -> str:
    sport = f" in {sport_in_words(move.sport)}" if move.sport else ""
    return f"Whether the {move.which} threshold{sport} moved: it was accepted once."


def figures(found: Review) -> Html:
    """Output at a heart rate with its band, and the hours; open on every screen."""
    drawn = [f for f in (output_figure(found.season), training_figure(found.season)) if f]
    said = about(found.season)
    more = f'<p class="small">{escape(said)}</p>' if said and not drawn else ""
    return Html(f'<div class="pairs">{"".join(drawn)}</div>{more}' if drawn or more else "")


def tables(found: Review) -> Html:
    """Months, thresholds, tests, days apart and events."""
    parts = (_months(found.months), _thresholds(found), _tests(found), _dated(found.dated))
    return Html(f'<div class="season-tables">{"".join(f"<section>{p}</section>" for p in parts if p)}</div>')


def _months(months: tuple[Month, ...]) -> str:
    if not months:
        return ""
    has_domains = any(m.domains is not None for m in months)
    has_above = any(m.domains is not None and m.domains.above_s is not None for m in months)
    parts = ["below", *(["between", "above"] if has_above else ["above"])] if has_domains else []
    rows = [
        [
            f"{wording.MONTHS[m.first_on.month - 1]} {m.first_on.year}",
            str(m.n_sessions),
            wording.duration(m.moving_s),
            *_shares(m, has_above=has_above)[: len(parts)],
        ]
        for m in months
    ]
    caption = "Time below, between and above the thresholds of the day" if has_domains else "By month"
    return f"<h2>By month</h2>{table(['', 'sessions', 'time', *parts], rows, caption=caption)}"


def _shares(month: Month, *, has_above: bool) -> list[str]:
    d = month.domains
    if d is None or d.total_s <= 0:
        return [""] * 3
    seconds = (
        (d.below_s, d.between_s, d.above_s) if has_above else (d.below_s, d.between_s + (d.above_s or 0.0))
    )
    return ["" if s is None else wording.percent(s / d.total_s) for s in seconds]


def _thresholds(found: Review) -> str:
    """Every threshold that stood in the season, with its interval and how it was found."""
    standing = [m.earlier for m in found.moves if m.earlier is not None] + [m.later for m in found.moves]
    within = [t for t in found.season.thresholds if t not in standing]
    every: list[Threshold] = sorted([*standing, *within], key=lambda t: (t.which, t.sport or "", t.on))
    if not every:
        return ""
    rows = [
        [
            f"{t.which.capitalize()}{f', {sport_in_words(t.sport)}' if t.sport else ''}",
            wording.full_date(t.on),
            wording.threshold(t),
        ]
        for t in every
    ]
    told = table(["", "from", "value (90 %)"], rows, caption="Accepted thresholds")
    return f"<h2>Thresholds</h2>{told}"


def _tests(found: Review) -> str:
    rows = [_steady_row(t) for t in found.tests] + [_trial_row(s) for s in found.trials]
    if not rows:
        return ""
    rows.sort(key=lambda row: row[0])
    said = [[wording.full_date(on), kind, result] for on, kind, result in rows]
    return f"<h2>Tests</h2>{table(['', 'test', 'result'], said, caption='Drift is brought to an hour')}"


def _steady_row(test: SeriesTest) -> tuple[date, str, str]:
    setting = wording.setting(speed_mps=test.speed_mps, grade=test.grade, power_w=test.power_w)
    drift = f"{wording.minus(test.drift_pct * test.to_hour, 1)} %"
    at = f", {setting}" if setting else ""
    return test.on, "steady", f"{wording.heart_rate(test.first_half_bpm)}, drift {drift}{at}"


def _trial_row(session: JudgedRecording) -> tuple[date, str, str]:
    facts = [wording.duration(session.moving_s)]
    if session.hr_mean_bpm is not None:
        facts.append(wording.heart_rate(session.hr_mean_bpm))
    return session.on, session.kind or "test", ", ".join(facts)


def _dated(dated: tuple[Dated, ...]) -> str:
    if not dated:
        return ""
    rows = [
        [
            wording.full_date(d.on),
            wording.full_date(d.until_on) if d.until_on and d.until_on != d.on else "",
            f"{d.kind}: {d.name}" if d.name else d.kind,
        ]
        for d in dated
    ]
    return f"<h2>Illness, journeys, events</h2>{table(['from', 'to', 'what'], rows, caption='Days that explain what is seen')}"


def how(found: Review) -> Html:
    """What the words and intervals mean, and cautions."""
    said = [
        "Clear, likely and possible mean the same as in the weekly letter: how large a change is beside its doubt. Intervals "
        "hold nine in ten. A threshold is accepted by the coach; between two of them the doubt of both counts.",
        "Output at a heart rate is that of minutes 10 to 25 of steady sessions, hills and heat taken out, against the weeks "
        "named above.",
        CAUTION,
    ]
    items = "".join(f"<li>{escape(s)}</li>" for s in said)
    return Html(f'<section class="how"><h2>How we know</h2><ul>{items}</ul></section>')


def _items(title: str, said: list[str]) -> str:
    items = "".join(f"<li>{escape(s)}</li>" for s in said)
    return f"<section><h2>{escape(title)}</h2><ul>{items}</ul></section>" if items else ""
