"""What the exported tables hold: each column with its unit, its meaning, where it comes from and the method behind it.

Health data leave a roster here, so a column stands in the tables because its line stands below, and what an athlete
wrote in words has none.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from coachlib.measures.drift_test import constant_output, drift
from coachlib.measures.week import easy_share, load


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column: ``kind`` is "text", "number", "flag", "day" or "instant"; ``method`` is "" where nothing is worked out."""

    name: str
    kind: str
    unit: str
    meaning: str
    source: str
    method: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table's columns, and what one of its rows is."""

    row: str
    columns: tuple[Column, ...] = field(default=())


_HALVES, _HELD, _EASY = drift.METHOD, constant_output.METHOD, easy_share.METHOD
_DOMAINS = "time in three domains 1"
_TRIMP, _RPE = load.TRIMP_METHOD, load.RPE_METHOD

#: A letter for each source -> what it is called.
_SOURCES = {
    "R": "recording",
    "P": "athlete.toml",
    "D": "diary.csv",
    "C": "decisions of the coach",
    "F": "folder",
    "W": "worked out",
}


def _columns(lines: str) -> tuple[Column, ...]:
    """Columns from lines of name, kind, unit, meaning, source and, where something was worked out, method."""
    made = []
    for line in filter(None, map(str.strip, lines.splitlines())):
        name, kind, unit, meaning, source, *method = (cell.strip() for cell in line.split("|"))
        said = ", ".join(_SOURCES[letter] for letter in source)
        made.append(
            Column(name=name, kind=kind, unit=unit, meaning=meaning, source=said, method="".join(method))
        )
    return tuple(made)


_SESSIONS = _columns(
    f"""
    athlete | text | | folder of the athlete | F
    on | day | | local day | R
    started_at | instant | UTC | start; empty where nothing was recorded | R
    recording | text | | file's name without ending; empty for a diary row without recording | R
    part | number | | number of the session in its file, from 0 | R
    sha256 | text | | checksum of the file | R
    sport | text | | as the device names it | R
    sub_sport | text | | as the device names it | R
    is_indoor | flag | | machine or hall | R
    kind | text | | kind of session: decided, else from the diary | CD
    is_decided | flag | | whether the coach has decided about it | C
    target | text | | what the session was for | D
    planned_min | number | minutes | length planned | D
    is_done | flag | | trained: recorded, or with its minutes in the diary; else only planned | W
    elapsed_s | number | seconds | from first to last record | R
    moving_s | number | seconds | time moving; without recording the minutes of the diary | RD
    distance_m | number | metres | distance | R
    climb_m | number | metres | metres climbed | W
    climb_from | text | | what the climb is known from | W
    output_mean | number | see output_unit | mean output while moving | R
    output_unit | text | | W, or m/s | R
    hr_mean_bpm | number | 1/min | mean heart rate that counts | R
    hr_top_bpm | number | 1/min | highest heart rate that counts | R
    hr_s | number | seconds | time with a heart rate that counts | W
    hr_missing_s | number | seconds | time moving without heart rate that nobody left out | W
    excluded_s | number | seconds | time whose heart rate was left out | C
    first_bpm | number | 1/min | first threshold of that day and sport | P
    second_bpm | number | 1/min | second threshold of that day and sport | P
    below_s | number | seconds | time at or below the first threshold | W | {_DOMAINS}
    between_s | number | seconds | time between the thresholds; above the first where the second is not known | W | {_DOMAINS}
    above_s | number | seconds | time above the second threshold | W | {_DOMAINS}
    window_start_s | number | seconds | start of the steady stretch, elapsed | C
    window_stop_s | number | seconds | end of the steady stretch, elapsed | C
    drift_pct | number | % of the first half | rise of mean heart rate from first to second half | W | {_HALVES}
    drift_low_pct | number | % | lower end of its 90 % interval | W | {_HALVES}
    drift_high_pct | number | % | upper end of its 90 % interval | W | {_HALVES}
    held_pct | number | % of the first half | drift at constant output | W | {_HELD}
    held_low_pct | number | % | lower end of its 90 % interval | W | {_HELD}
    held_high_pct | number | % | upper end of its 90 % interval | W | {_HELD}
    temperature_c | number | degrees Celsius | air | D
    rpe | number | CR-10 | the athlete's rating | D
    rpe_load | number | rating x minutes | load by rating | W | {_RPE}
    trimp | number | | load by heart rate | W | {_TRIMP}
    """
)

_TESTS = _columns(
    f"""
    athlete | text | | folder of the athlete | F
    on | day | | local day | RP
    source | text | | recording; empty for a test that was typed in | R
    sha256 | text | | checksum of the file; empty for a typed test | R
    is_typed | flag | | known only by two half means | P
    sport | text | | sport of the test | RP
    minutes | number | minutes | length of the window | CP
    first_half_bpm | number | 1/min | mean heart rate of the first half | WP | {_HALVES}
    drift_pct | number | % of the first half | drift over the window, at constant output where that is known | W | {_HELD}
    se_pct | number | percentage points | its standard error within the run | W | {_HELD}
    hour_drift_pct | number | % of the first half | the same slope over 60 minutes | W | {_HELD}
    speed_mps | number | m/s | speed of belt or runner | CP
    grade | number | rise over run | grade of the belt | CP
    power_w | number | W | power | RCP
    temperature_c | number | degrees Celsius | air | DP
    rpe | number | CR-10 | the athlete's rating | D
    talk | text | | talk test: comfortable, equivocal or not | D
    above_second_s | number | seconds | time above the second threshold in the window | W
    """
)

_THRESHOLDS = _columns(
    """
    athlete | text | | folder of the athlete | F
    which | text | | first or second | P
    on | day | | valid from | P
    sport | text | | empty: every sport without one of its own | P
    hr_bpm | number | 1/min | accepted value or bound | P
    hr_low_bpm | number | 1/min | lower end of its 90 % interval | P
    hr_high_bpm | number | 1/min | upper end of its 90 % interval | P
    bounded | text | | where only one end is known: the threshold lies above or below hr_bpm | P
    speed_mps | number | m/s | speed that belongs to it | P
    grade | number | rise over run | at this grade | P
    power_w | number | W | power that belongs to it | P
    is_withdrawn | flag | | taken back by the coach | P
    n_tests | number | | tests behind it | P
    method | text | | method that it was accepted from | P
    """
)

_WEEKS = _columns(
    f"""
    athlete | text | | folder of the athlete | F
    week | text | | ISO year and week | W
    start_on | day | | first day | W
    n_sessions | number | | recorded sessions | R
    moving_s | number | seconds | time moving | R
    usual_moving_s | number | seconds | median of the four complete weeks before | W
    climb_m | number | metres | metres climbed | W
    below_s | number | seconds | time at or below the first threshold | W | {_DOMAINS}
    between_s | number | seconds | time between the thresholds | W | {_DOMAINS}
    above_s | number | seconds | time above the second threshold | W | {_DOMAINS}
    easy_minutes | number | minutes | sessions meant as easy, with heart rate | W | {_EASY}
    easy_share_frac | number | 0 to 1 | share of these at or below the first threshold | W | {_EASY}
    easy_share_low_frac | number | 0 to 1 | lower end of its 90 % interval | W | {_EASY}
    easy_share_high_frac | number | 0 to 1 | upper end of its 90 % interval | W | {_EASY}
    trimp | number | | load by heart rate; empty where it is unknown for a session | W | {_TRIMP}
    rpe_load | number | rating x minutes | load by rating; empty where a rating is missing | W | {_RPE}
    block | text | | what most of the week was set apart for: ill, injured, pregnant, travel, altitude | P
    on_medicine | flag | | medicine that changes heart rate at the week's end | P
    """
)

TABLES: Mapping[str, Table] = {
    "sessions": Table(
        row="a session: of a recording, or a diary row without one; planned ones too", columns=_SESSIONS
    ),
    "tests": Table(row="a steady drift test that can be used", columns=_TESTS),
    "thresholds": Table(row="a threshold that was accepted, also one taken back", columns=_THRESHOLDS),
    "weeks": Table(row="a week from the first to the last recording, empty ones too", columns=_WEEKS),
}
