"""Zones in whole beats, without gap or overlap, from thresholds or from published scales."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from coachlib.errors import BadArgument
from coachlib.measures.output.heart_rate import at_reserve

#: Upper end of the lowest band on the way from rest to the first threshold.  Own choice.
VERY_EASY_FRAC = 0.7
#: Where the highest band begins on the way from the second threshold to the maximum.  Own choice.
VERY_HARD_FRAC = 0.5

#: Lower edges as shares of the heart-rate reserve.  Garber CE et al. (2011), Med Sci Sports Exerc
#: 43:1334-1359, position stand of the American College of Sports Medicine.
RESERVE_EDGES = (
    ("very light", 0.0),
    ("light", 0.30),
    ("moderate", 0.40),
    ("vigorous", 0.60),
    ("near maximal", 0.90),
)
#: Lower edges as shares of maximum heart rate: the Norwegian five-zone scale as in Seiler S (2010), Int J
#: Sports Physiol Perform 5:276-291.  The print has gaps (87-88, 93-94) and shared edges (72, 82); here each
#: zone ends where the next begins.  It numbers them; that, and the names, are this project's own choice.
MAXIMUM_EDGES = (
    ("below the scale", 0.0), ("easy long", 0.60), ("moderate long", 0.72), ("fast long", 0.82),
    ("long intervals", 0.88), ("short intervals", 0.94),
)  # fmt: skip
#: This project's own five bands.
OWN_SCALE = "two thresholds"
#: What each scale is made from, in rising order.
NEEDED: dict[str, tuple[str, ...]] = {
    OWN_SCALE: ("resting heart rate", "first threshold", "second threshold", "maximum heart rate"),
    "heart-rate reserve": ("resting heart rate", "maximum heart rate"),
    "share of maximum": ("maximum heart rate",),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """One zone: name and whole beats from ``low_bpm`` to ``high_bpm``, both inside; None has no end."""

    name: str
    low_bpm: int
    high_bpm: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneSet:
    """Zones from low to high; each begins one beat above the end of the one before."""

    zones: tuple[Zone, ...]
    scale: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitMove:
    """By how many beats the lower limit of a zone moves from one set to another."""

    name: str
    before_bpm: int
    after_bpm: int

    @property
    def by_bpm(self) -> int:
        """Beats up (positive) or down."""
        return self.after_bpm - self.before_bpm


def five_bands(*, hr_rest_bpm: float, first_bpm: float, second_bpm: float, hr_max_bpm: float) -> ZoneSet:
    """Five bands from two thresholds.

    Parameters
    ----------
    hr_rest_bpm, first_bpm, second_bpm, hr_max_bpm : float
        Rest, the two thresholds, maximum, in rising order. [1/min]

    Returns
    -------
    ZoneSet
        Below 70 % of the way from rest to the first threshold; up to the first; up to the second; up to half-way from
        the second to the maximum; above.

    Raises
    ------
    BadArgument
        When the four are not in rising order.

    Source
    ------
    This project's own choice: the thresholds are the limits that physiology gives, the outer two make
    long bands handy.

    Examples
    --------
    >>> bands = five_bands(hr_rest_bpm=50, first_bpm=150, second_bpm=170, hr_max_bpm=190)
    >>> [z.high_bpm for z in bands.zones]
    [120, 150, 170, 180, None]
    """
    _rising(
        ("resting heart rate", hr_rest_bpm), ("first threshold", first_bpm), ("second threshold", second_bpm),
        ("maximum", hr_max_bpm),
    )  # fmt: skip
    tops = (
        ("very easy", hr_rest_bpm + VERY_EASY_FRAC * (first_bpm - hr_rest_bpm)),
        ("easy", first_bpm),
        ("steady", second_bpm),
        ("hard", second_bpm + VERY_HARD_FRAC * (hr_max_bpm - second_bpm)),
    )
    return _from_tops(tops, "very hard", OWN_SCALE, "this project's own choice")


def reserve_zones(*, hr_rest_bpm: float, hr_max_bpm: float) -> ZoneSet:
    """Intensity classes by share of the heart-rate reserve.

    Source
    ------
    Garber CE et al. (2011), Med Sci Sports Exerc 43:1334-1359.

    Examples
    --------
    >>> [z.low_bpm for z in reserve_zones(hr_rest_bpm=60, hr_max_bpm=190).zones]
    [0, 99, 112, 138, 177]
    """
    _rising(("resting heart rate", hr_rest_bpm), ("maximum", hr_max_bpm))
    edges = [
        (name, at_reserve(share, hr_rest_bpm=hr_rest_bpm, hr_max_bpm=hr_max_bpm))
        for name, share in RESERVE_EDGES
    ]
    return _from_lows(edges, "heart-rate reserve", "Garber et al. 2011")


def maximum_zones(*, hr_max_bpm: float) -> ZoneSet:
    """Five zones by share of maximum heart rate.

    Source
    ------
    Norwegian five-zone scale as in Seiler (2010), see ``MAXIMUM_EDGES``.

    Examples
    --------
    >>> [z.low_bpm for z in maximum_zones(hr_max_bpm=190).zones]
    [0, 114, 137, 156, 168, 179]
    """
    _rising(("0", 0.0), ("maximum", hr_max_bpm))
    edges = [(name, share * hr_max_bpm) for name, share in MAXIMUM_EDGES]
    return _from_lows(edges, "share of maximum", "Seiler 2010")


def zone_set(
    scale: str,
    *,
    first_bpm: float | None = None,
    second_bpm: float | None = None,
    hr_rest_bpm: float | None = None,
    hr_max_bpm: float | None = None,
) -> ZoneSet:
    """The zones of the scale an athlete has chosen.

    Raises
    ------
    BadArgument
        When something the scale needs is not known.

    Source
    ------
    See the functions for each scale.

    Examples
    --------
    >>> zone_set("share of maximum", hr_max_bpm=190).source
    'Seiler 2010'
    """
    known = {
        "resting heart rate": hr_rest_bpm,
        "first threshold": first_bpm,
        "second threshold": second_bpm,
        "maximum heart rate": hr_max_bpm,
    }
    if scale not in NEEDED:
        raise BadArgument(f'zones are made on one of {", ".join(NEEDED)}; found "{scale}".')
    missing = [name for name in NEEDED[scale] if known[name] is None]
    if missing:
        told = " and ".join(filter(None, (", ".join(missing[:-1]), missing[-1])))
        raise BadArgument(
            f'zones on the scale "{scale}" need {told}. Accept the thresholds that are missing, write missing heart '
            "rates into athlete.toml, or choose another scale."
        )
    if scale == OWN_SCALE:
        return five_bands(
            hr_rest_bpm=hr_rest_bpm or 0.0,
            first_bpm=first_bpm or 0.0,
            second_bpm=second_bpm or 0.0,
            hr_max_bpm=hr_max_bpm or 0.0,
        )
    if scale == "heart-rate reserve":
        return reserve_zones(hr_rest_bpm=hr_rest_bpm or 0.0, hr_max_bpm=hr_max_bpm or 0.0)
    return maximum_zones(hr_max_bpm=hr_max_bpm or 0.0)


def seconds_in_zones(seconds_at_bpm: Sequence[float], zone_set_: ZoneSet) -> tuple[float, ...]:
    """Seconds in each zone from the seconds at each whole heart rate.

    Parameters
    ----------
    seconds_at_bpm : sequence of float
        Seconds, index = beats per minute. [s]

    Source
    ------
    Counting.

    Examples
    --------
    >>> from coachlib.measures.zones.zone_table import zones_from_limits
    >>> seconds_in_zones([0.0] * 150 + [60.0] * 2, zones_from_limits([151, 171], source="a watch"))
    (60.0, 60.0, 0.0)
    """
    seconds = np.asarray(seconds_at_bpm, dtype=float)
    return tuple(
        float(seconds[z.low_bpm : None if z.high_bpm is None else z.high_bpm + 1].sum())
        for z in zone_set_.zones
    )


def moved_limits(before: ZoneSet, after: ZoneSet) -> tuple[LimitMove, ...]:
    """By how much each lower limit moves between two sets with as many zones.

    Raises
    ------
    BadArgument
        When the sets have not as many zones.

    Source
    ------
    Subtraction.

    Examples
    --------
    >>> from coachlib.measures.zones.zone_table import zones_from_limits
    >>> old, new = (zones_from_limits(lows, source="a watch") for lows in ([151, 171], [155, 171]))
    >>> [m.by_bpm for m in moved_limits(old, new)]
    [4, 0]
    """
    if len(before.zones) != len(after.zones):
        raise BadArgument(
            f"limits can be compared between sets with as many zones; found {len(before.zones)} and "
            f"{len(after.zones)}."
        )
    pairs = zip(before.zones[1:], after.zones[1:], strict=True)
    return tuple(LimitMove(name=b.name, before_bpm=a.low_bpm, after_bpm=b.low_bpm) for a, b in pairs)


def _rising(*named: tuple[str, float]) -> None:
    for (low_name, low), (high_name, high) in pairwise(named):
        if not high > low:
            raise BadArgument(
                f"zones need the {high_name} above the {low_name}; found {high:g} and {low:g} bpm. Correct the lower "
                "or the higher of the two."
            )


def _from_tops(tops: Sequence[tuple[str, float]], last: str, scale: str, source: str) -> ZoneSet:
    """Zones that end with a limit: a beat on the limit lies inside."""
    zones, low = [], 0
    for name, top in tops:
        high = max(int(np.floor(top + 1e-9)), low)
        zones.append(Zone(name=name, low_bpm=low, high_bpm=high))
        low = high + 1
    return ZoneSet(zones=(*zones, Zone(name=last, low_bpm=low, high_bpm=None)), scale=scale, source=source)


def _from_lows(edges: Sequence[tuple[str, float]], scale: str, source: str) -> ZoneSet:
    """Zones that begin with an edge: a beat on the edge lies inside."""
    lows = [0, *(int(np.ceil(edge - 1e-9)) for _, edge in edges[1:])]
    highs = [low - 1 for low in lows[1:]] + [None]
    zones = tuple(
        Zone(name=name, low_bpm=low, high_bpm=high)
        for (name, _), low, high in zip(edges, lows, highs, strict=True)
    )
    return ZoneSet(zones=zones, scale=scale, source=source)
