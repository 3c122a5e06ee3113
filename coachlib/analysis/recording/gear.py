"""What sessions were recorded with and done in, and whether it changed for good.

A recording names its watch and its connected sensors by number; shoes, and straps that have no number, stand in
the diary's ``equipment`` in the athlete's words.  Gear that comes and goes (two pairs of shoes in turn, a borrowed
watch) is no change; what is unknown is no change either.

"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from coachlib.records.activity import Activity

#: Sessions needed on each side before gear has changed for good: where a recording tells by number, where it is
#: only written in words.
LEAST_RECORDED, LEAST_WRITTEN = 2, 3
#: Words by which an item of the diary is known.
WORDS = {
    "shoes": frozenset({"shoe", "shoes", "trainers", "spikes", "flats", "boots"}),
    "strap": frozenset({"strap", "sensor", "heart", "rate"}),
    "watch": frozenset({"watch"}),
    "power meter": frozenset({"power", "meter", "powermeter", "pedals", "crank"}),
    "foot pod": frozenset({"pod", "footpod"}),
}
#: What a change of it is called.
CHANGED = {
    "watch": "another watch",
    "strap": "another strap",
    "power meter": "another power meter",
    "foot pod": "another foot pod",
    "shoes": "other shoes",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Gear:
    """One thing of a session: what it is, which one, and whether the recording tells (else the diary)."""

    thing: str
    which: str
    is_recorded: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class GearChange:
    """Things that changed for good on one day, as ``CHANGED`` calls them."""

    on: date
    things: tuple[str, ...]

    @property
    def in_words(self) -> str:
        """What changed.

        Examples
        --------
        >>> GearChange(on=date(2026, 11, 3), things=("watch", "shoes")).in_words
        'another watch and other shoes'
        """
        return " and ".join(CHANGED[thing] for thing in self.things)


def gear_of(activity: Activity, equipment: str, *, unit: str) -> tuple[Gear, ...]:
    """The gear that may move a session's reading.

    Parameters
    ----------
    activity : Activity
        Names its watch and sensors.
    equipment : str
        The diary's words, such as "shoes: grey; strap: old" or "blue shoes, fan".
    unit : str
        Of the output, "W" or "m/s": a power meter matters to one, a foot pod to the other.

    Examples
    --------
    >>> written("Blue shoes, fan; strap: old")
    (Gear(thing='shoes', which='blue', is_recorded=False), Gear(thing='strap', which='old', is_recorded=False))
    """
    known = {"watch": activity.device, "strap": activity.heart_rate_sensor}
    known |= {"power meter": activity.power_sensor} if unit == "W" else {"foot pod": activity.stride_sensor}
    recorded = tuple(
        Gear(thing=thing, which=which, is_recorded=True) for thing, which in known.items() if which
    )
    told = {gear.thing for gear in recorded}
    other = "foot pod" if unit == "W" else "power meter"
    return recorded + tuple(g for g in written(equipment) if g.thing not in told and g.thing != other)


def written(equipment: str) -> tuple[Gear, ...]:
    """The items of the diary's words that are known, in any order of their words; the others say nothing.

    Examples
    --------
    >>> written("shoes: grey") == written("Grey shoes")
    True
    >>> written("fan on full"), written("shoes")
    ((), ())
    """
    found = []
    for item in re.split(r"[,;+\n]", equipment.casefold()):
        words = frozenset(re.findall(r"\w+", item))
        thing = next((thing for thing, names in WORDS.items() if words & names), None)
        which = " ".join(sorted(words - WORDS[thing])) if thing else ""
        if thing and which:
            found.append(Gear(thing=thing, which=which, is_recorded=False))
    return tuple(found)


def last_change(
    sessions: Sequence[tuple[date, tuple[Gear, ...]]],
    *,
    taken_back: Callable[[date], bool] = lambda day: False,
) -> GearChange | None:
    """The last day on which something changed for good.

    Parameters
    ----------
    sessions : sequence of (date, tuple of Gear)
        In order of time.
    taken_back : function of a date
        Whether the coach says that what changed on a day does not matter.

    Returns
    -------
    GearChange or None
        None where nothing changed, where too few sessions lie on either side, or where what was there before
        came back later.

    Examples
    --------
    >>> grey, blue = (Gear(thing="shoes", which=w, is_recorded=False) for w in ("grey", "blue"))
    >>> days = [date(2026, 11, d) for d in range(1, 7)]
    >>> last_change(list(zip(days, [(grey,)] * 3 + [(blue,)] * 3))).on
    datetime.date(2026, 11, 4)
    >>> last_change(list(zip(days, [(grey,), (blue,)] * 3))) is None
    True
    """
    on_day: dict[date, list[str]] = {}
    for thing in CHANGED:
        days = [
            day
            for is_recorded, least in ((True, LEAST_RECORDED), (False, LEAST_WRITTEN))
            for day in _changed_on(sessions, thing, is_recorded=is_recorded, least=least)
            if not taken_back(day)
        ]
        if days:
            on_day.setdefault(max(days), []).append(thing)
    if not on_day:
        return None
    on = max(on_day)
    return GearChange(on=on, things=tuple(on_day[on]))


def _changed_on(
    sessions: Sequence[tuple[date, tuple[Gear, ...]]], thing: str, *, is_recorded: bool, least: int
) -> list[date]:
    """The days on which one thing changed for good."""
    known = [
        (on, gear.which)
        for on, gears in sessions
        for gear in gears
        if gear.thing == thing and gear.is_recorded == is_recorded
    ]
    last = {which: i for i, (_, which) in enumerate(known)}
    days, reach = [], -1
    for i, (on, which) in enumerate(known):
        # what was there before never came back
        if reach < i and least <= i <= len(known) - least:
            days.append(on)
        reach = max(reach, last[which])
    return days
