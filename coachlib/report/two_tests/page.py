"""Two steady tests side by side: what changed, both traces, what differed, how that is known."""

from dataclasses import dataclass

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.first_threshold.two_tests import TwoTests
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.report.first_threshold.series_tests_view import condition_name, condition_value
from coachlib.report.look.tables import table
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Figure, Html
from coachlib.report.two_tests.charts import BIN_BPM, by_heart_rate, median_bpm, over_time
from coachlib.report.words import wording
from coachlib.report.words.catalogue import whole
from coachlib.report.words.test_conditions import done_about, literature_on
from coachlib.report.words.two_tests import drift_change, hr_change


@dataclass(frozen=True, kw_only=True)
class Shown:
    """Two tests with the recordings behind them; a typed test has none."""

    athlete: str
    found: TwoTests
    earlier: JudgedRecording | None
    later: JudgedRecording | None


def blocks(shown: Shown) -> tuple[Html, ...]:
    """The whole page in its order."""
    return head(shown), figures(shown), numbers(shown), differences(shown), how(shown)


def head(shown: Shown) -> Html:
    """Whose tests, of which days, and what changed."""
    found = shown.found
    days = " and ".join(wording.full_date(t.on) for t in (found.earlier, found.later))
    said = " ".join(filter(None, (_hr_said(found), _drift_said(found))))
    return Html(
        f'<header class="head"><h1>Two tests side by side</h1><p class="when">{escape(f"{shown.athlete}, {days}")}</p>'
        f'</header><p class="lead">{escape(said)}</p>'
    )


def _hr_said(found: TwoTests) -> str:
    if found.hr is None:
        return whole(found.hr_not_told) if found.hr_not_told is not None else ""
    hr = found.hr
    return hr_change(
        hr.size, hr.low, hr.high, hr.call, since=found.earlier.on, is_moved=abs(found.moved_bpm) > 0
    )


def _drift_said(found: TwoTests) -> str:
    if found.drift is None:
        told_before = found.drift_not_told == found.hr_not_told
        return "" if told_before or found.drift_not_told is None else whole(found.drift_not_told)
    drift = found.drift
    return drift_change(drift.size, drift.low, drift.high, drift.call)


def figures(shown: Shown) -> Html:
    """Both traces over each other, by elapsed time and by heart rate; nothing where one has no recording."""
    one, other = shown.earlier, shown.later
    if one is None or other is None:
        return Html(
            "<p>One of the tests is known by its two half means only, so there is no trace to draw.</p>"
        )
    caption = (
        "Heart rate by the minute since each began. Strong: the steady window; thin: before and after it."
    )
    drawn = [Figure(over_time(one, other), title=_time_title(shown.found), caption=caption)]
    middles = [median_bpm(s) for s in (one, other)]
    if None not in middles:
        drawn.append(
            Figure(
                by_heart_rate(one, other),
                title=f"Half of the time lay at or below {middles[1]:.0f} bpm; before at or below {middles[0]:.0f}",
                caption=f"Minutes of the whole recording at each heart rate, {BIN_BPM} beats together.",
            )
        )
    return Html(f'<section><h2>Over each other</h2><div class="pairs">{"".join(drawn)}</div></section>')


def _time_title(found: TwoTests) -> str:
    one, other = found.earlier.first_half_bpm, found.later.first_half_bpm
    apart = round(other) - round(one)
    if apart == 0:
        return f"Both first halves at {wording.heart_rate(one)}"
    return f"First half {wording.heart_rate(other)}, {abs(apart)} {'lower' if apart < 0 else 'higher'} than before"


def numbers(shown: Shown) -> Html:
    """The numbers of both tests beside each other."""
    found = shown.found
    tests = (found.earlier, found.later)
    rows = [
        ["Setting", *(_setting(t) for t in tests)],
        ["Window", *(f"{t.minutes:.0f} min" for t in tests)],
        ["First half", *(f"{t.first_half_bpm:.1f} bpm" for t in tests)],
        ["Drift over an hour", *(f"{wording.minus(t.drift_pct * t.to_hour, 1)} %" for t in tests)],
        ["Effort, 0 to 10", *("" if (r := _rpe(t)) is None else wording.plain(r) for t in tests)],
    ]
    kept = [row for row in rows if any(row[1:])]
    told = table(["", *(wording.full_date(t.on) for t in tests)], kept, caption="The numbers of both")
    return Html(f'<h2>The numbers</h2><div class="across">{told}</div>')


def _setting(test: SeriesTest) -> str:
    return wording.setting(speed_mps=test.speed_mps, grade=test.grade, power_w=test.power_w)


def _rpe(test: SeriesTest) -> float | None:
    return test.conditions.rpe if test.conditions is not None else None


def differences(shown: Shown) -> Html:
    """What differed between the days, what the literature says of it, and what was done about it."""
    known = shown.found.conditions
    days = [wording.short_date(t.on) for t in (shown.found.earlier, shown.found.later)]
    if not known:
        return Html("<h2>Were the days alike?</h2><p>The diary tells nothing of either day.</p>")
    rows = [
        [("≠ " if c.differs else "") + condition_name(c), *(condition_value(c, v) for v in c.values)]
        for c in sorted(known, key=lambda c: not c.differs)
    ]
    told = table(["Condition", *days], rows, caption="≠ marks what differed; an empty cell is unknown")
    items = "".join(
        f"<li><strong>{escape(c.name[:1].upper() + c.name[1:])}.</strong> {escape(literature_on(c.name))}. Here: "
        f"{escape(done_about(c.name))}.</li>"
        for c in known
        if c.differs
    )
    words = (
        f"<h3>What differed</h3><ul>{items}</ul>"
        if items
        else "<p>Nothing that the diary tells differed noticeably.</p>"
    )
    return Html(f'<h2>Were the days alike?</h2><div class="across">{told}</div>{words}')


def how(shown: Shown) -> Html:
    """What the intervals hold, and what to be careful about."""
    found = shown.found
    said = [
        "Intervals hold nine in ten: what one day differs from another (2.5 bpm and 1 point of drift, each test), what the "
        "slope of heart rate on output may be out where settings differ, and heat.",
        *(whole(caveat) for caveat in found.caveats),
    ]
    if found.moved_bpm:
        moved = wording.minus(found.moved_bpm, 0)
        said.insert(1, f"The later test counts {moved} bpm for its other setting, by the usual slope.")
    items = "".join(f"<li>{escape(s)}</li>" for s in said)
    return Html(f'<section class="how"><h2>How we know</h2><ul>{items}</ul></section>')
