"""The places of the coach's desk, and the addresses that lead to one of them on one subject.

The pages of the desk and what is linked from a workbook's output agree on these; what is printed or sent has no
such address.
"""

import os
import re
from dataclasses import dataclass
from types import MappingProxyType
from urllib.parse import parse_qsl, quote, urlencode

from coachlib.analysis.week.calendar import first_day
from coachlib.errors import BadArgument

#: Where the desk's pages begin on their server.
DESK = "/desk"
#: Names the desk's server, such as ``http://127.0.0.1:8888``, to the processes that it starts.
DESK_VARIABLE = "COACHLIB_DESK"

#: What an address may say, in the order in which it says it, each with the longest that is taken [characters].
#: Own choice: longer than any file system's names.
SUBJECTS = MappingProxyType({"athlete": 120, "recording": 200, "week": 8})
#: What no name in an address may hold: what leads out of a folder, or cannot be seen.
_NEVER = re.compile(r"[\x00-\x1f\x7f/\\]|^\.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A page of the desk: its name in the line of places, its workbook, and under which place it stands there."""

    name: str
    book: str
    under: str | None = None


#: The places in the order of the work.
PLACES = MappingProxyType(
    {
        "roster": Place(name="Call sheet", book="roster"),
        "letter": Place(name="Letter", book="letter"),
        "plan": Place(name="Plan", book="plan"),
        "recording": Place(name="Recording", book="recording"),
        "first_threshold": Place(name="First threshold", book="first_threshold", under="Tests"),
        "second_threshold": Place(name="Second threshold", book="second_threshold", under="Tests"),
        "drift_test": Place(name="Drift test", book="drift_test", under="Tests"),
        "two_tests": Place(name="Two side by side", book="two_tests", under="Tests"),
        "zones": Place(name="Zones", book="zones"),
        "season": Place(name="Season", book="season"),
    }
)


def page_address(place: str, **subject: str | None) -> str:
    """The address of a place on a subject; what is None is left out.

    Parameters
    ----------
    place : str
        A key of ``PLACES``.
    **subject : str or None
        ``athlete``, ``recording`` and ``week``, as far as they are known.

    Examples
    --------
    >>> page_address("recording", athlete="ilva", recording="2026-11-21_treadmill")
    '/desk/recording?athlete=ilva&recording=2026-11-21_treadmill'
    """
    known = {name: subject[name] for name in SUBJECTS if subject.get(name)}
    query = urlencode(known, quote_via=quote)
    return f"{DESK}/{place}" + (f"?{query}" if query else "")


def made_address(athlete: str | None, page: str) -> str:
    """The address of a page that was made: an athlete's letter or sheet, or (None) the whole roster's.

    Examples
    --------
    >>> made_address("ilva", "2026-W47.html"), made_address(None, "2026-W47.html")
    ('/desk/made/ilva/2026-W47.html', '/desk/made/2026-W47.html')
    """
    return "/".join([DESK, "made", *(quote(part, safe="") for part in (athlete, page) if part)])


def lab_address(address: str) -> str | None:
    """An address of the desk as JupyterLab follows it: it takes one without a server for a file beside the workbook.

    Parameters
    ----------
    address : str
        What `page_address` or `made_address` gave.

    Returns
    -------
    str or None
        None where no desk is served: then there is nowhere to go.

    Examples
    --------
    >>> lab_address("/desk/zones") is None or lab_address("/desk/zones").startswith("http://127.0.0.1:")
    True
    """
    server = os.environ.get(DESK_VARIABLE)
    return server + address if server else None


def subject_of(query: str) -> dict[str, str]:
    """What an address says its page is about.

    Parameters
    ----------
    query : str
        The part of an address after the question mark.

    Returns
    -------
    dict
        Some of ``athlete``, ``recording`` and ``week``.

    Raises
    ------
    BadArgument
        When it says anything else, the same thing twice, or a name that is none.

    Notes
    -----
    An address may come from anywhere.

    Examples
    --------
    >>> subject_of("athlete=ilva&week=2026-W47")
    {'athlete': 'ilva', 'week': '2026-W47'}
    >>> subject_of("athlete=..%2Fother")
    Traceback (most recent call last):
    coachlib.errors.BadArgument: the address names the athlete “../other”, which is no name of a folder or file. Go back, or choose on the page.
    """
    found: dict[str, str] = {}
    for name, value in parse_qsl(query, keep_blank_values=True):
        if name not in SUBJECTS:
            raise BadArgument(
                f"the address says “{_short(name)}”, which no page asks for; it may say athlete, recording and week. "
                "Go back, or start from the call sheet."
            )
        if name in found:
            raise BadArgument(f"the address names the {name} twice. Go back, or start from the call sheet.")
        if not value.strip() or len(value) > SUBJECTS[name] or _NEVER.search(value):
            raise BadArgument(
                f"the address names the {name} “{_short(value)}”, which is no name of a folder or file. Go back, or "
                "choose on the page."
            )
        if name == "week":
            first_day(value)
        found[name] = value
    return found


def _short(text: str) -> str:
    """So much of what was typed as a sentence can hold, without what cannot be seen."""
    return re.sub(r"[\x00-\x1f\x7f]", "", text)[:60]
