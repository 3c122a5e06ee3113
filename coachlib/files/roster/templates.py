"""What a new roster's files say: every key that may be filled in, what it is used for, and how the files look.

The command line asks by these tables and the files explain themselves by them, so that both say the same.
"""

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

#: The first cell of a diary's row that is passed over begins with this.
NOT_READ = "#"


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """A key that may stay empty: what it is called, what it is used for, what it may look like.

    ``choices`` are all that is allowed, or with ``may_be_other`` only proposals.  ``is_note`` is kept as a
    comment beside the key above it, for people to read.
    """

    key: str
    title: str
    used_for: str
    example: str = ""
    choices: tuple[str, ...] = ()
    may_be_other: bool = False
    several: bool = False
    only_with: str = ""
    is_note: bool = False


OF_ROSTER = (
    Blank(
        key="name",
        title="The roster's name",
        used_for="stands above the call sheet",
        example='"Hill Club"',
    ),
    Blank(
        key="coach",
        title="The coach's name",
        used_for="signs the letters and the sheets for tests",
        example='"Maria Example"',
    ),
    Blank(
        key="time_zone",
        title="Time zone",
        used_for="gives every session its day and hour; without one, where a recording does not know it either, UTC is taken",
        example='"Europe/Vienna"',
    ),
    Blank(
        key="week_starts",
        title="First day of the week",
        used_for="letters and sums run over seven days from it",
        example='"monday"',
        choices=("monday", "sunday"),
    ),
)

OF_ATHLETE = (
    Blank(
        key="name",
        title="The athlete's name",
        used_for="stands above the letters, and gives the folder its name",
        example='"Anna Example"',
    ),
    Blank(
        key="sports",
        title="Sports, the main one first",
        used_for="tells which sport the zones and tests are about",
        example='["running", "cycling"]',
        choices=("running", "cycling", "rowing", "walking", "hiking", "swimming", "cross_country_skiing"),
        may_be_other=True,
        several=True,
    ),
    Blank(
        key="birth_year",
        title="Year of birth",
        used_for="says who is under age, for whom other rules hold, and how sure a maximum predicted from age is",
        example="1984",
    ),
    Blank(
        key="sex",
        title="Sex",
        used_for="weighs the load by heart rate, whose published weights are for women and men",
        example='"female"',
        choices=("female", "male"),
    ),
    Blank(
        key="hr_max_bpm",
        title="Highest heart rate [beats per minute]",
        used_for="bounds zones and the threshold, and tells a bad strap from a heart; better empty than guessed",
        example="186",
    ),
    Blank(
        key="hr_max_from",
        title="Where the highest heart rate comes from",
        used_for="a measured one is taken as it is, one predicted from age with its uncertainty",
        example='"measured"',
        choices=("measured", "predicted"),
        only_with="hr_max_bpm",
    ),
    Blank(
        key="hr_rest_bpm",
        title="Heart rate at rest [beats per minute]",
        used_for="with the highest one it gives the load, and zones by the range between the two",
        example="48",
    ),
    Blank(
        key="hr_rest_from",
        title="Where the heart rate at rest comes from",
        used_for="only for you to read later, such as: lying, on waking",
        only_with="hr_rest_bpm",
        is_note=True,
    ),
    Blank(
        key="heart_rate_medicine",
        title="Medicine that changes heart rate, such as a beta-blocker",
        used_for="with one, advice goes by talking and effort instead of heart rate",
        example="false",
        choices=("yes", "no"),
    ),
)

_NOT_READ = "Lines that begin with # are not read; take the # away to use what stands behind it.\n"

_MORE_OF_ROSTER = """
# Which day 05.10.2026 in a diary is: true means 5 October, false means 10 May.  2026-10-05 is always 5 October.
# day_first = true

# Usual air temperature at midday: lets a season be compared where no recording knows its own.
# [climate]
# coldest_c = 1
# warmest_c = 26
# warmest_month = 7

# What the call sheet goes by; these are the defaults.
# [call_sheet]
# silent_days = 7              # days without a recording before somebody asks
# strap_missing_pct = 20       # heart rate missing from a session
# unchecked_weeks = 10         # weeks in which no session said anything about a threshold
"""

# the key that is always there comes last: entries that are added later stand below it, and above what is a comment
_MORE_OF_ATHLETE = """
# This athlete's own time zone, where it is not the roster's.
# time_zone = "Europe/Vienna"

# What the zones are made from: "two thresholds", "heart-rate reserve" or "share of maximum".
zones = "two thresholds"

# What the treadmill can be set to, so that the next test lies on it; [ergometer] likewise by power_low_w and so on.
# [treadmill]
# speed_low_kmh = 3
# speed_high_kmh = 20
# speed_step_kmh = 0.1
# grade_high_pct = 15
# grade_step_pct = 0.5

# Days apart: ill, injured, pregnant, travel or altitude.  Without `to` they last.
# [[block]]
# from = 2026-10-12
# to = 2026-10-20
# kind = "ill"

# A medicine that changes heart rate: begun, changed or stopped.
# [[medicine]]
# on = 2026-03-01
# change = "begun"

# A day that matters: race, camp or other.
# [[event]]
# on = 2027-04-18
# name = "Spring marathon"
# kind = "race"

# A steady test that is known only by the means of its two halves.
# [[typed_test]]
# on = 2026-09-20
# first_half_bpm = 150
# second_half_bpm = 153
# minutes = 60
# speed_kmh = 10.0
# grade_pct = 1.0

# Thresholds that you accept in the workbooks are written into this file by themselves.
"""

_EXAMPLE = {
    "date": f"{NOT_READ} 2026-10-05",
    "start": "17:30",
    "planned": "easy 50 min",
    "kind": "easy",
    "rpe": "3",
    "talk": "comfortable",
    "temperature_c": "18",
    "sleep_h": "7.5",
    "equipment": "shoes: grey",
    "health": "ok",
    "remarks": "an example, not read because it begins with #; only the date is needed and a cell left empty is unknown",
}


def roster_text(values: Mapping[str, Any]) -> str:
    """The text of a new ``roster.toml``, each key with what it is used for.

    Examples
    --------
    >>> roster_text({"name": "Hill Club"}).splitlines()[4:6]
    ["# The roster's name: stands above the call sheet.", 'name = "Hill Club"']
    """
    head = f"# The roster: whose it is and how its weeks run.\n# {_NOT_READ}schema = 1\n"
    return head + _filled_in(OF_ROSTER, values) + _MORE_OF_ROSTER


def athlete_text(values: Mapping[str, Any]) -> str:
    """The text of a new ``athlete.toml``, each key with what it is used for."""
    head = f"# The athlete: who it is and what is known.\n# {_NOT_READ}schema = 1\n"
    return head + _filled_in(OF_ATHLETE, values) + _MORE_OF_ATHLETE


def diary_text(columns: Sequence[str]) -> str:
    r"""The text of a new ``diary.csv``: its heading, and an example that is passed over.

    Examples
    --------
    >>> diary_text(["date", "rpe"])
    'date,rpe\n# 2026-10-05,3\n'
    """
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, columns, extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    writer.writerow(_EXAMPLE)
    return out.getvalue()


def _filled_in(blanks: Sequence[Blank], values: Mapping[str, Any]) -> str:
    """Every key with its value, or as a comment with an example."""
    import tomlkit

    text = ""
    for blank in blanks:
        value = values.get(blank.key)
        if not blank.is_note:
            text += f"\n# {blank.title}: {blank.used_for}.\n"
            text += (
                f"# {blank.key} = {blank.example}\n"
                if value is None
                else f"{blank.key} = {tomlkit.item(value).as_string()}\n"
            )
        elif value is not None:
            text += f"# {blank.title}: {value}\n"
    return text
