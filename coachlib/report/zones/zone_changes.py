"""What changes with new zones: by how much each limit moves, and how the same training looks under both."""

from coachlib.analysis.zones.plan import Compared, ZonePlan
from coachlib.measures.zones.scales import ZoneSet
from coachlib.report.look.tables import table
from coachlib.report.look.text import escape
from coachlib.report.words import wording
from coachlib.report.words.catalogue import whole
from coachlib.report.zones.zone_plan import beats, shades

#: Parts of a bar narrower than this carry no number: it would not fit. [%]
WRITTEN_PCT = 7
STYLE = (
    "<style>.letter figure.both{display:block;width:auto;margin:1.3rem 0 1.6rem}"
    ".letter .both .whose{display:block;font:.875rem/1.4 var(--sans);color:var(--muted);margin:.5rem 0 .15rem}"
    ".letter .both .bar{height:1.5rem}.letter .both .part{flex-basis:0;min-width:0;text-align:center;"
    "font:.8125rem/1.4rem var(--sans);font-variant-numeric:tabular-nums;white-space:nowrap}"
    + "".join(f".letter .both .z{i}{{color:var(--t{i})}}" for i in range(1, 6))
    + ".letter .both figcaption{max-width:none}"
    "@media print{.letter .both .bar{height:1.25rem}.letter .both .part{line-height:1.15rem}"
    ".letter .against{display:grid;grid-template-columns:1fr 1fr;column-gap:1.5rem;align-items:start}"
    ".letter .against h2{grid-column:1/-1;margin:1rem 0 .4rem}.letter .against figure.both{margin:0}"
    ".letter .against th,.letter .against td{padding-top:.2rem;padding-bottom:.2rem}}</style>"
)


def news(plan: ZonePlan) -> tuple[str, ...]:
    """What is new about an athlete's own bands, in a sentence; nothing where nothing moved."""
    for other in plan.compared:
        moved = {m.name: m.by_bpm for m in other.result.moves}
        if other.of_watch or not plan.own_bands:
            continue
        if moved.get("steady"):
            return (f"Easy ends {_beats(moved['steady'])} than before.",)
        if moved.get("hard"):
            return (f"Hard begins {_beats(moved['hard'])} than before.",)
    return ()


def changes(plan: ZonePlan) -> str:
    """Against the zones before, and against those a watch guessed."""
    zones = plan.zones
    told = "" if zones is None else "".join(_against(other, zones, plan.own_bands) for other in plan.compared)
    return f"{STYLE}{told}" if told else ""


def _against(other: Compared, now: ZoneSet, own_bands: bool) -> str:
    caveats = "".join(f'<p class="small">{escape(whole(c))}</p>' for c in other.result.caveats)
    return (
        f'<section class="against"><h2>{escape(_title(other))}</h2>{_limits(other, now)}{caveats}'
        f"{_same_training(other, now, own_bands)}</section>"
    )


def _called(other: Compared) -> str:
    return "watch" if other.of_watch else "before"


def _training(other: Compared) -> str:
    sessions = wording.count(other.n_sessions, "session").capitalize()
    return f"{sessions} of the last {wording.count(other.n_weeks, 'week')}"


def _title(other: Compared) -> str:
    """How far the limits move, as a heading."""
    moves = [m.by_bpm for m in other.result.moves]
    if not moves:
        return "Beside your watch's own zones" if other.of_watch else "Beside your zones before"
    if not any(moves):
        return "Your watch has the same limits" if other.of_watch else "No limit moves"
    largest = max(map(abs, moves))
    up_to = "up to " if len({abs(m) for m in moves}) > 1 else ""
    if min(moves) < 0 < max(moves):
        return f"Limits are up to {largest} bpm off {'those of your watch' if other.of_watch else 'those before'}"
    than = "those of your watch" if other.of_watch else "before"
    return f"Limits are {up_to}{_beats(largest if max(moves) > 0 else -largest)} than {than}"


def _beats(by_bpm: int) -> str:
    """A move in words.

    Examples
    --------
    >>> _beats(13), _beats(-3)
    ('13 bpm higher', '3 bpm lower')
    """
    return f"{abs(by_bpm)} bpm {'higher' if by_bpm > 0 else 'lower'}"


def _limits(other: Compared, now: ZoneSet) -> str:
    """Each limit in both sets; sets of different size stand beside each other only."""
    if not other.result.moves:
        rows = [[z.name, beats(z)] for z in other.zones.zones]
        return table([f"Zones, {_called(other)}", "bpm"], rows, caption="What they were")
    limits = [
        [zone.name, move.before_bpm - 1, move.after_bpm - 1, _signed(move.by_bpm)]
        for zone, move in zip(now.zones, other.result.moves, strict=False)
    ]
    apart = "difference" if other.of_watch else "moves by"
    return table(["Zone", _called(other), "now", apart], limits, caption="Where each zone ends, bpm")


def _signed(bpm: int) -> str:
    """A move with its sign.

    Examples
    --------
    >>> _signed(4), _signed(-3), _signed(0)
    ('+4', '−3', '0')
    """
    return f"{'+' if bpm > 0 else ''}{wording.minus(bpm, 0)}"


def _same_training(other: Compared, now: ZoneSet, own_bands: bool) -> str:
    """Two bars of the same training, split by both sets of zones."""
    result = other.result
    if sum(result.seconds_after) <= 0:
        return ""
    bars = "".join(
        f'<span class="whose">{escape(whose)}</span><div class="bar">{_parts(seconds)}</div>'
        for whose, seconds in ((_called(other), result.seconds_before), ("now", result.seconds_after))
    )
    return (
        f'<figure class="both"><h3>{escape(_finding(other, now, own_bands))}</h3>{bars}<figcaption>'
        f"{escape(_training(other))}, counted by both sets of limits. From left to right: the lowest zone to the highest."
        f"</figcaption><details><summary>The numbers</summary>{_times(other, now)}</details></figure>"
    )


def _parts(seconds: tuple[float, ...]) -> str:
    total = sum(seconds)
    return "".join(
        f'<span class="part z{shade}" style="flex-grow:{s / total:.4f}">'
        f"{f'{100 * s / total:.0f} %' if 100 * s / total >= WRITTEN_PCT else ''}</span>"
        for s, shade in zip(seconds, shades(len(seconds)), strict=True)
        if s > 0
    )


def _finding(other: Compared, now: ZoneSet, own_bands: bool) -> str:
    """The share of training in the easy part, or in the lowest zone, under both sets."""
    after, before = other.result.seconds_after, other.result.seconds_before
    n = 2 if own_bands else 1
    said = f"{wording.percent(sum(after[:n]) / sum(after))} of the last weeks' training was "
    said += "easy or very easy" if own_bands else f"“{now.zones[0].name}”"
    if not other.result.moves or sum(before) <= 0:
        return said
    lowest = wording.percent(sum(before[:n]) / sum(before))
    if other.of_watch:
        return f"{said}; your watch puts {lowest} into its lowest {'two zones' if n == 2 else 'zone'}"
    return f"{said}; by the limits before it was {lowest}"


def _times(other: Compared, now: ZoneSet) -> str:
    """Time in every zone, under both sets."""
    before = [wording.duration(s) for s in other.result.seconds_before]
    after = [wording.duration(s) for s in other.result.seconds_after]
    if other.result.moves:
        rows = [[z.name, b, a] for z, b, a in zip(now.zones, before, after, strict=True)]
        return table(["Zone", _called(other), "now"], rows, caption="Time in zones")
    rows = [[f"{_called(other)}: {z.name}", s] for z, s in zip(other.zones.zones, before, strict=True)]
    rows += [[f"now: {z.name}", s] for z, s in zip(now.zones, after, strict=True)]
    return table(["Zone", "time"], rows, caption="Time in zones")
