"""How zones are called and drawn on a sheet."""

from coachlib.measures.zones.scales import MAXIMUM_EDGES, Zone, ZoneSet

#: What lies below a scale is no zone that could be typed in.
BELOW = MAXIMUM_EDGES[0][0]


def for_watch(zones: ZoneSet) -> tuple[Zone, ...]:
    """The zones a watch can be given, from the lowest."""
    return tuple(z for z in zones.zones if z.name != BELOW)


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


def shades(n_zones: int) -> tuple[int, ...]:
    """Which of the five shades each of some zones has, light to dark.

    Examples
    --------
    >>> shades(3), shades(5), shades(6)
    ((1, 3, 5), (1, 2, 3, 4, 5), (1, 2, 3, 3, 4, 5))
    """
    return tuple(1 + round(4 * i / max(n_zones - 1, 1)) for i in range(n_zones))
