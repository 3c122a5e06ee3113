"""What a zone sheet is made of, and how a zone is called on it."""

from dataclasses import dataclass
from datetime import date

from coachlib.measures.zones.scales import MAXIMUM_EDGES, Zone, ZoneSet
from coachlib.measures.zones.zone_table import ZoneComparison, ZoneOutput, ZoneShares
from coachlib.records.athlete import Threshold

#: What lies below a scale is no zone that could be typed in.
BELOW = MAXIMUM_EDGES[0][0]


@dataclass(frozen=True, kw_only=True)
class Compared:
    """Another set of zones, and the same training under both.

    ``name`` stands over a column; ``of_watch`` says that a watch guessed them.
    """

    name: str
    of_watch: bool
    zones: ZoneSet
    result: ZoneComparison
    training: str


@dataclass(frozen=True, kw_only=True)
class ZonePlan:
    """Everything a zone sheet says; ``on`` is the day of the newest threshold behind it, if there is one.

    ``outputs`` is empty where no line of heart rate on output is known; ``why_no_output`` then says why.
    ``unit`` is "W" or "m/s"; ``tested_low`` and ``tested_high`` are the ends of what the line was made from.
    """

    athlete: str
    coach: str
    on: date | None
    zones: ZoneSet
    shares: tuple[ZoneShares, ...]
    outputs: tuple[ZoneOutput, ...]
    unit: str
    outputs_from: str
    tested_low: float
    tested_high: float
    why_no_output: str
    thresholds: tuple[Threshold, ...]
    hr_max_bpm: float | None
    hr_max_from: str | None
    hr_rest_bpm: float | None
    medicine: bool
    compared: tuple[Compared, ...]

    @property
    def own_bands(self) -> bool:
        """Whether these are this project's five bands."""
        return self.zones.scale == "two thresholds"

    @property
    def numbered(self) -> tuple[Zone, ...]:
        """The zones a watch can be given, from the first."""
        return tuple(z for z in self.zones.zones if z.name != BELOW)

    def called(self, zone: Zone) -> str:
        """A zone's name with its number, which a watch shows; some scales have it in the name."""
        if zone.name == BELOW or "zone" in zone.name:
            return zone.name
        return f"{1 + self.numbered.index(zone)} {zone.name}"


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
