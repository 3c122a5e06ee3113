"""What a series of drift tests says, for the coach: verdict, tests, drawing, conditions, the next test."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from coachlib.analysis.comparability import Condition, SeriesTest, Value
from coachlib.analysis.series import Series
from coachlib.analysis.session import DomainTime
from coachlib.measures.first_threshold import (
    HEAT_BPM_PER_C,
    HEAT_PCT_PER_C,
    REFERENCE_C,
    FirstThreshold,
    probability_below,
)
from coachlib.records.athlete import Athlete, Threshold
from coachlib.report import wording
from coachlib.report.blocks import Html
from coachlib.report.drift_charts import wide_figure
from coachlib.report.sentences import CAUTIONS
from coachlib.report.tables import table
from coachlib.report.text import escape
from coachlib.report.threshold_chart import Z90, is_hot, options_of, series_chart, verdict

#: A pull smaller than this is said to be none. [1/min]  Own choice: less than the estimate can be read to.
LEAST_PULL_BPM = 0.5
#: What these pages need beyond the letter's own style.
STYLE = (
    "<style>.letter table+h3,.letter table+p,.letter .across+h3{margin-top:1.2rem}"
    ".letter .across{overflow-x:auto}</style>"
)
CRITERION_CAUTION = (
    "5 % in an hour as the sign of the first threshold is common practice, not a published standard, and drift of "
    "that size can occur above it too: this is the heart rate at which drift meets the criterion. Let a second "
    "method (talk test, beat intervals, lactate) agree."
)


@dataclass(frozen=True, kw_only=True)
class Rejudged:
    """One session's time below, between and above, by the thresholds of its day and by the new ones."""

    on: date
    kind: str
    then: DomainTime | None
    now: DomainTime


def finding(series: Series, *, athlete: str, standing: Threshold | None) -> Html:
    """Verdict, what it means, and its numbers.

    Parameters
    ----------
    series : Series
        The analysed series.
    athlete : str
        The athlete's name.
    standing : Threshold or None
        The first threshold that is accepted now.
    """
    found = series.threshold
    first, last = series.tests[0].test.on, series.tests[-1].test.on
    when = (
        wording.full_date(last)
        if first == last
        else f"{wording.full_date(first)} to {wording.full_date(last)}"
    )
    count = wording.count(found.n_tests, "drift test")
    return Html(
        f'{STYLE}<header class="head"><h2>{escape(athlete)}: first threshold from a series</h2>'
        f'<p class="when">{count[0].upper()}{count[1:]}, {when}</p></header>'
        f'<p class="lead">{escape(" ".join(_said(series, standing)))}</p>{_numbers(series)}'
    )


def _said(series: Series, standing: Threshold | None) -> tuple[str, ...]:
    """The verdict as sentences: what, how sure, against the accepted one, where to go."""
    found = series.threshold
    said = [f"The heart rate at {found.criterion_pct:g} % drift is {verdict(found)}."]
    if found.bounded == "below":
        said.append(
            "No test has clearly risen towards the criterion yet, so there is no best guess, only a lower end."
        )
    elif found.bounded == "above":
        said.append("Every test lies above the criterion, so there is no best guess, only an upper end.")
    else:
        said.append(
            "Nine times in ten it lies in that range, half the time between "
            f"{found.hr_q25_bpm:.0f} and {wording.heart_rate(found.hr_q75_bpm)}."
        )
    if standing is not None:
        below = _below(series, standing.hr_bpm)
        said.append(
            f"Accepted so far: {wording.threshold(standing)}, since {wording.full_date(standing.on)}; by these tests it "
            f"lies lower than that with a probability of {_probability(below)}."
        )
    return tuple(said)


def _below(series: Series, hr_bpm: float) -> float:
    return probability_below(
        series.first_half_bpm, series.drift_pct, series.se_pct, hr_bpm=hr_bpm, **options_of(series)
    )


def _probability(share: float) -> str:
    """A probability without false certainty.

    Examples
    --------
    >>> _probability(0.004), _probability(0.52), _probability(0.999)
    ('less than 1 %', '52 %', 'more than 99 %')
    """
    if share < 0.01:
        return "less than 1 %"
    return "more than 99 %" if share > 0.99 else wording.percent(share)


def _numbers(series: Series) -> str:
    """The estimate's numbers, with no best guess where the tests do not hold one."""
    found = series.threshold
    rows = []
    if found.bounded == "both":
        rows += [
            ("Best guess (middle of the probability)", wording.heart_rate(found.hr_bpm)),
            ("50 % interval", f"{found.hr_q25_bpm:.0f} to {wording.heart_rate(found.hr_q75_bpm)}"),
            ("90 % interval", f"{found.hr_low_bpm:.0f} to {wording.heart_rate(found.hr_high_bpm)}"),
        ]
    elif found.bounded == "below":
        rows += [
            ("95 % sure that it is above", wording.heart_rate(found.hr_low_bpm)),
            ("Upper end, made by what is usual and not by the tests", wording.heart_rate(found.hr_high_bpm)),
        ]
    else:
        rows += [
            ("95 % sure that it is below", wording.heart_rate(found.hr_high_bpm)),
            ("Lower end, made by what is usual and not by the tests", wording.heart_rate(found.hr_low_bpm)),
        ]
    highest = max(t.reference_hr_bpm for t in series.tests)
    rows.append(
        (
            f"Probability that it lies below {wording.heart_rate(highest)}, the highest test",
            _probability(_below(series, highest)),
        )
    )
    if series.output is not None and found.bounded == "both":
        rows.append(("Output at that heart rate", output_words(series)))
    rows += [("Criterion", f"{found.criterion_pct:g} % in an hour"), ("Method", found.method)]
    caveats = "".join(f"<li>{escape(sentence(c))}</li>" for c in (*found.caveats, *series.caveats))
    more = f"<h3>What to be careful about</h3><ul>{caveats}</ul>" if caveats else ""
    return (
        table(("The estimate", "Value"), rows, caption="Heart rate in the first half of a steady hour") + more
    )


def output_words(series: Series) -> str:
    """Speed at a grade, or power, at the threshold's heart rate, with its 90 % interval; "" where unknown."""
    out = series.output
    if out is None:
        return ""
    if out.unit == "W":
        return f"{out.value:.0f} W ({out.low:.0f} to {out.high:.0f})"
    grade = "" if out.grade is None else f" at {100 * out.grade:g} %"
    return f"{3.6 * out.value:.1f} km/h ({3.6 * out.low:.1f} to {3.6 * out.high:.1f}){grade}"


def sentence(words: str) -> str:
    """A caveat as a sentence."""
    words = words.replace("degC", "°C")
    return f"{words[:1].upper()}{words[1:]}" + ("" if words.endswith((".", "!", "?")) else ".")


def chart(series: Series) -> Html:
    """Drift against first-half heart rate, the curves' band, the criterion, the posterior along the axis."""
    found = series.threshold
    hot = any(is_hot(t.test) for t in series.tests)
    caption = (
        "Each point is a test: mean heart rate of the first half, drift brought to an hour with its 90 % interval of "
        "that run alone. The band holds the curve nine times in ten, the line is its middle; the shape on the axis is the "
        "probability of the threshold, dark for its middle 90 %."
    )
    if hot:
        caption += (
            f" Open points are hot tests as measured; an arrow leads to where they count, {HEAT_BPM_PER_C:g} bpm and "
            f"{HEAT_PCT_PER_C:g} % less for each degree above {REFERENCE_C:g}."
        )
    if any(t.test.typed for t in series.tests):
        caption += " Squares were typed in and count with a wider error."
    return wide_figure(series_chart(series), title=_chart_title(found), caption=caption)


def _chart_title(found: FirstThreshold) -> str:
    if found.bounded == "below":
        return f"No test has reached {found.criterion_pct:g} % yet: {verdict(found)}"
    if found.bounded == "above":
        return f"Every test lies above {found.criterion_pct:g} %: {verdict(found)}"
    return f"Drift meets {found.criterion_pct:g} % at {verdict(found)}"


def series_tests(series: Series, *, left_out: Sequence[str]) -> Html:
    """The tests one by one: settings, what was measured, what counts, which way each pulls."""
    rows = [
        (
            wording.short_date(t.test.on) + (" (typed in)" if t.test.typed else ""),
            _setting(t.test) or "heart rate only",
            f"{t.test.first_half_bpm:.1f}",
            f"{wording.minus(t.hour_drift_pct, 1)} ± {Z90 * t.hour_se_pct:.1f}",
            _counted(series, i),
            _pull(t.pull_bpm),
        )
        for i, t in enumerate(series.tests)
    ]
    head = ("Test", "Settings", "First half, bpm", "Drift in an hour, %", "Counts as", "Pull")
    told = table(
        head, rows, caption="± is the 90 % interval of the run alone; day-to-day scatter comes on top"
    )
    items = "".join(f"<li>{escape(sentence(s))}</li>" for s in left_out)
    return Html(
        f"<h2>The tests, and which way each pulls</h2>{told}<p>{escape(_pull_words(series))}</p>"
        + (f"<h3>Not in the series</h3><ul>{items}</ul>" if items else "")
    )


def _setting(test: SeriesTest) -> str:
    return wording.setting(speed_mps=test.speed_mps, grade=test.grade, power_w=test.power_w)


def _counted(series: Series, i: int) -> str:
    """What the estimate took the test for, where that is not what was measured."""
    placed = series.tests[i]
    said = []
    if is_hot(placed.test):
        said.append(
            f"{placed.reference_hr_bpm:.1f} bpm, {wording.minus(placed.reference_drift_pct, 1)} % at {REFERENCE_C:g} °C"
        )
    if placed.test.was_unwell:
        said.append("less: unwell")
    if placed.test.typed:
        said.append("wider error")
    return "; ".join(said) or "measured"


def _pull(bpm: float) -> str:
    if abs(bpm) < LEAST_PULL_BPM:
        return "none"
    return f"{'up' if bpm > 0 else 'down'} {abs(bpm):.1f} bpm"


def _pull_words(series: Series) -> str:
    """Which tests pull which way, in a sentence."""
    up = [wording.short_date(t.test.on) for t in series.tests if t.pull_bpm >= LEAST_PULL_BPM]
    down = [wording.short_date(t.test.on) for t in series.tests if t.pull_bpm <= -LEAST_PULL_BPM]
    if not up and not down:
        return f"No single test moves the estimate by more than {LEAST_PULL_BPM:g} bpm: they agree."
    parts = []
    if up:
        parts.append(f"{wording.listed(up)} {'pulls' if len(up) == 1 else 'pull'} the estimate up")
    if down:
        parts.append(f"{wording.listed(down)} {'pulls' if len(down) == 1 else 'pull'} it down")
    return f"{'; '.join(parts)}. The last column is by how much it would move without that test."


def conditions(series: Series) -> Html:
    """What differed between the tests, what the literature says about it, what the estimate did."""
    known = series.conditions
    if len(series.tests) < 2 or not known:
        return Html("")
    days = [wording.short_date(t.test.on) for t in series.tests]
    rows = [
        (("≠ " if c.differs else "") + _named(c), *(_value(c, v) for v in c.values))
        for c in sorted(known, key=lambda c: not c.differs)
    ]
    told = table(("Condition", *days), rows, caption="≠ marks what differed; an empty cell is unknown")
    differing = series.different
    if not differing:
        words = "<p>Nothing that the diary tells differed noticeably between the tests.</p>"
    else:
        items = "".join(
            f"<li><strong>{escape(_named(c)[:1].upper() + _named(c)[1:])}.</strong> Literature: {escape(sentence(c.literature))} "
            f"The estimate: {escape(sentence(c.estimate))}</li>"
            for c in differing
        )
        words = f"<h3>What differed, and what to make of it</h3><ul>{items}</ul>"
    return Html(f'<h2>Were the tests alike?</h2><div class="across">{told}</div>{words}')


_UNITS = {"degC": "°C"}


def _named(condition: Condition) -> str:
    unit = _UNITS.get(condition.unit, condition.unit)
    return f"{condition.name}, {unit}" if unit else condition.name


def _value(condition: Condition, value: Value) -> str:
    """One cell; hours of the day as a clock tells them."""
    if value is None:
        return ""
    if condition.name == "time of day" and isinstance(value, float | int):
        return f"{int(value)}:{round(60 * (value % 1)):02d}"
    return f"{value:g}" if isinstance(value, float | int) else str(value)


def proposal(series: Series, *, on: date) -> Threshold:
    """The threshold as it would be accepted: the best guess, or the end that the tests hold.

    Parameters
    ----------
    series : Series
        The analysed series.
    on : date
        From when it shall hold.

    Source
    ------
    This project's own choice: where the tests hold one end only, that end is the value and the other end
    stays open.
    """
    found = series.threshold
    low = None if found.bounded == "above" else float(round(found.hr_low_bpm))
    high = None if found.bounded == "below" else float(round(found.hr_high_bpm))
    value = {"both": round(found.hr_bpm), "below": low, "above": high}[found.bounded]
    out = series.output if found.bounded == "both" else None
    typed = sum(t.test.typed for t in series.tests)
    note = {"both": "", "below": "at least", "above": "at most"}[found.bounded]
    if typed:
        note = f"{note}; {wording.count(typed, 'typed test')} counted".lstrip("; ")
    if found.criterion_pct != 5.0:
        note = f"{note}; criterion {found.criterion_pct:g} %".lstrip("; ")
    return Threshold(
        which="first",
        on=on,
        hr_bpm=float(value or found.hr_bpm),
        hr_low_bpm=low,
        hr_high_bpm=high,
        speed_mps=round(out.value * 36) / 36 if out is not None and out.unit == "m/s" else None,
        grade=out.grade if out is not None else None,
        power_w=float(round(out.value)) if out is not None and out.unit == "W" else None,
        method=found.method,
        tests=tuple(t.test.sha256 for t in series.tests if t.test.sha256),
        note=note,
    )


def rejudged(sessions: Sequence[Rejudged], *, new: Threshold) -> Html:
    """The last weeks by the thresholds of their days, and as they would look with the new one."""
    if not sessions:
        return Html("")
    judged = [s for s in sessions if s.then is not None]
    rows = [(wording.short_date(s.on), s.kind, _split(s.then), _split(s.now)) for s in sessions]
    told = table(
        ("Session", "Kind", "as judged then", "with the new one"),
        rows,
        caption="Minutes below / between / above the thresholds",
    )
    now = sum(s.now.below_s for s in sessions) / max(sum(s.now.total_s for s in sessions), 1.0)
    title = f"With {wording.heart_rate(new.hr_bpm)}, {wording.percent(now)} of the last weeks lay below the first threshold"
    if judged:
        then = sum(s.then.below_s for s in judged if s.then) / max(
            sum(s.then.total_s for s in judged if s.then), 1.0
        )
        title += f"; by the thresholds of those days it was {wording.percent(then)}"
    return Html(
        f"<h2>How the last weeks would look</h2><p>{escape(title)}. Earlier sessions keep the thresholds of their day; "
        f"only later ones are judged by a newly accepted one.</p>"
        f"<details><summary>Session by session</summary>{told}</details>"
    )


def _split(time: DomainTime | None) -> str:
    if time is None:
        return "not judged"
    parts = [time.below_s, time.between_s] + ([time.above_s] if time.above_s is not None else [])
    return " / ".join(f"{s / 60:.0f}" for s in parts)


def standing_thresholds(athlete: Athlete, which: str) -> Html:
    """The thresholds accepted so far, with those withdrawn marked."""
    found = sorted((t for t in athlete.thresholds if t.which == which), key=lambda t: t.on)
    if not found:
        return Html(f"<h2>Accepted so far</h2><p>No {which} threshold is accepted yet.</p>")
    rows = [
        (
            wording.full_date(t.on),
            wording.threshold(t) + (f", {t.note}" if t.note else ""),
            t.method,
            str(len(t.tests)) if t.tests else "",
            "withdrawn" if t.withdrawn else "stands",
        )
        for t in found
    ]
    head = ("From", "Threshold", "Method", "Tests", "")
    return Html(
        f"<h2>Accepted so far</h2>{table(head, rows, caption='Each holds from its day until the next')}"
    )


def cautions() -> Html:
    """What goes with every series."""
    items = "".join(f"<li>{escape(c)}</li>" for c in (CRITERION_CAUTION, *CAUTIONS))
    return Html(f'<h2>Cautions</h2><ul class="small">{items}</ul>')
