"""An athlete's zones: a sheet to keep and to type into a watch, and what changed against the zones before."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

import altair as alt
import pandas as pd

from coachlib.measures.zone_table import ZoneComparison, ZoneOutput, ZoneShares
from coachlib.measures.zones import Zone, ZoneSet
from coachlib.records.athlete import Threshold
from coachlib.report import wording
from coachlib.report.blocks import Figure, Html
from coachlib.report.palette import INK, MUTED, ZONES
from coachlib.report.renderer import WIDTH
from coachlib.report.sentences import CAUTIONS
from coachlib.report.tables import table
from coachlib.report.text import escape

#: What each of this project's own five bands is for, in a few words.  Own choice.
MEANT_FOR = {
    "very easy": "warm-up, cool-down, the day after",
    "easy": "most of the training: you can talk in whole sentences",
    "steady": "between the thresholds: a tempo you hold for an hour or two",
    "hard": "just above the second threshold: long intervals",
    "very hard": "short intervals, races of some minutes",
}
#: Widest band of one colour scale.
_SHADES = {3: (0, 2, 4), 4: (0, 1, 2, 4), 5: (0, 1, 2, 3, 4)}


@dataclass(frozen=True, kw_only=True)
class Compared:
    """Zones before, under what name, and the same training under both."""

    name: str
    zones: ZoneSet
    result: ZoneComparison
    training: str


@dataclass(frozen=True, kw_only=True)
class ZonePlan:
    """Everything a zone sheet says.

    ``outputs`` is empty where no line of heart rate on output is known; ``why_no_output`` then says why.
    ``unit`` is "W" or "m/s".
    """

    athlete: str
    coach: str
    on: date
    zones: ZoneSet
    shares: tuple[ZoneShares, ...]
    outputs: tuple[ZoneOutput, ...]
    unit: str
    outputs_from: str
    why_no_output: str
    thresholds: tuple[Threshold, ...]
    hr_max_bpm: float | None
    hr_max_from: str | None
    hr_rest_bpm: float | None
    medicine: bool
    compared: tuple[Compared, ...]


def zone_sheet(plan: ZonePlan) -> Html:
    """The sheet for the athlete.

    Source
    ------
    This project's own choice; the zones carry their own source.
    """
    coach = f'<p class="from">from {escape(plan.coach)}</p>' if plan.coach else ""
    return Html(
        f'<header class="head"><h1>Your zones</h1><p class="when">{escape(plan.athlete)}, from '
        f"{wording.full_date(plan.on)}</p>{coach}</header>"
        f'<p class="lead">{escape(lead(plan))}</p>{zone_table(plan)}{watch_table(plan)}'
        f"{compared(plan)}{_how(plan)}"
    )


def lead(plan: ZonePlan) -> str:
    """What the athlete must remember."""
    first = next((t for t in plan.thresholds if t.which == "first"), None)
    second = next((t for t in plan.thresholds if t.which == "second"), None)
    if plan.zones.scale == "two thresholds" and first is not None and second is not None:
        return (
            f"Easy ends at {wording.heart_rate(first.hr_bpm)}. Hard begins above {wording.heart_rate(second.hr_bpm)}. "
            "Most of your time belongs below the first of the two."
        )
    return f"{wording.count(len(plan.zones.zones), 'zone').capitalize()} by {plan.zones.scale}."


def zone_table(plan: ZonePlan) -> str:
    """Zones in beats, with speed or power where a line is known, and what each is for."""
    outputs = {o.name: o for o in plan.outputs}
    own = plan.zones.scale == "two thresholds"
    head = ["Zone", "bpm"]
    if outputs:
        head += ["W"] if plan.unit == "W" else ["km/h on the level", "per km"]
    if own:
        head.append("for")
    rows = []
    for zone in plan.zones.zones:
        row = [zone.name, beats(zone)]
        if outputs:
            row += _output_cells(outputs[zone.name], plan.unit)
        if own:
            row.append(MEANT_FOR.get(zone.name, ""))
        rows.append(row)
    told = table(head, rows, caption="Whole beats; each zone ends where the next begins")
    if not outputs:
        return told + (f'<p class="small">{escape(plan.why_no_output)}</p>' if plan.why_no_output else "")
    prolonged = any(o.prolonged for o in plan.outputs)
    words = (
        f"{'Power' if plan.unit == 'W' else 'Speed'} is where your own line of heart rate ({plan.outputs_from}) meets "
        "each limit; on the day it may be off by several per cent, and in heat by more. Where both disagree, go by heart rate "
        "on easy days."
    )
    if prolonged:
        words += " Limits outside what was tested are marked with ~: the line is drawn out there."
    return told + f'<p class="small">{escape(words)}</p>'


def beats(zone: Zone) -> str:
    """A zone's whole beats.

    Examples
    --------
    >>> beats(Zone(name="easy", low_bpm=131, high_bpm=152)), beats(Zone(name="hard", low_bpm=180, high_bpm=None))
    ('131 to 152', '180 and more')
    """
    if zone.high_bpm is None:
        return f"{zone.low_bpm} and more"
    return f"up to {zone.high_bpm}" if zone.low_bpm <= 0 else f"{zone.low_bpm} to {zone.high_bpm}"


def _output_cells(output: ZoneOutput, unit: str) -> list[str]:
    """A zone's limits in power, or in speed and pace."""
    about = "~" if output.prolonged else ""
    if unit == "W":
        return [
            about + _bounds(output.low, output.high, lambda v: f"{v:.0f}", lowest="up to", highest="and more")
        ]
    return [
        about
        + _bounds(output.low, output.high, lambda v: f"{3.6 * v:.1f}", lowest="up to", highest="and more"),
        about + _bounds(output.low, output.high, _pace, lowest="slower than", highest="and faster"),
    ]


def _pace(speed_mps: float) -> str:
    """Minutes and seconds a kilometre, without its unit; nothing for standing still."""
    return wording.pace(speed_mps).removesuffix(" per km") if speed_mps > 0.3 else "walking"


def _bounds(
    low: float | None, high: float | None, said: Callable[[float], str], *, lowest: str, highest: str
) -> str:
    """Two limits in words, one of which may be open."""
    if low is None:
        return "" if high is None else f"{lowest} {said(high)}"
    return f"{said(low)} {highest}" if high is None else f"{said(low)} to {said(high)}"


def watch_table(plan: ZonePlan) -> str:
    """The limits to type into any watch: first and last beat, and both as shares."""
    shares = {s.name: s for s in plan.shares}
    head = ["To type in", "from, bpm", "to, bpm"]
    with_max, with_rest = bool(shares), any(s.high_reserve_pct is not None for s in plan.shares)
    head += ["% of maximum"] * with_max + ["% of reserve"] * with_rest
    rows = []
    for number, zone in enumerate(plan.zones.zones, start=1):
        row = [f"{number}, {zone.name}", str(zone.low_bpm) if zone.low_bpm else "lowest", _last(zone, plan)]
        s = shares.get(zone.name)
        if with_max and s is not None:
            row.append(_share(s.low_max_pct, s.high_max_pct, zone))
        if with_rest and s is not None:
            row.append(_share(s.low_reserve_pct or 0.0, s.high_reserve_pct, zone))
        rows.append(row)
    said = table(head, rows, caption="For any watch: choose the columns it asks for")
    if not with_max:
        return f"<h2>Into the watch</h2>{said}"
    basis = f"Shares are of a maximum of {wording.heart_rate(plan.hr_max_bpm or 0)}"
    basis += f" ({plan.hr_max_from})" if plan.hr_max_from else ""
    if with_rest and plan.hr_rest_bpm is not None:
        basis += f" and a resting heart rate of {wording.heart_rate(plan.hr_rest_bpm)}"
    words = (
        f"{basis}: type those into the watch first, or its shares mean other beats. Where a choice is offered, "
        "type beats: they need nothing else."
    )
    return f'<h2>Into the watch</h2>{said}<p class="small">{escape(words)}</p>'


def _last(zone: Zone, plan: ZonePlan) -> str:
    """Last beat of a zone; the highest ends at the maximum where that is known."""
    if zone.high_bpm is not None:
        return str(zone.high_bpm)
    return (
        f"{plan.hr_max_bpm:.0f}"
        if plan.hr_max_bpm is not None and plan.hr_max_bpm > zone.low_bpm
        else "highest"
    )


def _share(low: float, high: float | None, zone: Zone) -> str:
    """A zone's shares in whole per cent."""
    if high is None:
        return f"{low:.0f} to 100"
    return f"up to {high:.0f}" if zone.low_bpm <= 0 else f"{low:.0f} to {high:.0f}"


def compared(plan: ZonePlan) -> str:
    """Against the zones before, and those a watch guessed: how limits move, how training looks under both."""
    return "".join(_one(c, plan) for c in plan.compared)


def _one(before: Compared, plan: ZonePlan) -> str:
    result = before.result
    head, rows = ["Zone", "then", "now", "limit moves by"], []
    for at, zone in enumerate(plan.zones.zones):
        old = before.zones.zones[at] if at < len(before.zones.zones) else None
        move = "" if not result.moves or at == 0 else _by(result.moves[at - 1].by_bpm)
        rows.append([zone.name, beats(old) if old is not None else "", beats(zone), move])
    if len(before.zones.zones) != len(plan.zones.zones):
        names = [[z.name, beats(z)] for z in before.zones.zones]
        moved = table(["Zone", "bpm"], names, caption=f"The zones {before.name}")
    else:
        moved = table(head, rows, caption=f"Now and {before.name}, beats per minute")
    figure = ""
    if sum(result.seconds_after) > 0:
        figure = Figure(
            both_bars(before, plan.zones),
            title=_finding(before, plan.zones),
            caption=f"{before.training}, counted under both sets; from light to dark with intensity.",
            table=_times(before, plan.zones),
        )
    caveats = "".join(f'<p class="small">{escape(c)}</p>' for c in result.caveats)
    return f"<section><h2>{escape(_title(before))}</h2>{moved}{caveats}{figure}</section>"


def _title(before: Compared) -> str:
    """By how much the limits move, as a heading."""
    moves = [m.by_bpm for m in before.result.moves]
    if not moves:
        return f"Against the zones {before.name}"
    if not any(moves):
        return f"No limit moves against the zones {before.name}"
    low, high = min(moves), max(moves)
    said = f"{_by(low)}" if low == high else f"{_by(low)} to {_by(high)}"
    return f"Limits move by {said} against the zones {before.name}".replace(" bpm to", " to")


def _by(bpm: int) -> str:
    """A move with its sign.

    Examples
    --------
    >>> _by(4), _by(-3), _by(0)
    ('+4 bpm', '−3 bpm', '0 bpm')
    """
    return f"{'+' if bpm > 0 else ''}{wording.minus(bpm, 0)} bpm"


def _finding(before: Compared, now: ZoneSet) -> str:
    """The share of training in the easy zones under both sets, or in the lowest zone."""
    n = 2 if now.scale == "two thresholds" else 1
    after = sum(before.result.seconds_after[:n]) / sum(before.result.seconds_after)
    what = "below the first threshold" if n == 2 else f"in “{now.zones[0].name}”"
    said = f"{wording.percent(after)} of that training lies {what}"
    total = sum(before.result.seconds_before)
    if len(before.zones.zones) == len(now.zones) and total > 0:
        said += (
            f", {wording.percent(sum(before.result.seconds_before[:n]) / total)} by the zones {before.name}"
        )
    return said


def _times(before: Compared, now: ZoneSet) -> str:
    """Minutes under both sets."""
    if len(before.zones.zones) == len(now.zones):
        rows = [
            [z.name, f"{b / 60:.0f}", f"{a / 60:.0f}"]
            for z, b, a in zip(
                now.zones, before.result.seconds_before, before.result.seconds_after, strict=True
            )
        ]
        return table(["Zone", "then, min", "now, min"], rows, caption="Minutes in zones")
    rows = [
        [z.name, f"{s / 60:.0f}"]
        for z, s in zip(before.zones.zones, before.result.seconds_before, strict=True)
    ]
    rows += [
        [f"now {z.name}", f"{s / 60:.0f}"]
        for z, s in zip(now.zones, before.result.seconds_after, strict=True)
    ]
    return table(["Zone", "min"], rows, caption="Minutes in zones")


def both_bars(before: Compared, now: ZoneSet) -> alt.TopLevelMixin:
    """Two bars of the same training, split by both sets of zones."""
    parts: list[dict[str, Any]] = []
    for name, zones, seconds in (
        (before.name, before.zones, before.result.seconds_before),
        ("now", now, before.result.seconds_after),
    ):
        total, at = sum(seconds), 0.0
        for number, (zone, s) in enumerate(zip(zones.zones, seconds, strict=True)):
            share = 100 * s / total if total > 0 else 0.0
            shade = _SHADES.get(len(zones.zones), tuple(min(4, i) for i in range(len(zones.zones))))[number]
            parts.append(
                {
                    "set": name,
                    "from": at,
                    "to": at + share,
                    "middle": at + share / 2,
                    "shade": str(shade),
                    "said": f"{share:.0f} %" if share >= 6 else "",
                    "zone": zone.name,
                }
            )
            at += share
    frame = pd.DataFrame(parts)
    order = [before.name, "now"]
    rows = alt.Y("set:N", sort=order, title=None, axis=None)
    length = alt.Scale(domain=[0, 100], nice=False)
    shades = alt.Scale(domain=[str(i) for i in range(5)], range=list(ZONES))
    base = alt.Chart(frame)
    bars = base.mark_bar(height=17, yOffset=7).encode(
        x=alt.X("from:Q", scale=length, title=None, axis=None),
        x2="to:Q",
        y=rows,
        color=alt.Color("shade:N", scale=shades),
    )
    dark = base.transform_filter("datum.shade > 2").mark_text(dy=7.5, color="#fdfcf9", fontSize=11)
    light = base.transform_filter("datum.shade <= 2").mark_text(dy=7.5, color=INK, fontSize=11)
    names = (
        alt.Chart(pd.DataFrame({"set": order}))
        .mark_text(align="left", baseline="bottom", dy=-4, color=MUTED)
        .encode(x=alt.value(0), y=rows, text="set:N")
    )
    said = "; ".join(f"{p['set']} {p['zone']} {p['to'] - p['from']:.0f} %" for p in parts)
    return alt.layer(
        bars,
        *(t.encode(x=alt.X("middle:Q", scale=length), y=rows, text="said:N") for t in (light, dark)),
        names,
    ).properties(
        width=WIDTH, height=92, description=f"Share of training in each zone under both sets: {said}."
    )


def _how(plan: ZonePlan) -> str:
    """What the zones rest on, and cautions."""
    said = [
        f"Your {t.which} threshold: {wording.threshold(t)}, from {wording.full_date(t.on)}"
        + (f", {t.method}" if t.method else "")
        + "."
        for t in plan.thresholds
    ]
    said.append(f"Zones by {plan.zones.scale}: {plan.zones.source}.")
    if plan.medicine:
        said.append(
            "You take medicine that changes heart rate: these limits may not fit you. Go by effort and talking, and ask "
            "your physician."
        )
    said += CAUTIONS[1:]
    items = "".join(f"<li>{escape(s)}</li>" for s in said)
    return f'<section class="how"><h2>How we know</h2><ul>{items}</ul></section>'
