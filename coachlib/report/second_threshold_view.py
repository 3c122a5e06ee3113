"""The second threshold by every method there is data for, side by side; the coach chooses."""

from collections.abc import Sequence
from dataclasses import dataclass

from coachlib.measures.critical_speed import CriticalOutput
from coachlib.measures.lactate import LactateThreshold, LactateThresholds
from coachlib.records.athlete import Threshold
from coachlib.report import wording
from coachlib.report.blocks import Html
from coachlib.report.sentences import CAUTIONS
from coachlib.report.tables import table
from coachlib.report.text import escape


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One value that can be accepted, named after where it comes from."""

    name: str
    threshold: Threshold


@dataclass(frozen=True, kw_only=True)
class SecondThreshold:
    """Everything the page says.  ``unit`` is that of critical output, "m/s" or "W"."""

    athlete: str
    accepted: Threshold | None
    first: Threshold | None
    candidates: tuple[Candidate, ...]
    trial_caveats: tuple[str, ...]
    lactate: LactateThresholds | None
    load_unit: str
    critical: tuple[CriticalOutput, ...]
    unit: str
    left_out: tuple[str, ...]


def second_threshold_page(found: SecondThreshold) -> Html:
    """The page for the coach.

    Source
    ------
    The methods carry their own sources, see ``measures.time_trial``, ``lactate`` and ``critical_speed``.
    """
    return Html(
        f"<h2>{escape(found.athlete)}: second threshold</h2>"
        f'<p class="lead">{escape(lead(found))}</p>'
        + _trials(found)
        + _lactate(found)
        + _critical(found)
        + _items("Not used", found.left_out)
        + _items("Cautions", CAUTIONS)
    )


def lead(found: SecondThreshold) -> str:
    """What is accepted, what the methods say, and how far apart the two thresholds lie."""
    said = []
    if found.accepted is not None:
        said.append(
            f"Accepted so far: {wording.threshold(found.accepted)}, {wording.full_date(found.accepted.on)}."
        )
    beats = [c.threshold.hr_bpm for c in found.candidates]
    if not beats:
        said.append(
            "There is no trial with heart rate yet: do a 30-minute time trial, or type in a step test."
        )
    elif len(beats) == 1:
        said.append(f"One method puts it at {wording.heart_rate(beats[0])}.")
    else:
        said.append(
            f"{wording.count(len(beats), 'value').capitalize()} between {min(beats):.0f} and "
            f"{wording.heart_rate(max(beats))}; they measure related things, not the same: choose one."
        )
    second = found.accepted.hr_bpm if found.accepted else (beats[0] if len(beats) == 1 else None)
    if found.first is not None and second is not None:
        gap = second - found.first.hr_bpm
        said.append(
            f"The second threshold lies {gap:.0f} bpm ({wording.minus(100 * gap / found.first.hr_bpm, 0)} %) above the first threshold."
        )
    return " ".join(said)


def _trials(found: SecondThreshold) -> str:
    rows = [
        [
            c.name,
            f"{t.hr_bpm:.0f}",
            ""
            if t.hr_low_bpm is None or t.hr_high_bpm is None
            else f"{t.hr_low_bpm:.0f} to {t.hr_high_bpm:.0f}",
            wording.setting(speed_mps=t.speed_mps, grade=None, power_w=t.power_w),
        ]
        for c in found.candidates
        for t in (c.threshold,)
    ]
    if not rows:
        return ""
    return (
        "<h3>Values that can be accepted</h3>"
        + table(["From", "bpm", "90 % interval", "at"], rows, caption="Heart rate at the second threshold")
        + _items("What to be careful about", found.trial_caveats)
    )


def _lactate(found: SecondThreshold) -> str:
    steps = found.lactate
    if steps is None:
        return ""

    def row(t: LactateThreshold) -> list[str]:
        beats = "" if t.hr_bpm is None else f"{t.hr_bpm:.0f}"
        return [t.method, t.kind, f"{t.load:.2f}", beats]

    spreads = [
        f"The {which}-like methods lie between {low:.2f} and {high:.2f} {found.load_unit}."
        for which, low, high in (
            ("first", steps.first_low_load, steps.first_high_load),
            ("second", steps.second_low_load, steps.second_high_load),
        )
        if low is not None and high is not None
    ]
    return (
        "<h3>Lactate step test</h3>"
        + table(
            ["Method", "near the", f"load, {found.load_unit}", "bpm"],
            [row(t) for t in steps.thresholds],
            caption="Every method on the same stages",
        )
        + _items("How far apart they are", spreads)
        + _items("Look at these numbers again", steps.warnings)
        + _items("Methods that found nothing", steps.refused)
        + _items("What to be careful about", steps.caveats)
    )


def _critical(found: SecondThreshold) -> str:
    if not found.critical:
        return ""
    name, reserve = ("power", "kJ") if found.unit == "W" else ("speed", "m")
    scale = 0.001 if found.unit == "W" else 1.0

    def said(value: float) -> str:
        return f"{value:.0f} W" if found.unit == "W" else f"{value:.2f} m/s ({wording.pace(value)})"

    rows = [
        [
            c.form,
            said(c.critical),
            ""
            if c.critical_low is None or c.critical_high is None
            else f"{c.critical_low:.{0 if found.unit == 'W' else 2}f} to {c.critical_high:.{0 if found.unit == 'W' else 2}f}",
            f"{c.reserve * scale:.0f}",
        ]
        for c in found.critical
    ]
    caveats = sorted({caveat for c in found.critical for caveat in c.caveats})
    return (
        f"<h3>Critical {name}</h3>"
        + table(
            ["Form", f"critical {name}", "90 % interval", f"reserve, {reserve}"],
            rows,
            caption="The same trials in each form of the model",
        )
        + _items("What to be careful about", caveats)
    )


def _items(title: str, sentences: Sequence[str]) -> str:
    items = "".join(f"<li>{escape(s)}</li>" for s in sentences)
    return f"<h3>{escape(title)}</h3><ul>{items}</ul>" if items else ""
