"""The tests of a series one by one: what counted, which way each pulls, and in what they differed."""

from collections.abc import Sequence

from coachlib.analysis.first_threshold.comparability import Condition, SeriesTest, Value
from coachlib.analysis.first_threshold.series import Series
from coachlib.measures.common.constants import Z90
from coachlib.measures.drift_test.reference_conditions import REFERENCE_C
from coachlib.report.figures.threshold_chart import is_hot
from coachlib.report.look.tables import table
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.words import wording
from coachlib.report.words.test_conditions import done_about, literature_on

#: A pull smaller than this is said to be none. [1/min]  Own choice: less than the estimate can be read to.
LEAST_PULL_BPM = 0.5


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
    items = "".join(f"<li>{escape(_as_sentence(s))}</li>" for s in left_out)
    return Html(
        f"<h2>The tests, and which way each pulls</h2>{told}<p>{escape(_pull_words(series))}</p>"
        + (f"<h3>Not in the series</h3><ul>{items}</ul>" if items else "")
    )


def _as_sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:].rstrip('.')}."


def _setting(test: SeriesTest) -> str:
    return wording.setting(speed_mps=test.speed_mps, grade=test.grade, power_w=test.power_w)


def _counted(series: Series, i: int) -> str:
    """What the estimate took the test for, where that is not what was measured."""
    placed = series.tests[i]
    said = []
    if is_hot(placed.test):
        said.append(
            f"{placed.reference_hr_bpm:.1f} bpm, {wording.minus(placed.reference_drift_pct, 1)} % at {wording.temperature(REFERENCE_C)}"
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
        (("≠ " if c.differs else "") + condition_name(c), *(condition_value(c, v) for v in c.values))
        for c in sorted(known, key=lambda c: not c.differs)
    ]
    told = table(("Condition", *days), rows, caption="≠ marks what differed; an empty cell is unknown")
    differing = series.different
    if not differing:
        words = "<p>Nothing that the diary tells differed noticeably between the tests.</p>"
    else:
        items = "".join(
            f"<li><strong>{escape(condition_name(c)[:1].upper() + condition_name(c)[1:])}.</strong> Literature: {escape(literature_on(c.name))}. "
            f"The estimate: {escape(done_about(c.name))}.</li>"
            for c in differing
        )
        words = f"<h3>What differed, and what to make of it</h3><ul>{items}</ul>"
    return Html(f'<h2>Were the tests alike?</h2><div class="across">{told}</div>{words}')


def condition_name(condition: Condition) -> str:
    """A condition with its unit, in the units that are spoken in."""
    unit = wording.degree_unit() if condition.unit == "degC" else condition.unit
    return f"{condition.name}, {unit}" if unit else condition.name


def condition_value(condition: Condition, value: Value) -> str:
    """One cell; hours of the day as a clock tells them."""
    if value is None:
        return ""
    if condition.name == "time of day" and isinstance(value, float | int):
        return f"{int(value)}:{round(60 * (value % 1)):02d}"
    if condition.unit == "degC" and isinstance(value, float | int):
        return f"{wording.plain(wording.degrees(value))}"
    return f"{value:g}" if isinstance(value, float | int) else str(value)
