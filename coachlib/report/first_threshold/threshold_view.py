"""What a series of drift tests says, for the coach: verdict, numbers, drawing, cautions."""

from collections.abc import Sequence

from coachlib.analysis.first_threshold.agreement import Held
from coachlib.analysis.first_threshold.series import Series
from coachlib.measures.drift_test.reference_conditions import HEAT_BPM_PER_C, HEAT_PCT_PER_C, REFERENCE_C
from coachlib.measures.first_threshold.estimate import FirstThreshold, probability_below
from coachlib.records.athlete import Threshold
from coachlib.report.figures.drift_charts import wide_figure
from coachlib.report.figures.threshold_chart import is_hot, options_of, series_chart, verdict
from coachlib.report.first_threshold.second_opinions_view import agreement
from coachlib.report.letter.sentences import CAUTIONS
from coachlib.report.look.tables import table
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.words import wording

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
    """Verdict, what it means, which other signs agree, and its numbers.

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
        f'<p class="when">{count[0].upper()}{count[1:]}, {when}</p></header>'
        f'<p class="lead">{escape(" ".join(_said(series, standing, held)))}</p>{_numbers(series)}'
    )


def _said(series: Series, standing: Threshold | None, held: Sequence[Held]) -> tuple[str, ...]:
    """The verdict as sentences: what, how sure, what other signs say, against the accepted one."""
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
    if others := agreement(held):
        said.append(others)
    if standing is not None:
        said.append(
            f"Accepted so far: {wording.threshold(standing)}, since {wording.full_date(standing.on)}; "
            f"{_against(series, standing)}."
        )
    return tuple(said)


def _against(series: Series, standing: Threshold) -> str:
    """What the tests make of the accepted value."""
    found = series.threshold
    if found.bounded == "both" and abs(found.hr_bpm - standing.hr_bpm) <= SAME_BPM:
        return "these tests say the same"
    below = _below(series, standing.hr_bpm)
    return f"by these tests it lies lower than that with a probability of {_probability(below)}"


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


def cautions() -> Html:
    """What goes with every series."""
    items = "".join(f"<li>{escape(c)}</li>" for c in (CRITERION_CAUTION, *CAUTIONS))
    return Html(f'<h2>Cautions</h2><ul class="small">{items}</ul>')
