"""An athlete's zones: one sheet to keep, to type into a watch, and to see what changed."""

import re
from collections.abc import Callable

from coachlib.analysis.zones.plan import ZonePlan
from coachlib.measures.first_threshold.heart_rate_line import RUNNING_FROM_MPS
from coachlib.measures.zones.scales import VERY_EASY_FRAC, VERY_HARD_FRAC, Zone, ZoneSet
from coachlib.measures.zones.zone_table import ZoneOutput
from coachlib.records.athlete import Threshold
from coachlib.report.look.tables import table
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.words import wording
from coachlib.report.words.catalogue import sentence, whole
from coachlib.report.words.cautions import CAUTIONS
from coachlib.report.zones.effort_guide import effort_guide
from coachlib.report.zones.zone_changes import changes, news
from coachlib.report.zones.zone_plan import beats, for_watch, shades

#: What each of this project's own five bands is for, in a few words.  Own choice.
MEANT_FOR = {
    "very easy": "warming up, cooling down, the day after a hard one",
    "easy": "most of your training: you can talk in whole sentences",
    "steady": "between the thresholds: long, even efforts, talk in short sentences",
    "hard": "above the second threshold: long intervals",
    "very hard": "short intervals, the end of a race",
}
STYLE = (
    "<style>.letter .zones{list-style:none;padding:0;margin:0 0 .7rem;border-top:1px solid var(--grey)}"
    ".letter .zones>li{display:grid;grid-template-columns:.55rem minmax(0,1fr) auto;column-gap:.75rem;margin:0;"
    "padding:.6rem 0;border-bottom:1px solid var(--rule);align-items:baseline;break-inside:avoid}"
    ".letter .zones .shade{grid-row:1/span 3;align-self:stretch;border-radius:1px}"
    ".letter .zones .name{font-weight:600}"
    ".letter .zones .beats{font:600 1.0625rem/1.4 var(--sans);font-variant-numeric:tabular-nums;white-space:nowrap}"
    ".letter .zones .use,.letter .zones .output{grid-column:2/-1;line-height:1.4}"
    ".letter .zones .output{font:.875rem/1.5 var(--sans);color:var(--muted);font-variant-numeric:tabular-nums}"
    ".letter .zones .output span+span::before{content:' · '}"
    ".letter .typed table{margin-bottom:.6rem}"
    "@media(min-width:24rem){.letter .typed th,.letter .typed td{white-space:nowrap}}"
    "@media(min-width:44rem),print{.letter .zones .beats{text-align:right}"
    ".letter .with-output .use{grid-column:2;grid-row:2}"
    ".letter .zones .output{grid-column:3;grid-row:2;text-align:right}"
    ".letter .zones .output span{display:block}.letter .zones .output span+span::before{content:none}}"
    "@media print{.letter .zones>li{padding:.18rem 0}.letter .doubts{margin:.4rem 0;font-size:.875rem;line-height:1.3}.letter .zones .output span{display:inline}"
    ".letter .zones .output span+span::before{content:' · '}.letter .typed h2{margin:1rem 0 .4rem}"
    ".letter .typed th,.letter .typed td{padding-top:.2rem;padding-bottom:.2rem}"
    ".letter .how{margin-top:.9rem;padding-top:.5rem;line-height:1.3}.letter .how li{margin:0 0 .2em}"
    ".letter .how+.how{border:0;margin-top:0}}</style>"
)


def zone_sheet(plan: ZonePlan) -> Html:
    """The sheet for the athlete.

    Parameters
    ----------
    plan : ZonePlan
        What it is made of.

    Notes
    -----
    The zones carry their own source.
    """
    coach = f'<p class="from">from {escape(plan.coach)}</p>' if plan.coach else ""
    when = f", {plan.sport}" if plan.sport else ""
    when += f", valid from {wording.full_date(plan.on)}" if plan.on else ""
    return Html(
        f'{STYLE}<header class="head"><h1>Your zones</h1><p class="when">{escape(plan.athlete + when)}</p>{coach}'
        f'</header><p class="lead">{escape(lead(plan))}</p>{_body(plan)}{_how(plan)}'
    )


def _body(plan: ZonePlan) -> str:
    """The zones with what stands beside them; talk and effort where there may be none."""
    if plan.zones is None:
        return f"<h2>By talk and effort</h2>{effort_guide()}"
    return f"{zone_list(plan, plan.zones)}{_doubts(plan)}{watch_table(plan, plan.zones)}{changes(plan)}"


def lead(plan: ZonePlan) -> str:
    """What the athlete must remember, and what is new about it; why there are no zones, where there are none."""
    if plan.zones is None:
        return " ".join(whole(why) for why in plan.refused)
    zones = {z.name: z for z in plan.zones.zones}
    if plan.own_bands:
        said = [
            f"Easy ends at {zones['easy'].high_bpm} bpm, hard begins at {zones['hard'].low_bpm}.",
            "Most of your training belongs in the easy part.",
        ]
    else:
        said = [f"{wording.count(len(for_watch(plan.zones)), 'zone').capitalize()} by {plan.zones.scale}."]
    return " ".join([*said, *news(plan)])


def _doubts(plan: ZonePlan) -> str:
    """What speaks against these limits."""
    if not plan.doubts:
        return ""
    told = " ".join(whole(doubt) for doubt in plan.doubts)
    return f'<p class="doubts"><strong>Not sure yet.</strong> {escape(told)}</p>'


def zone_list(plan: ZonePlan, zones: ZoneSet) -> str:
    """The zones from low to high: beats, what each is for, and its speed or power where a line is known."""
    outputs = {o.name: o for o in plan.outputs}
    unit = plan.output.unit if plan.output else ""
    items = "".join(
        f'<li><span class="shade z{shade}"></span><span class="name">{escape(zone.name)}</span>'
        f'<span class="beats">{escape(beats(zone))} bpm</span>{_use(zone, plan)}'
        f"{_output(outputs.get(zone.name), unit)}</li>"
        for zone, shade in zip(zones.zones, shades(len(zones.zones)), strict=True)
    )
    kind = "zones with-output" if outputs else "zones"
    return f'<ol class="{kind}">{items}</ol><p class="small">{escape(_about_outputs(plan))}</p>'


def _use(zone: Zone, plan: ZonePlan) -> str:
    """What a zone of this project's own bands is for."""
    return f'<span class="use">{escape(MEANT_FOR[zone.name])}</span>' if plan.own_bands else ""


def _output(output: ZoneOutput | None, unit: str) -> str:
    """A zone's limits in power, or in speed and pace."""
    if output is None:
        return ""
    said = _powers(output) if unit == "W" else _speeds(output)
    return f'<span class="output">{"".join(f"<span>{escape(s)}</span>" for s in said)}</span>'


def _powers(output: ZoneOutput) -> tuple[str, ...]:
    low, high = _limits(output, lambda v: f"{v:.0f}")
    if not low:
        return (f"up to {high} W",)
    return (f"{low} to {high} W" if high else f"{low} W and more",)


def _speeds(output: ZoneOutput) -> tuple[str, ...]:
    """Speed and pace; the line is one of running, so below running it says no more than that."""
    if output.high is not None and output.high < RUNNING_FROM_MPS:
        return ("walking",)
    low, high = _limits(output, lambda v: f"{wording.in_speed_unit(v):.1f}")
    slow, fast = _limits(output, wording.bare_pace)
    unit, per = wording.speed_unit(), wording.pace_unit()
    if output.low is None or output.low < RUNNING_FROM_MPS:
        return (f"up to {high} {unit}", f"{fast} {per} or slower") if high else ("running",)
    if not high:
        return (f"{low} {unit} and more", f"{slow} {per} or faster")
    return (f"{low} to {high} {unit}", f"{slow} to {fast} {per}")


def _limits(output: ZoneOutput, said: Callable[[float], str]) -> tuple[str, str]:
    """Both limits in words, an open one as nothing; each one outside what was tested is marked."""

    def in_words(limit: float | None, is_prolonged: bool) -> str:
        # a pace needs a speed above 0; what is slower than walking is not said
        return "" if limit is None else f"{'~' if is_prolonged else ''}{said(max(limit, 0.1))}"

    return in_words(output.low, output.low_prolonged), in_words(output.high, output.high_prolonged)


def _about_outputs(plan: ZonePlan) -> str:
    """How far speed or power can be trusted."""
    line = plan.output
    if line is None:
        return whole(plan.no_output) if plan.no_output else ""
    power = line.unit == "W"
    what, low, high, unit = (
        ("Power comes from", f"{line.low:.0f}", f"{line.high:.0f}", "W")
        if power
        else (
            "Speeds are for level ground and come from",
            f"{wording.in_speed_unit(line.low):.1f}",
            f"{wording.in_speed_unit(line.high):.1f}",
            wording.speed_unit(),
        )
    )
    said = (
        f"{what} your own {sentence(line.made_from)}. On the day they can be off by {max(line.day_pct, 1):.0f} %, in heat by "
        "more: on easy days go by heart rate."
    )
    if any(o.high_prolonged for o in plan.outputs if power or (o.high or 0.0) >= RUNNING_FROM_MPS):
        said += f" A limit marked ~ lies outside what you were tested at, {low} to {high} {unit}."
    return said


def watch_table(plan: ZonePlan, zone_set: ZoneSet) -> str:
    """The limits to type into any watch: beats, and shares of the maximum and of the reserve."""
    zones = for_watch(zone_set)
    shares = [s for z in zones for s in plan.shares if s.name == z.name]
    columns = [("bpm", [_to_type(zone, plan) for zone in zones])]
    if shares:
        columns.append(("% HRmax", _shares([s.low_max_pct for s in shares])))
    if any(s.low_reserve_pct is not None for s in shares):
        columns.append(("% HRR", _shares([s.low_reserve_pct or 0.0 for s in shares])))
    cells = [[zone.name, *(column[i] for _, column in columns)] for i, zone in enumerate(zones)]
    said = table(["Zone", *(name for name, _ in columns)], cells, caption="Type in one of these columns")
    return f'<section class="typed"><h2>Into the watch</h2>{said}<p class="small">{escape(_basis(plan))}</p></section>'


def _to_type(zone: Zone, plan: ZonePlan) -> str:
    """A zone's beats as a watch wants them: the highest zone ends at the maximum, where that is known."""
    if zone.high_bpm is None and plan.hr_max_bpm is not None and plan.hr_max_bpm > zone.low_bpm:
        return f"{zone.low_bpm} to {plan.hr_max_bpm:.0f}"
    return beats(zone)


def _shares(lows_pct: list[float]) -> list[str]:
    """Whole per cent from zone to zone, without gap or overlap.

    Examples
    --------
    >>> _shares([0.0, 68.6, 87.2, 92.0])
    ['up to 68', '69 to 86', '87 to 91', '92 to 100']
    """
    lows = [round(low) for low in lows_pct]
    for i in range(1, len(lows)):
        lows[i] = max(lows[i], lows[i - 1] + 1)
    highs = [low - 1 for low in lows[1:]] + [100]
    return [
        f"up to {high}" if low <= 0 else f"{low} to {high}" for low, high in zip(lows, highs, strict=True)
    ]


def _basis(plan: ZonePlan) -> str:
    """What must be in the watch already, for its shares to mean these beats."""
    if not plan.shares or plan.hr_max_bpm is None:
        return "For limits in per cent your maximum heart rate would have to be known."
    known = f"your maximum, {wording.heart_rate(plan.hr_max_bpm)}"
    if plan.hr_max_from == "predicted":
        known += " (predicted from age, which can miss by 10 beats and more)"
    if plan.hr_rest_bpm is not None:
        known += (
            f", and, for HRR (the range from rest to maximum), {wording.heart_rate(plan.hr_rest_bpm)} at rest"
        )
    return (
        f"Type beats if you can. Per cent (1 % is about {plan.hr_max_bpm / 100:.0f} beats) is right only when the watch has "
        f"{known}."
    )


def _how(plan: ZonePlan) -> str:
    """What the zones rest on, and cautions."""
    said = [
        f"Your {t.which} threshold: {wording.threshold(t)}, from {wording.full_date(t.on)}"
        + (f", by {method_of(t)}" if t.method else "")
        + "."
        for t in plan.thresholds
    ]
    said += map(whole, plan.withdrawn)
    if plan.zones is not None:
        said.append(_made(plan, plan.zones))
    items = "".join(f"<li>{escape(s)}</li>" for s in (*said, *CAUTIONS[1:]))
    return f'<section class="how"><h2>How we know</h2><ul>{items}</ul></section>'


def method_of(threshold: Threshold) -> str:
    """How it was found, without the method's version.

    Examples
    --------
    >>> from datetime import date
    >>> method_of(Threshold(which="first", on=date(2026, 10, 5), hr_bpm=158, method="drift series 2"))
    'drift series'
    """
    return re.sub(r" \d+$", "", threshold.method)


def _made(plan: ZonePlan, zones: ZoneSet) -> str:
    """Where the limits come from."""
    if not plan.own_bands:
        return f"Zones by {zones.scale}: {zones.source}."
    return (
        "Easy ends at your first threshold and hard begins above your second. Where very easy ends "
        f"({100 * VERY_EASY_FRAC:.0f} % of the way from rest to the first) and very hard begins "
        f"({100 * VERY_HARD_FRAC:.0f} % of the way from the second to your maximum) is our own choice."
    )
