"""What kinds of session are: how long, in which domain, how hard they feel.

Source
------
Haugen T, Sandbakk Ø, Seiler S, Tønnessen E (2022), Sports Med - Open 8:46, doi 10.1186/s40798-022-00438-7: sessions of
elite runners, to be scaled down.  Lengths and repetitions marked so below, and all efforts, are cited from memory.
Efforts are on the CR-10 scale as worded by Foster C et al. (2001), J Strength Cond Res 15:109-115.
"""

from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

#: Below the first threshold, around it, near the second, above it.
Domain = Literal["below first", "around first", "near second", "above second"]

#: Effort in words, CR-10 as a session's rating: Foster et al. (2001); 6, 8 and 9 have no words.
EFFORT_WORDS = MappingProxyType(
    {
        0: "rest",
        1: "very, very easy",
        2: "easy",
        3: "moderate",
        4: "somewhat hard",
        5: "hard",
        7: "very hard",
        10: "maximal",
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Archetype:
    """A kind of session: its usual length, domain and effort; None where there is no usual one."""

    name: str
    domain: Domain | None
    minutes_low: float | None = None
    minutes_high: float | None = None
    effort_low: float | None = None
    effort_high: float | None = None
    is_hard: bool = False


ARCHETYPES = MappingProxyType(
    {
        found.name: found
        for found in (
            Archetype(
                name="easy",
                domain="below first",
                minutes_low=40,
                minutes_high=70,
                effort_low=2,
                effort_high=3,
            ),
            # 75 to 165 min for marathon runners
            Archetype(
                name="long",
                domain="below first",
                minutes_low=45,
                minutes_high=120,
                effort_low=3,
                effort_high=4,
            ),
            # length from memory
            Archetype(
                name="steady",
                domain="around first",
                minutes_low=30,
                minutes_high=60,
                effort_low=4,
                effort_high=4,
            ),
            # 20 to 50 min at once, or 4 to 6 x 6 to 10 min, rest 1 to 2 min: the intervals from memory
            Archetype(
                name="threshold",
                domain="near second",
                minutes_low=20,
                minutes_high=50,
                effort_low=5,
                effort_high=6,
                is_hard=True,
            ),
            # 4 to 6 x 3 to 5 min, rest 2 to 3 min: from memory
            Archetype(name="short hard", domain="above second", effort_low=7, effort_high=9, is_hard=True),
            # 6 to 10 x 15 to 20 s, full rest: from memory
            Archetype(name="strides", domain=None),
            # twice a week, away from hard days: from memory
            Archetype(name="strength", domain=None, minutes_low=30, minutes_high=60),
            Archetype(name="rest", domain=None),
            Archetype(name="test", domain=None, is_hard=True),
            Archetype(name="race", domain=None, is_hard=True),
            # hard, of a kind that nobody said
            Archetype(name="intervals", domain=None, is_hard=True),
            Archetype(name="other", domain=None),
        )
    }
)


def archetype(name: str | None) -> Archetype:
    """The kind of session of a name; "other" where it is none that is known.

    Examples
    --------
    >>> archetype("long").minutes_high, archetype("hill sprints").name
    (120, 'other')
    """
    return ARCHETYPES.get(name or "other", ARCHETYPES["other"])
