"""The thin line of places on top of every page of the desk."""

from collections.abc import Mapping
from typing import Any

from coachlib.report.page.places import PLACES, Place, page_address


def line_of_places(here: str, subject: Mapping[str, str]) -> list[dict[str, Any]]:
    """The places in order, each with its address on the present subject; those under one name together.

    Examples
    --------
    >>> [place["name"] for place in line_of_places("zones", {"athlete": "ilva"})]
    ['Call sheet', 'Letter', 'Plan', 'Recording', 'Tests', 'Zones', 'Season']
    """
    line: list[dict[str, Any]] = []
    for key, place in PLACES.items():
        entry = {"key": key, "name": place.name, "address": page_address(key, **subject), "here": key == here}
        if place.under is None:
            line.append(entry)
        elif line[-1].get("name") == place.under:
            line[-1]["within"].append(entry)
        else:
            line.append({"name": place.under, "within": [entry]})
    return line


def title_of(place: Place, subject: Mapping[str, str]) -> str:
    """What the browser's tab and list of pages call a page.

    Examples
    --------
    >>> title_of(PLACES["letter"], {"athlete": "ilva", "week": "2026-W47"})
    'ilva, 2026-W47: Letter'
    """
    about = ", ".join(subject.values())
    return f"{about}: {place.name}" if about else place.name
