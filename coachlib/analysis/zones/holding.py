"""Whether limits by heart rate hold: for this person on this day, and since the threshold was accepted."""

from collections.abc import Iterable
from datetime import date

from coachlib.measures.common.codes import Code, code
from coachlib.records.athlete import Athlete, Threshold

#: Days apart after which a threshold is another, and what they are called.
_EVENTS = {"ill": "illness", "injured": "illness", "pregnant": "pregnancy"}


def by_effort(athlete: Athlete, day: date) -> Code | None:
    """Why an athlete goes by talk and effort on a day instead of heart rate; None where limits in beats hold.

    Source
    ------
    Medicine: Mitchell et al. (2025), doi 10.1007/s00421-025-05818-x.  Pregnancy: American College of Obstetricians and
    Gynecologists (2020), Committee Opinion 804, doi 10.1097/AOG.0000000000003772 (effort rather than heart rate: from memory).

    Examples
    --------
    >>> by_effort(Athlete(slug="mira", name="Mira", heart_rate_medicine=True), date(2026, 11, 22)).name
    'no heart-rate limits under medicine'
    """
    why = athlete.by_effort_on(day)
    if why == "medicine":
        return code("no heart-rate limits under medicine")
    return None if why is None else code("no heart-rate limits in pregnancy")


def unchecked_since(athlete: Athlete, used: Iterable[tuple[date, Threshold]]) -> Code | None:
    """The latest illness, injury, pregnancy or change of medicine between a threshold and a day it is used on.

    Parameters
    ----------
    athlete : Athlete
        For blocks and medicines.
    used : iterable of (date, Threshold)
        Days with the thresholds they were judged by.

    Returns
    -------
    Code or None
        Its ``event`` ("illness", "pregnancy", "medicine", or "altitude" while it lasts), its first day, and for a medicine
        what changed.

    Source
    ------
    Which events: common practice, no source.

    Examples
    --------
    >>> from coachlib.records.health import Medicine
    >>> mira = Athlete(slug="mira", name="Mira", medicines=(Medicine(on="2026-11-18", change="stopped"),))
    >>> first = Threshold(which="first", on="2026-10-01", hr_bpm=128)
    >>> unchecked_since(mira, [(date(2026, 11, 22), first)])["change"]
    'stopped'
    """
    pairs = list(used)
    found = [
        (b.start_on, _EVENTS[b.kind], "")
        for b in athlete.blocks
        for on, threshold in pairs
        if b.kind in _EVENTS and threshold.on <= b.start_on <= on
    ]
    found += [
        (m.on, "medicine", m.change)
        for m in athlete.medicines
        for on, threshold in pairs
        if threshold.on < m.on <= on
    ]
    found += [
        (b.start_on, "altitude", "")
        for b in athlete.blocks
        for on, threshold in pairs
        if b.kind == "altitude" and threshold.on < b.start_on and b.covers(on)
    ]
    if not found:
        return None
    on, event, change = max(found)
    return code("not checked since", event=event, on=on, change=change)
