"""One steady drift test as a page to print: pieces of HTML from its result, each with its own words."""

from collections.abc import Sequence
from datetime import datetime

from coachlib.analysis.first_threshold.agreement import Held
from coachlib.analysis.recording.judged import SteadyStretch
from coachlib.measures.common.codes import Finding
from coachlib.records.decisions import Exclusion
from coachlib.records.diary import DiaryRow
from coachlib.report.first_threshold.second_opinions_view import agreement
from coachlib.report.look.tables import table
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.words import wording
from coachlib.report.words.catalogue import whole
from coachlib.report.words.cautions import CAUTIONS
from coachlib.report.words.recording import verdict

#: Keeps a number and its unit on one line.
_GAP = "\N{NO-BREAK SPACE}"
_WEIGHT = {"void": "No result", "doubt": "Doubt", "note": "Note"}


def finding(
    test: SteadyStretch, *, athlete: str, started: datetime, is_saved: bool, held: Sequence[Held]
) -> Html:
    """Who and when, the verdict, which other signs agree, and the number with both uncertainties.

    Parameters
    ----------
    test : SteadyStretch
        The result.
    athlete : str
        The athlete's name.
    started : datetime
        Start of the recording in the athlete's local time.
    is_saved : bool
        Whether the coach has saved decisions about the recording.
    held : sequence of Held
        Other signs of this test held against its drift.

    Examples
    --------
    ``workbooks/drift_test.ipynb`` opens with it.
    """
    setting = wording.setting(speed_mps=test.speed_mps, grade=test.grade, power_w=test.power_w)
    when = f"{wording.day(started.date())} {started.year}" + (f", {setting}" if setting else "")
    unsaved = (
        "" if is_saved else "<p>No decisions are saved for this recording: the window is a suggestion.</p>"
    )
    return Html(
        f'<div class="head"><h1>{escape(athlete)}: steady drift test</h1><p class="when">{escape(when)}</p></div>'
        f'<p class="lead">{escape(f"{verdict(test)} {agreement(held)}".rstrip())}</p>{unsaved}{_numbers(test)}'
    )


def _numbers(test: SteadyStretch) -> str:
    """The drift with the interval of the run alone and with the day-to-day scatter, and what it came from."""
    drift = test.drift
    rows = [
        ("Drift as measured", f"{wording.minus(drift.drift_pct, 1)}{_GAP}%"),
        ("90 % interval, this run alone", _range(drift.drift_low_pct, drift.drift_high_pct)),
        ("90 % interval with day-to-day scatter", _range(drift.day_low_pct, drift.day_high_pct)),
        (
            f"Criterion for {wording.duration(test.window.length_s)}",
            f"{test.window_criterion_pct:.1f}{_GAP}%",
        ),
        ("First and second half", f"{drift.first_half_bpm:.1f} and {drift.second_half_bpm:.1f} bpm"),
        ("Used", f"{wording.duration(drift.used_s)}, {drift.used_pct:.0f} % of the window"),
        ("From a straight line instead of halves", f"{wording.minus(drift.slope_drift_pct, 1)}{_GAP}%"),
    ]
    if test.held is not None:
        rows.insert(1, ("Drift at constant output", wording.drift(test.held)))
        change = wording.minus(test.held.output_change_pct, 1)
        rows.append(("Output, second half against first", f"{change}{_GAP}%"))
    return table(("Number", "Value"), rows, caption="The number and how sure it is")


def left_out(exclusions: Sequence[Exclusion]) -> str:
    """What is left out of heart rate, in one sentence."""
    if not exclusions:
        return "Nothing is left out."
    said = [
        f"{_clock(e.start_s)} to {_clock(e.stop_s)}" + (f" ({e.reason})" if e.reason else "")
        for e in exclusions
    ]
    return f"Left out: {wording.listed(said)}."


def halves_title(test: SteadyStretch) -> str:
    """The finding of the trace."""
    drift = test.drift
    return f"{drift.first_half_bpm:.1f} bpm in the first half, {drift.second_half_bpm:.1f} bpm in the second"


def map_title(findings: Sequence[Finding]) -> str:
    """The finding of the window map: whether the answer hangs on the window."""
    if any(f.name == "window decides" for f in findings):
        return "The answer depends on where the window begins and ends"
    return "Where the window begins and ends changes little"


MAP_CAPTION = (
    "Each cell is a window with that start and that end, pale to dark with its drift; the line is where the drift "
    "meets the criterion for a window of that length, the ring is the window in use."
)


def validity(test: SteadyStretch) -> Html:
    """What speaks against the test, each with its number and what follows.

    Notes
    -----
    See ``measures.drift_test.validity``.

    Examples
    --------
    ``workbooks/drift_test.ipynb`` shows it under the trace.
    """
    said = [(_WEIGHT[f.severity], whole(f.code)) for f in test.findings]
    said += [("Note", whole(caveat)) for caveat in test.caveats]
    if not said:
        return Html("<h2>Was it a valid test?</h2><p>Nothing that can be seen speaks against it.</p>")
    items = "".join(f"<li><strong>{weight}.</strong> {escape(words)}</li>" for weight, words in said)
    return Html(f"<h2>Was it a valid test?</h2><ul>{items}</ul>")


def conditions(test: SteadyStretch, row: DiaryRow | None) -> Html:
    """What the athlete wrote about the day, with the remark; the talk test stands among the other opinions.

    Examples
    --------
    ``workbooks/drift_test.ipynb`` shows it after the window map.
    """
    if row is None:
        return Html("<h2>Conditions</h2><p>The diary has no row that surely belongs to this recording.</p>")
    felt_c = test.temperature_c if test.temperature_from == "device" else None
    known = (
        ("temperature", _degrees(row.temperature_c), wording.degree_unit()),
        ("temperature at the device", _degrees(felt_c), wording.degree_unit()),
        ("humidity", row.humidity_pct, "%"),
        ("sleep", row.sleep_h, "h"),
        ("awake before", row.hours_awake, "h"),
        ("since the last meal", row.hours_since_food, "h"),
        ("caffeine", row.caffeine, ""),
        ("drunk", row.fluid_l, "l"),
        ("equipment", row.equipment, ""),
        ("health", row.health, ""),
        ("perceived exertion, 0 to 10", row.rpe, ""),
    )
    said = " · ".join(f"{name} {_with_unit(value, unit)}" for name, value, unit in known if value is not None)
    remark = f"<blockquote>{escape(row.remarks)}</blockquote>" if row.remarks else ""
    told = f"<p class='typed'>From the athlete's diary: {escape(said)}.</p>" if said else ""
    return Html(f"<h2>Conditions</h2>{told}{remark}")


def cautions() -> Html:
    """The cautions that go with every test.

    Examples
    --------
    >>> "physician" in cautions()
    True
    """
    criterion = (
        "5 % in an hour as the sign of the first threshold is common practice, not a published standard: take it as "
        "an estimate, and let a second method agree."
    )
    items = "".join(f"<li>{escape(caution)}</li>" for caution in (criterion, *CAUTIONS))
    return Html(f'<h2>Cautions</h2><ul class="small">{items}</ul>')


def _degrees(celsius: float | None) -> float | None:
    """A temperature on the scale that is spoken in, to a tenth."""
    return None if celsius is None else float(wording.plain(round(wording.degrees(celsius), 1)))


def _with_unit(value: float | str, unit: str) -> str:
    return f"{value:g}{_GAP}{unit}".rstrip() if isinstance(value, (int, float)) else str(value)


def _range(low: float, high: float) -> str:
    return f"{wording.minus(low, 1)} to {wording.minus(high, 1)}{_GAP}%"


def _clock(seconds: float) -> str:
    whole = round(seconds)
    return f"{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}"
