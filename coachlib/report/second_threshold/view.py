"""The second threshold by every method there is data for, side by side; the coach chooses."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from coachlib.measures.second_threshold.critical_speed import CriticalOutput
from coachlib.measures.second_threshold.lactate import FIRST, SECOND, LactateThreshold, LactateThresholds
from coachlib.records.athlete import Athlete, Threshold
from coachlib.report.figures.drift_charts import wide_figure
from coachlib.report.figures.second_threshold_chart import spread_chart
from coachlib.report.first_threshold.accepting_view import standing_thresholds
from coachlib.report.letter.sentences import CAUTIONS
from coachlib.report.look.tables import table
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.words import wording

#: What each form of critical output is called for running and for power.
FORMS = {
    "work on time": ("distance on time", "work on time"),
    "output on inverse time": ("speed on 1/time", "power on 1/time"),
    "time on output": ("time on speed", "time on power"),
    "three parameters": ("three parameters", "three parameters"),
}
STYLE = (
    "<style>.letter .second h3{margin-top:1.7rem}.letter .second table{margin-bottom:1.2rem}"
    ".letter .second .gave h3{margin-top:1rem}@media(min-width:44rem){.letter .second td{white-space:nowrap}}</style>"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One value that can be accepted, named after where it comes from."""

    name: str
    threshold: Threshold


@dataclass(frozen=True, kw_only=True)
class SecondThreshold:
    """Everything the page says.

    ``lactate_from`` is the day of the step test in words, or "typed in"; ``load_unit`` "km/h" or "W".  ``unit`` is
    that of critical output, "m/s" or "W"; ``critical_refused`` says why a form of it is missing.
    """

    athlete: Athlete
    accepted: Threshold | None
    first: Threshold | None
    candidates: tuple[Candidate, ...]
    trial_caveats: tuple[str, ...]
    lactate: LactateThresholds | None
    lactate_from: str
    load_unit: str
    critical: tuple[CriticalOutput, ...]
    critical_refused: tuple[str, ...]
    unit: str
    left_out: tuple[str, ...]


def second_threshold_page(found: SecondThreshold) -> Html:
    """The page for the coach.

    Parameters
    ----------
    found : SecondThreshold
        What was read and typed in.

    Source
    ------
    The methods carry their own sources, see ``measures.second_threshold.time_trial``, ``lactate`` and ``critical_speed``.
    """
    return Html(
        f"{STYLE}<h2>{escape(found.athlete.name)}: second threshold</h2>"
        f'<p class="lead">{escape(lead(found))}</p>'
        f'<div class="second">{_candidates(found)}{_lactate(found)}{_critical(found)}'
        f"{_items('Not used', found.left_out)}</div>"
        f"{standing_thresholds(found.athlete, 'second')}{_how(found)}"
    )


def lead(found: SecondThreshold) -> str:
    """What is accepted, what the methods say, and how far apart the two thresholds lie."""
    said = []
    if found.accepted is not None:
        said.append(
            f"Accepted so far: {wording.threshold(found.accepted)}, from {wording.full_date(found.accepted.on)}."
        )
    beats = [c.threshold.hr_bpm for c in found.candidates]
    if not beats:
        said.append(
            "There is no trial with heart rate yet: do a 30-minute time trial, or a step test with lactate."
        )
    elif len(beats) == 1:
        said.append(f"One method puts the second threshold at {wording.heart_rate(beats[0])}.")
    else:
        said.append(
            f"{wording.count(len(beats), 'method').capitalize()} put the second threshold between {min(beats):.0f} and "
            f"{wording.heart_rate(max(beats))}; they measure related things, not the same: choose one."
        )
    second = found.accepted.hr_bpm if found.accepted else (beats[0] if len(beats) == 1 else None)
    if found.first is not None and second is not None and second > found.first.hr_bpm:
        gap = second - found.first.hr_bpm
        said.append(
            f"The second threshold lies {gap:.0f} bpm ({100 * gap / found.first.hr_bpm:.0f} %) above the first, "
            f"{wording.heart_rate(found.first.hr_bpm)}."
        )
    return " ".join(said)


def _candidates(found: SecondThreshold) -> str:
    """The values that can be accepted: drawn on one axis, and as a table."""
    if not found.candidates:
        return ""
    first = found.first.hr_bpm if found.first else None
    head = ["From", "bpm", "90 % interval", "at"] + ["above the first"] * (first is not None)
    rows = []
    for c in found.candidates:
        t = c.threshold
        row = [c.name, f"{t.hr_bpm:.0f}", _interval(t.hr_low_bpm, t.hr_high_bpm, 0), _output(t)]
        if first is not None:
            gap = t.hr_bpm - first
            row.append(f"{wording.minus(gap, 0)} bpm ({wording.minus(100 * gap / first, 0)} %)")
        rows.append(row)
    careful = (*_below_first(found), *found.trial_caveats)
    return (
        f"{_drawn(found)}<h3>Values that can be accepted</h3>"
        f"{table(head, rows, caption='Heart rate at the second threshold')}"
        f"{_items('What to be careful about', careful)}"
    )


def _drawn(found: SecondThreshold) -> str:
    """Several values on one axis."""
    values = [(c.name, c.threshold) for c in found.candidates]
    if len(values) < 2:
        return ""
    beats = [t.hr_bpm for _, t in values]
    return wide_figure(
        spread_chart(values, found.accepted, found.first),
        title=f"The methods lie {max(beats) - min(beats):.0f} bpm apart",
        caption="Each dot is one method, a line its 90 % interval where one is known.",
    )


def _below_first(found: SecondThreshold) -> tuple[str, ...]:
    """Values that cannot stand together with the accepted first threshold."""
    if found.first is None:
        return ()
    names = [c.name for c in found.candidates if c.threshold.hr_bpm <= found.first.hr_bpm]
    if not names:
        return ()
    return (
        f"Not above the first threshold of {wording.heart_rate(found.first.hr_bpm)}: {wording.listed(names)}. Both cannot "
        "hold: look at the tests behind each.",
    )


def _output(threshold: Threshold) -> str:
    return wording.setting(speed_mps=threshold.speed_mps, grade=threshold.grade, power_w=threshold.power_w)


def _interval(low: float | None, high: float | None, decimals: int) -> str:
    """Both ends; nothing where no interval is known."""
    return "" if low is None or high is None else f"{low:.{decimals}f} to {high:.{decimals}f}"


def _lactate(found: SecondThreshold) -> str:
    """Every method on the stages, by the threshold that each usually lies near."""
    steps = found.lactate
    if steps is None:
        return ""
    near = "".join(
        _near(which, [t for t in steps.thresholds if t.kind == kind], found.load_unit)
        for which, kind in (("second", SECOND), ("first", FIRST))
    )
    return (
        f"<h3>Lactate step test, {escape(found.lactate_from)}</h3>{near}{_items('Look at these numbers again', steps.warnings)}"
        f"{_items('Methods that found nothing', steps.refused)}{_items('What to be careful about', steps.caveats)}"
    )


def _near(which: str, thresholds: Sequence[LactateThreshold], unit: str) -> str:
    """The methods whose answers usually lie near one of the two thresholds, their spread as the caption."""
    if not thresholds:
        return ""
    decimals = 0 if unit == "W" else 1
    loads = [t.load for t in thresholds]
    caption = f"Usually near the {which} threshold: {_interval(min(loads), max(loads), decimals)} {unit}"
    beats = [t.hr_bpm for t in thresholds if t.hr_bpm is not None]
    if beats:
        caption += f", {_interval(min(beats), max(beats), 0)} bpm"
    rows = [
        [
            without_version(t.method),
            f"{t.load:.{decimals}f}",
            "" if t.hr_bpm is None else f"{t.hr_bpm:.0f}",
        ]
        for t in sorted(thresholds, key=lambda t: t.load)
    ]
    return table(["Method", f"load, {unit}", "bpm"], rows, caption=caption)


def without_version(method: str) -> str:
    """A method's name for a label; its version stands with how we know.

    Examples
    --------
    >>> without_version("lactate 4 mmol/l 1"), without_version("modified Dmax 1")
    ('lactate 4 mmol/l', 'modified Dmax')
    """
    return re.sub(r" \d+$", "", method)


def _critical(found: SecondThreshold) -> str:
    """Critical speed or power in every form of the model."""
    if not (found.critical or found.critical_refused):
        return ""
    is_power = found.unit == "W"
    name = "Critical power" if is_power else "Critical speed"
    refused = _items("Forms that are missing", found.critical_refused)
    if not found.critical:
        return f"<h3>{name}</h3>{refused}"
    rows = [_power_row(c) if is_power else _speed_row(c) for c in found.critical]
    head = (
        ["Form", "W (90 %)", "reserve, kJ"] if is_power else ["Form", "km/h (90 %)", "per km", "reserve, m"]
    )
    caveats = sorted({caveat for c in found.critical for caveat in c.caveats})
    return (
        f"<h3>{name}</h3>{table(head, rows, caption=_critical_spread(found))}"
        f"{refused}{_items('What to be careful about', caveats)}"
    )


def _critical_spread(found: SecondThreshold) -> str:
    """The trials and how far the forms with two parameters lie apart."""
    two = [c.critical for c in found.critical if c.highest is None]
    n = wording.count(found.critical[0].n, "trial").capitalize()
    if not two:
        return n
    if found.unit == "W":
        return f"{n}; the forms with two parameters give {_interval(min(two), max(two), 0)} W"
    return f"{n}; the forms with two parameters give {_interval(3.6 * min(two), 3.6 * max(two), 1)} km/h"


def _speed_row(c: CriticalOutput) -> list[str]:
    ends = _ends(_interval(_times(c.critical_low, 3.6), _times(c.critical_high, 3.6), 1))
    pace = wording.pace(c.critical).removesuffix(" per km")
    return [FORMS[c.form][0], f"{3.6 * c.critical:.1f}{ends}", pace, f"{c.reserve:.0f}"]


def _power_row(c: CriticalOutput) -> list[str]:
    ends = _ends(_interval(c.critical_low, c.critical_high, 0))
    return [FORMS[c.form][1], f"{c.critical:.0f}{ends}", f"{c.reserve / 1000:.1f}"]


def _ends(interval: str) -> str:
    return f" ({interval})" if interval else ""


def _times(value: float | None, factor: float) -> float | None:
    return None if value is None else factor * value


def _how(found: SecondThreshold) -> str:
    """Methods with their versions, what the intervals are, and cautions."""
    methods = {c.threshold.method for c in found.candidates}
    methods |= {f"lactate, {t.method}" for t in (found.lactate.thresholds if found.lactate else ())}
    methods |= {c.method for c in found.critical}
    said = [f"Methods and their versions: {'; '.join(sorted(methods))}."] if methods else []
    if any(c.threshold.hr_low_bpm is not None for c in found.candidates):
        said.append(
            "The interval of a time trial is the error found in 27 runners and triathletes (McGehee et al. 2005). No "
            "method for a step test has a known error of its own: how far they lie apart says how far one can be trusted."
        )
    items = "".join(f"<li>{escape(s)}</li>" for s in (*said, *CAUTIONS))
    return f'<section class="how"><h2>How we know</h2><ul>{items}</ul></section>'


def _items(title: str, sentences: Sequence[str]) -> str:
    items = "".join(f"<li>{escape(s)}</li>" for s in sentences)
    return f'<div class="gave"><h3>{escape(title)}</h3><ul>{items}</ul></div>' if items else ""
