"""What a series of drift tests says, for the coach: verdict, numbers, drawing, cautions."""

from collections.abc import Sequence

from coachlib.analysis.first_threshold.agreement import Held
from coachlib.analysis.first_threshold.series import Series
from coachlib.measures.drift_test.reference_conditions import HEAT_BPM_PER_C, HEAT_PCT_PER_C, REFERENCE_C
from coachlib.measures.first_threshold.estimate import FirstThreshold, FittedSeries
from coachlib.records.athlete import Threshold
from coachlib.report.figures.threshold_chart import is_hot, series_chart
from coachlib.report.first_threshold.second_opinions_view import agreement
from coachlib.report.look.tables import table
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html, wide_figure
from coachlib.report.words import wording
from coachlib.report.words.catalogue import whole
from coachlib.report.words.cautions import CAUTIONS
from coachlib.report.words.first_threshold import estimated

#: What these pages need beyond the letter's own style.
STYLE = (
    "<style>.letter table+h3,.letter table+p,.letter .across+h3{margin-top:1.2rem}"
    ".letter .across{overflow-x:auto}</style>"
)
#: Nearer than this an accepted value and the estimate are the same. [1/min]  Own choice: a beat.
SAME_BPM = 1.0
CRITERION_CAUTION = (
    "5 % in an hour as the sign of the first threshold is common practice, not a published standard, and drift of "
    "that size can occur above it too: this is the heart rate at which drift meets the criterion. Let a second "
    "method (talk test, beat intervals, lactate) agree."
)


def finding(series: Series, *, athlete: str, standing: Threshold | None, held: Sequence[Held] = ()) -> Html:
    """Verdict, what it means, and which other signs agree.

    Parameters
    ----------
    series : Series
        The analysed series.
    athlete : str
        The athlete's name.
    standing : Threshold or None
        The first threshold that is accepted now.
    held : sequence of Held
        Other signs held against the estimate.
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
        f'<p class="when">{count[0].upper()}{count[1:]}{_of_sport(series)}, {when}</p></header>'
        f'<p class="lead">{escape(" ".join(_said(series, standing, held)))}</p>'
    )


def _of_sport(series: Series) -> str:
    return f" in {series.sport}" if series.sport else ""


def _said(series: Series, standing: Threshold | None, held: Sequence[Held]) -> tuple[str, ...]:
    """The verdict as sentences: a contradiction first, then what, how sure, what other signs say, what stands."""
    found = series.threshold
    said = [_contradiction(series)] if series.contradiction is not None else []
    if not found.is_unresolved:
        said.append(f"The heart rate at {found.criterion_pct:g} % drift is {estimated(found)}.")
        said.append(_how_sure(found))
    if others := agreement(held):
        said.append(others)
    if standing is not None:
        said.append(
            f"Accepted so far: {standing_words(standing)}, since {wording.full_date(standing.on)}"
            f"{_against(series, standing)}."
        )
    return tuple(said)


def _how_sure(found: FirstThreshold) -> str:
    if found.bounded == "below":
        return "No test has clearly risen towards the criterion yet, so there is no best guess, only a lower end."
    if found.bounded == "above":
        return "Every test lies above the criterion, so there is no best guess, only an upper end."
    return (
        "Nine times in ten it lies in that range, half the time between "
        f"{found.hr_q25_bpm:.0f} and {wording.heart_rate(found.hr_q75_bpm)}."
    )


def _contradiction(series: Series) -> str:
    """The two tests that contradict each other, and in what they differed."""
    caveat = next(c for c in series.threshold.caveats if c.name == "tests contradict")
    said = whole(caveat)
    differed = list(series.contradiction or ())
    if differed:
        return f"{said} They differed in {wording.listed(differed)}."
    return f"{said} Nothing that the diary tells differed between them."


def standing_words(standing: Threshold) -> str:
    """An accepted threshold; a bound as what it is."""
    if standing.bounded is None:
        return wording.threshold(standing)
    return f"{'at least' if standing.bounded == 'above' else 'at most'} {wording.heart_rate(standing.hr_bpm)}"


def _against(series: Series, standing: Threshold) -> str:
    """What the tests make of the accepted value; nothing of a bound, and nothing where they do not tell."""
    found = series.threshold
    if found.is_unresolved or standing.bounded is not None:
        return ""
    if found.bounded == "both" and abs(found.hr_bpm - standing.hr_bpm) <= SAME_BPM:
        return "; these tests say the same"
    below = FittedSeries(series.asked).probability_below(standing.hr_bpm)
    return f"; by these tests it lies lower than that with a probability of {_probability(below)}"


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


def numbers(series: Series) -> Html:
    """The estimate's numbers: no best guess and no end that the tests do not hold."""
    found = series.threshold
    rows = []
    if found.has_best_guess:
        rows += [
            ("Best guess (middle of the probability)", wording.heart_rate(found.hr_bpm)),
            ("50 % interval", f"{found.hr_q25_bpm:.0f} to {wording.heart_rate(found.hr_q75_bpm)}"),
            ("90 % interval", f"{found.hr_low_bpm:.0f} to {wording.heart_rate(found.hr_high_bpm)}"),
        ]
    elif found.bounded == "below":
        rows.append(("95 % sure that it is above", wording.heart_rate(found.hr_low_bpm)))
    elif found.bounded == "above":
        rows.append(("95 % sure that it is below", wording.heart_rate(found.hr_high_bpm)))
    if not found.is_unresolved:
        highest = max(t.reference_hr_bpm for t in series.tests)
        below = FittedSeries(series.asked).probability_below(highest)
        rows.append(
            (
                f"Probability that it lies below {wording.heart_rate(highest)}, the highest test",
                _probability(below),
            )
        )
    if series.output is not None and found.has_best_guess:
        rows.append(("Output at that heart rate", output_words(series)))
    rows += [("Criterion", f"{found.criterion_pct:g} % in an hour"), ("Method", found.method)]
    caption = "Heart rate in the first half of a steady hour"
    return Html(table(("The estimate", "Value"), rows, caption=caption))


def cautious(series: Series) -> Html:
    """What to be careful about in this estimate; empty where there is nothing."""
    caveats = (*series.threshold.caveats, *series.caveats)
    items = "".join(f"<li>{escape(whole(c))}</li>" for c in caveats)
    return Html(f"<h2>What to be careful about</h2><ul>{items}</ul>" if items else "")


def output_words(series: Series) -> str:
    """Speed at a grade, or power, at the threshold's heart rate, with its 90 % interval; "" where unknown."""
    out = series.output
    if out is None:
        return ""
    if out.unit == "W":
        return f"{out.value:.0f} W ({out.low:.0f} to {out.high:.0f})"
    grade = "" if out.grade is None else f" at {100 * out.grade:g} %"
    value, low, high = map(wording.in_speed_unit, (out.value, out.low, out.high))
    return f"{value:.1f} {wording.speed_unit()} ({low:.1f} to {high:.1f}){grade}"


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
            f" Open points are hot tests as measured; an arrow leads to where they count, {wording.plain(wording.per_degree(HEAT_BPM_PER_C))} bpm and "
            f"{wording.plain(wording.per_degree(HEAT_PCT_PER_C))} % less for each degree above {wording.temperature(REFERENCE_C)}."
        )
    if any(t.test.typed for t in series.tests):
        caption += " Squares were typed in and count with a wider error."
    return wide_figure(series_chart(series), title=_chart_title(found), caption=caption)


def _chart_title(found: FirstThreshold) -> str:
    if found.is_unresolved:
        return "Two tests contradict each other, and nothing else decides"
    if found.bounded == "below":
        return f"No test has reached {found.criterion_pct:g} % yet: {estimated(found)}"
    if found.bounded == "above":
        return f"Every test lies above {found.criterion_pct:g} %: {estimated(found)}"
    return f"Drift meets {found.criterion_pct:g} % at {estimated(found)}"


def cautions() -> Html:
    """What goes with every series."""
    items = "".join(f"<li>{escape(c)}</li>" for c in (CRITERION_CAUTION, *CAUTIONS))
    return Html(f'<h2>Cautions</h2><ul class="small">{items}</ul>')
