"""The second threshold by every method there is data for, side by side; the coach chooses."""

from collections.abc import Sequence

from coachlib.analysis.first_threshold.consistency import bound
from coachlib.analysis.second_threshold.candidates import Candidate
from coachlib.analysis.second_threshold.findings import SecondThreshold
from coachlib.measures.common.codes import Code, code
from coachlib.measures.second_threshold.critical_speed import CriticalOutput
from coachlib.measures.second_threshold.lactate import FIRST, SECOND, LactateThreshold
from coachlib.records.units import KMH_MPS
from coachlib.report.figures.second_threshold_chart import spread_chart
from coachlib.report.first_threshold.accepting_view import standing_thresholds
from coachlib.report.look.tables import table
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html, wide_figure
from coachlib.report.words import wording
from coachlib.report.words.catalogue import sentence, whole
from coachlib.report.words.cautions import CAUTIONS

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
        f"{_items('Not used', [_said(each) for each in found.left_out])}</div>"
        f"{standing_thresholds(found.athlete, 'second')}{_how(found)}"
    )


def lead(found: SecondThreshold) -> str:
    """What is accepted, what the methods say, and how far apart the two thresholds lie."""
    said = []
    accepted = found.accepted
    if accepted is not None and accepted.bounded:
        said.append(whole(bound(accepted)))
        accepted = None
    elif accepted is not None:
        said.append(f"Accepted so far: {wording.threshold(accepted)}, from {wording.full_date(accepted.on)}.")
    beats = [c.hr_bpm for c in found.candidates]
    if not beats:
        said.append(
            "There is no trial with heart rate yet: do a 30-minute time trial, or a step test with lactate; an estimate "
            "from elsewhere can be typed in with its interval and where it comes from."
        )
    elif len(beats) == 1:
        said.append(f"One method puts the second threshold at {wording.heart_rate(beats[0])}.")
    else:
        said.append(
            f"{wording.count(len(beats), 'method').capitalize()} put the second threshold between {min(beats):.0f} and "
            f"{wording.heart_rate(max(beats))}; they measure related things, not the same: choose one."
        )
    second = accepted.hr_bpm if accepted else (beats[0] if len(beats) == 1 else None)
    if found.first is not None and second is not None and second > found.first.hr_bpm:
        gap = second - found.first.hr_bpm
        said.append(
            f"The second threshold lies {gap:.0f} bpm ({100 * gap / found.first.hr_bpm:.0f} %) above the first, "
            f"{wording.heart_rate(found.first.hr_bpm)}."
        )
    return " ".join(said)


def name(candidate: Candidate) -> str:
    """Where a value comes from."""
    return sentence(candidate.origin)


def doubts_about(found: SecondThreshold, chosen: Candidate) -> Html:
    """What speaks against one value, to stand where it is accepted."""
    items = "".join(f"<li>{escape(whole(doubt))}</li>" for c, doubt in found.doubts if c == chosen)
    return Html(f"{STYLE}<ul>{items}</ul>" if items else "")


def _candidates(found: SecondThreshold) -> str:
    """The values that can be accepted: drawn on one axis, and as a table."""
    if not found.candidates:
        return ""
    first = found.first.hr_bpm if found.first else None
    head = ["From", "bpm", "90 % interval", "at"] + ["above the first"] * (first is not None)
    rows = []
    for c in found.candidates:
        row = [name(c), f"{c.hr_bpm:.0f}", _interval(c.hr_low_bpm, c.hr_high_bpm, 0), _output(c)]
        if first is not None:
            gap = c.hr_bpm - first
            row.append(f"{wording.minus(gap, 0)} bpm ({wording.minus(100 * gap / first, 0)} %)")
        rows.append(row)
    careful = [
        *_doubts(found),
        *(
            whole(code("caveat of a trial", on=on, said=sentence(caveat)))
            for on, caveat in found.trial_caveats
        ),
    ]
    return (
        f"{_drawn(found)}<h3>Values that can be accepted</h3>"
        f"{table(head, rows, caption='Heart rate at the second threshold')}"
        f"{_items('What to be careful about', careful)}"
    )


def _doubts(found: SecondThreshold) -> list[str]:
    """What speaks against the values: once for all that it is true of, else with whose it is."""
    concerned: dict[Code, list[str]] = {}
    for candidate, doubt in found.doubts:
        concerned.setdefault(doubt, []).append(name(candidate))
    return [
        whole(doubt)
        if len(names) == len(found.candidates)
        else f"{wording.listed(names)}: {sentence(doubt)}."
        for doubt, names in concerned.items()
    ]


def _drawn(found: SecondThreshold) -> str:
    """Several values on one axis."""
    if len(found.candidates) < 2:
        return ""
    beats = [c.hr_bpm for c in found.candidates]
    return wide_figure(
        spread_chart([(name(c), c) for c in found.candidates], found.accepted, found.first),
        title=f"The methods lie {max(beats) - min(beats):.0f} bpm apart",
        caption="Each dot is one method, a line its 90 % interval where one is known.",
    )


def _said(left_out: str | Code) -> str:
    return whole(left_out) if isinstance(left_out, Code) else left_out


def _output(candidate: Candidate) -> str:
    return wording.setting(speed_mps=candidate.speed_mps, grade=None, power_w=candidate.power_w)


def _interval(low: float | None, high: float | None, decimals: int) -> str:
    """Both ends; nothing where no interval is known."""
    return "" if low is None or high is None else f"{low:.{decimals}f} to {high:.{decimals}f}"


def _lactate(found: SecondThreshold) -> str:
    """Every method on the stages, by the threshold that each usually lies near."""
    if found.steps is None:
        return ""
    steps = found.steps.lactate
    near = "".join(
        _near(which, [t for t in steps.thresholds if t.kind == kind], found.steps.unit)
        for which, kind in (("second", SECOND), ("first", FIRST))
    )
    day = "typed in" if found.steps.on is None else wording.full_date(found.steps.on)
    return (
        f"<h3>Lactate step test, {escape(day)}</h3>{near}{_items('Look at these numbers again', [whole(c) for c in steps.warnings])}"
        f"{_items('Methods that found nothing', [whole(c) for c in steps.refused])}"
        f"{_items('What to be careful about', [whole(c) for c in steps.caveats])}"
    )


def _near(which: str, thresholds: Sequence[LactateThreshold], unit: str) -> str:
    """The methods whose answers usually lie near one of the two thresholds, their spread as the caption."""
    if not thresholds:
        return ""
    factor, decimals = (1.0, 0) if unit == "W" else (wording.in_speed_unit(KMH_MPS), 1)
    unit = unit if unit == "W" else wording.speed_unit()
    loads = [factor * t.load for t in thresholds]
    caption = f"Usually near the {which} threshold: {_interval(min(loads), max(loads), decimals)} {unit}"
    beats = [t.hr_bpm for t in thresholds if t.hr_bpm is not None]
    if beats:
        caption += f", {_interval(min(beats), max(beats), 0)} bpm"
    rows = [
        [
            t.name,
            f"{factor * t.load:.{decimals}f}",
            "" if t.hr_bpm is None else f"{t.hr_bpm:.0f}",
        ]
        for t in sorted(thresholds, key=lambda t: t.load)
    ]
    return table(["Method", f"load, {unit}", "bpm"], rows, caption=caption)


def _critical(found: SecondThreshold) -> str:
    """Critical speed or power in every form of the model."""
    if not (found.critical or found.critical_refused):
        return ""
    is_power = found.unit == "W"
    name = "Critical power" if is_power else "Critical speed"
    refused = _items("Forms that are missing", [whole(c) for c in found.critical_refused])
    if not found.critical:
        return f"<h3>{name}</h3>{refused}"
    rows = [_power_row(c) if is_power else _speed_row(c) for c in found.critical]
    head = (
        ["Form", "W (90 %)", "reserve, kJ"]
        if is_power
        else ["Form", f"{wording.speed_unit()} (90 %)", wording.pace_unit(), "reserve"]
    )
    caveats = list(dict.fromkeys(whole(caveat) for c in found.critical for caveat in c.caveats))
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
    return f"{n}; the forms with two parameters give {_interval(wording.in_speed_unit(min(two)), wording.in_speed_unit(max(two)), 1)} {wording.speed_unit()}"


def _speed_row(c: CriticalOutput) -> list[str]:
    said = wording.in_speed_unit
    low, high = (None if v is None else said(v) for v in (c.critical_low, c.critical_high))
    ends = _ends(_interval(low, high, 1))
    return [
        FORMS[c.form][0],
        f"{said(c.critical):.1f}{ends}",
        wording.bare_pace(c.critical),
        wording.height(c.reserve),
    ]


def _power_row(c: CriticalOutput) -> list[str]:
    ends = _ends(_interval(c.critical_low, c.critical_high, 0))
    return [FORMS[c.form][1], f"{c.critical:.0f}{ends}", f"{c.reserve / 1000:.1f}"]


def _ends(interval: str) -> str:
    return f" ({interval})" if interval else ""


def _how(found: SecondThreshold) -> str:
    """Methods with their versions, what the intervals are, and cautions."""
    typed = {c.method for c in found.candidates if c.origin.name == "typed estimate"}
    methods = {c.method for c in found.candidates} - typed
    methods |= {f"lactate, {t.method}" for t in (found.steps.lactate.thresholds if found.steps else ())}
    methods |= {c.method for c in found.critical}
    said = [f"Methods and their versions: {'; '.join(sorted(methods))}."] if methods else []
    if any(c.origin.name == "from a time trial" for c in found.candidates):
        said.append(
            "The interval of a time trial is the error found in 27 runners and triathletes (McGehee et al. 2005). No "
            "method for a step test has a known error of its own: how far they lie apart says how far one can be trusted."
        )
    items = "".join(f"<li>{escape(s)}</li>" for s in (*said, *CAUTIONS))
    return f'<section class="how"><h2>How we know</h2><ul>{items}</ul></section>'


def _items(title: str, sentences: Sequence[str]) -> str:
    items = "".join(f"<li>{escape(s)}</li>" for s in sentences)
    return f'<div class="gave"><h3>{escape(title)}</h3><ul>{items}</ul></div>' if items else ""
