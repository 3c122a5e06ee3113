"""What a letter made again says differently, in short, for the coach."""

from collections.abc import Mapping
from typing import Any

from coachlib.report.words import wording

#: What the parts of a letter's numbers are called.
_CALLED = {
    "sessions": "the sessions",
    "unrecorded": "the diary",
    "moving_s": "time moving",
    "domains": "time at each intensity",
    "zone_times": "the zones",
    "easy": "the easy share",
    "load": "the load",
    "thresholds": "the thresholds",
    "note": "your note",
    "season": "the season",
    "methods": "the methods",
    "not_told": "what cannot be told",
}


def differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    """What differs between the numbers of two letters.

    Examples
    --------
    >>> differences({"moving_s": 3600, "note": "a"}, {"moving_s": 5400, "note": "b"})
    'time moving 1 h 30 instead of 1 h 00, your note'
    >>> differences({"note": "a"}, {"note": "a"})
    'nothing but words'
    """
    said = [
        _said(key, before.get(key), after.get(key)) for key in _CALLED if before.get(key) != after.get(key)
    ]
    return ", ".join(said) or "nothing but words"


def _said(key: str, before: Any, after: Any) -> str:
    if key == "moving_s" and before is not None and after is not None:
        return f"{_CALLED[key]} {wording.duration(after)} instead of {wording.duration(before)}"
    if (
        isinstance(before, list)
        and isinstance(after, list)
        and len(before) != len(after)
        and key == "sessions"
    ):
        return f"{wording.count(len(after), 'session')} instead of {len(before)}"
    return _CALLED[key]
