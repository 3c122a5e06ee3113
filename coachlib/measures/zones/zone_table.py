"""What stands beside zones on a sheet: shares of maximum and reserve, speed or power, and the zones before."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from coachlib.errors import BadArgument
from coachlib.measures.common.codes import Code, code
from coachlib.measures.output.heart_rate import reserve_share
from coachlib.measures.output.monotone import MonotoneLine
from coachlib.measures.zones.scales import LimitMove, Zone, ZoneSet, moved_limits, seconds_in_zones


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneShares:
    """A zone's first and last beat as shares; None where the zone has no end, or rest is not known. [%]"""

    name: str
    low_max_pct: float
    high_max_pct: float | None
    low_reserve_pct: float | None
    high_reserve_pct: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneOutput:
    """A zone's limits in speed or power; None where it has no end on that side.

    A prolonged limit lies outside the heart rates that were measured.
    """

    name: str
    low: float | None
    high: float | None
    low_prolonged: bool
    high_prolonged: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneComparison:
    """Two sets of zones on the same training; ``moves`` is empty where the sets differ in number of zones."""

    moves: tuple[LimitMove, ...]
    seconds_before: tuple[float, ...]
    seconds_after: tuple[float, ...]
    caveats: tuple[Code, ...]


def zone_shares(
    zone_set: ZoneSet, *, hr_max_bpm: float, hr_rest_bpm: float | None = None
) -> tuple[ZoneShares, ...]:
    """Limits of zones as shares of maximum heart rate and of the reserve.

    Parameters
    ----------
    zone_set : ZoneSet
        Zones in whole beats.
    hr_max_bpm, hr_rest_bpm : float
        Maximum and rest. [1/min]

    Raises
    ------
    BadArgument
        When the maximum is not above rest, or not above 0.

    Source
    ------
    Arithmetic.

    Examples
    --------
    >>> shares = zone_shares(zones_from_limits([151, 171], source="a watch"), hr_max_bpm=190, hr_rest_bpm=50)
    >>> shares[0].high_max_pct, shares[1].high_reserve_pct
    (78.9, 85.7)
    """
    if not hr_max_bpm > 0:
        raise BadArgument(f"shares need a maximum heart rate above 0 bpm; found {hr_max_bpm:g}.")

    def of_max(bpm: int | None) -> float | None:
        return None if bpm is None else 100 * bpm / hr_max_bpm

    def of_reserve(bpm: int | None) -> float | None:
        if bpm is None or hr_rest_bpm is None:
            return None
        return 100 * max(
            float(reserve_share(float(bpm), hr_rest_bpm=hr_rest_bpm, hr_max_bpm=hr_max_bpm)), 0.0
        )

    return tuple(
        ZoneShares(
            name=z.name,
            low_max_pct=100 * z.low_bpm / hr_max_bpm,
            high_max_pct=of_max(z.high_bpm),
            low_reserve_pct=of_reserve(z.low_bpm),
            high_reserve_pct=of_reserve(z.high_bpm),
        )
        for z in zone_set.zones
    )


def zone_outputs(zone_set: ZoneSet, line: MonotoneLine) -> tuple[ZoneOutput, ...]:
    """Limits of zones in speed or power along the athlete's own line.

    Parameters
    ----------
    zone_set : ZoneSet
        Zones in whole beats.
    line : MonotoneLine
        Output on heart rate; its unit is that of the answer.

    Returns
    -------
    tuple of ZoneOutput
        Each zone ends at the output of its last beat, where the next begins: no gap, no overlap.

    Source
    ------
    See ``measures.output.monotone``.

    Examples
    --------
    >>> from coachlib.measures.output.monotone import monotone_line
    >>> line = monotone_line([110, 140, 170], [100, 200, 300], slope=0.3)
    >>> [(z.low, z.high) for z in zone_outputs(zones_from_limits([150, 171], source="a watch"), line)]
    [(None, 230.0), (230.0, 300.0), (300.0, None)]
    """
    tops = [z.high_bpm for z in zone_set.zones if z.high_bpm is not None]
    limits = [line.output_at(bpm) for bpm in tops]
    outside = [not line.is_measured(bpm) for bpm in tops]
    return tuple(
        ZoneOutput(name=z.name, low=low, high=high, low_prolonged=before, high_prolonged=after)
        for z, low, high, before, after in zip(
            zone_set.zones,
            [None, *limits],
            [*limits, None],
            [False, *outside],
            [*outside, False],
            strict=True,
        )
    )


def zones_from_limits(lows_bpm: Sequence[int], *, source: str) -> ZoneSet:
    """Zones typed in by the first beat of each but the lowest, such as those a watch guessed.

    Parameters
    ----------
    lows_bpm : sequence of int
        First beat of the second zone, of the third, and so on, rising. [1/min]
    source : str
        Where they come from, in words.

    Raises
    ------
    BadArgument
        When there is none, or they do not rise in whole beats.

    Source
    ------
    Counting.

    Examples
    --------
    >>> [(z.low_bpm, z.high_bpm) for z in zones_from_limits([130, 150], source="the watch").zones]
    [(0, 129), (130, 149), (150, None)]
    """
    lows = [0, *lows_bpm]
    if len(lows) < 2 or any(b != int(b) or b <= a for a, b in pairwise(lows)):
        raise BadArgument(
            f"typed-in zones need the first beat of each zone from the second on, rising; found {list(lows_bpm)}."
        )
    highs = [int(low) - 1 for low in lows[1:]] + [None]
    zones = tuple(
        Zone(name=f"zone {i}", low_bpm=int(low), high_bpm=high)
        for i, (low, high) in enumerate(zip(lows, highs, strict=True), start=1)
    )
    return ZoneSet(zones=zones, scale="typed in", source=source)


def compare_zones(before: ZoneSet, after: ZoneSet, seconds_at_bpm: Sequence[float]) -> ZoneComparison:
    """By how much each limit moves, and how the same training looks under both sets.

    Parameters
    ----------
    before, after : ZoneSet
        The zones so far and the new ones.
    seconds_at_bpm : sequence of float
        Seconds of training, index = beats per minute. [s]

    Source
    ------
    Counting.

    Examples
    --------
    >>> old, new = (zones_from_limits(lows, source="a watch") for lows in ([151, 171], [155, 171]))
    >>> found = compare_zones(old, new, [0.0] * 152 + [60.0])
    >>> found.moves[0].by_bpm, found.seconds_before, found.seconds_after
    (4, (0.0, 60.0, 0.0), (60.0, 0.0, 0.0))
    """
    alike = len(before.zones) == len(after.zones)
    caveat = code("sets of different size", n_before=len(before.zones), n_after=len(after.zones))
    return ZoneComparison(
        moves=moved_limits(before, after) if alike else (),
        seconds_before=seconds_in_zones(seconds_at_bpm, before),
        seconds_after=seconds_in_zones(seconds_at_bpm, after),
        caveats=() if alike else (caveat,),
    )
