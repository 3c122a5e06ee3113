"""The invented people of Ettermoor: what is true of them, what stands in their files, what was decided.

Ettermoor and everyone in it are invented; a likeness is chance.  What each is here for:

- ilva: a full, clean history; belt tests that bracket the threshold, the latest not yet decided; fitter.
- tobin: power; a step test with lactate; ill in October, coming back; one ride without a diary row.
- nadja: beat intervals; easy days that are not easy; a new watch in November.
- aldous: heart rate full of artefacts, a strap that failed, a threshold grown old; one row without a file.
- wenna: new, two recordings, no thresholds.
"""

import csv
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from demo.sessions import Physiology
from demo.simulate import DriftCurve

SEASONS = Path(__file__).parent / "seasons"
#: Columns of a season's plan that do not belong in a diary, and the mark of a row that nobody wrote.
PLAN_ONLY = ("name", "do", "laps", "extras")
UNWRITTEN = "#nodiary"


@dataclass(frozen=True, kw_only=True)
class Person:
    """One athlete: the hidden truth, the watches with the day each was first worn, what is written."""

    slug: str
    truth: Physiology
    second_bpm: float
    watches: tuple[tuple[date, int], ...]
    profile: str
    every_s: int = 1
    smart: bool = False
    beats: bool = False
    names_recordings: bool = False
    decisions: tuple[tuple[str, str], ...] = ()

    def plan(self) -> list[dict[str, str]]:
        """The lines of the season."""
        with (SEASONS / f"{self.slug}.csv").open(encoding="utf-8", newline="") as lines:
            return list(csv.DictReader(lines, delimiter="|", quoting=csv.QUOTE_NONE))

    def serial_on(self, day: date) -> int:
        """The watch of a day."""
        return max((worn, serial) for worn, serial in self.watches if worn <= day)[1]


def _test(
    start_s: int, stop_s: int, *, kind: str = "drift test", purpose: str = "steady", more: str = ""
) -> str:
    return (
        f'kind = "{kind}"\npart = 0\n\n[[window]]\nstart_s = {start_s}.0\nstop_s = {stop_s}.0\n'
        f'purpose = "{purpose}"\n{more}'
    )


def _belt(speed_kmh: float, grade_pct: float) -> str:
    return (
        f"\n[[stage]]\nstart_s = 300.0\nstop_s = 4800.0\nspeed_kmh = {speed_kmh}\ngrade_pct = {grade_pct}\n"
    )


def _left_out(start_s: int, stop_s: int, reason: str) -> str:
    return (
        f'\n[[exclusion]]\nstart_s = {start_s}.0\nstop_s = {stop_s}.0\nquantity = "hr_bpm"\n'
        f'reason = "{reason}"\nfound_by = "coach"\n'
    )


def _watts(*stages: tuple[int, int, int]) -> str:
    return "".join(
        f"\n[[stage]]\nstart_s = {start}.0\nstop_s = {stop}.0\npower_w = {power}.0\n"
        for start, stop, power in stages
    )


def _lactate_steps(first_s: int, each_s: int, steps: dict[int, float]) -> str:
    """Stages of one length, each with its power and the lactate at its end."""
    return "".join(
        f"\n[[stage]]\nstart_s = {first_s + each_s * n}.0\nstop_s = {first_s + each_s * (n + 1)}.0\n"
        f"power_w = {power}.0\nlactate_mmol_l = {lactate}\n"
        for n, (power, lactate) in enumerate(steps.items())
    )


#: Lactate that the club's meter might have shown at each of Tobin's steps [W, mmol/l].
TOBINS_STEPS = {120: 1.0, 140: 1.0, 160: 1.2, 180: 1.5, 200: 2.0, 220: 2.9, 240: 4.3, 260: 6.8}


ILVA = Person(
    slug="ilva",
    truth=Physiology(
        ref_bpm=137.0,
        ref_output=10.0 / 3.6,
        bpm_per_output=24.2,
        rest_bpm=47.0,
        top_bpm=184.0,
        curve=DriftCurve(threshold_bpm=156.0),
        fitness=((date(2026, 9, 28), 0.0), (date(2026, 11, 15), 9.0)),
        calm=0.5,
        noise="quiet",
    ),
    second_bpm=167.0,
    watches=((date(2026, 1, 1), 40411),),
    names_recordings=True,
    profile="""\
schema = 1
name = "Ilva Thornquist"
birth_year = 1984
sex = "female"
mass_kg = 61
hr_max_bpm = 184
hr_max_from = "measured"     # last 300 m of the spring relay
hr_rest_bpm = 47
email = "ilva@example.org"
heart_rate_medicine = false
sports = ["running"]
zones = "two thresholds"

[[threshold]]
which = "first"
on = 2026-06-14
sport = "running"
hr_bpm = 145
hr_low_bpm = 136
hr_high_bpm = 154
speed_kmh = 10.6
method = "talk test in spring"
note = "before we had belt tests"

[[threshold]]
which = "second"
on = 2026-10-12
sport = "running"
hr_bpm = 169
hr_low_bpm = 155
hr_high_bpm = 182
speed_kmh = 13.2             # on the flat, with the hills counted
method = "30-minute trial 1"
tests = ["{2026-10-11_running}"]

[[threshold]]
which = "first"
on = 2026-11-08
sport = "running"
hr_bpm = 157
hr_low_bpm = 153
hr_high_bpm = 161
speed_kmh = 11.1
grade_pct = 3.0
method = "drift series 3"
tests = ["{2026-09-19_treadmill}", "{2026-10-03_treadmill}", "{2026-10-17_treadmill}", "{2026-10-31_treadmill}", "{2026-11-07_treadmill}"]
note = "one typed test counted"

# from her old training notebook, only the two half means were kept
[[typed_test]]
on = 2026-08-30
sport = "running"
first_half_bpm = 134
second_half_bpm = 136
minutes = 60
speed_kmh = 7.8
grade_pct = 3.0
temperature_c = 23
note = "notebook, no recording"

# the diary's new blue shoes are the old model again: go on comparing
[[reference]]
from = 2026-11-03
because = "compare on"
note = "same shoe, new pair"

# written by the program with its first letter that compares
[[reference]]
from = 2026-09-14
sport = "running"
where = "outdoors"
output = "speed"
hr_bpm = 135
because = "first weeks"

# the club's belt; it lists its speeds and grades on the display
[treadmill]
speed_low_kmh = 0.8
speed_high_kmh = 18
grade_high_pct = 15
grade_step_pct = 0.5
""",
    decisions=(
        ("2026-09-19_treadmill", _test(1200, 4800, more=_belt(8.4, 3.0))),
        (
            "2026-10-03_treadmill",
            _test(1200, 4800, more=_left_out(3803, 3845, "talking, says the diary") + _belt(9.3, 3.0)),
        ),
        ("2026-10-11_running", _test(1080, 2880, kind="time trial", purpose="trial")),
        (
            "2026-10-17_treadmill",
            "# 25 degrees and no fan: keep it, the series allows for the heat\n"
            + _test(1200, 4800, more=_belt(9.5, 3.0)),
        ),
        ("2026-10-31_treadmill", _test(1200, 4800, more=_belt(10.6, 3.0))),
        ("2026-11-07_treadmill", _test(1200, 4800, more=_belt(11.1, 3.0))),
    ),
)

TOBIN = Person(
    slug="tobin",
    truth=Physiology(
        ref_bpm=128.0,
        ref_output=150.0,
        bpm_per_output=0.34,
        rest_bpm=54.0,
        top_bpm=174.0,
        curve=DriftCurve(threshold_bpm=144.0),
        fitness=(
            (date(2026, 10, 6), 0.0),
            (date(2026, 10, 11), -6.0),
            (date(2026, 10, 24), -10.0),
            (date(2026, 11, 22), -2.0),
        ),
    ),
    second_bpm=164.0,
    watches=((date(2026, 1, 1), 40522),),
    every_s=2,
    profile="""\
schema = 1
name = "Tobin Harcastle"
birth_year = 1971
sex = "male"
mass_kg = 79
hr_max_bpm = 174
hr_max_from = "measured"
hr_rest_bpm = 54
email = "tobin@example.org"
heart_rate_medicine = false
sports = ["cycling"]
zones = "two thresholds"

[[threshold]]
which = "first"
on = 2026-09-27
sport = "cycling"
hr_bpm = 145
hr_low_bpm = 140
hr_high_bpm = 153
power_w = 185
method = "drift series 3"
tests = ["{2026-09-16_trainer}", "{2026-09-26_trainer}"]

[[threshold]]
which = "second"
on = 2026-10-05
sport = "cycling"
hr_bpm = 165
hr_low_bpm = 151
hr_high_bpm = 179
power_w = 222
method = "30-minute trial 1"
tests = ["{2026-10-04_trainer}"]

[[block]]
from = 2026-10-09
to = 2026-10-23
kind = "ill"
cleared_on = 2026-10-23
note = "by his doctor: first easy, half an hour"

# his trainer holds any watt
[ergometer]
power_step_w = 1

[[reference]]
from = 2026-09-14
sport = "cycling"
where = "outdoors"
output = "power"
hr_bpm = 132
because = "first weeks"
""",
    decisions=(
        ("2026-09-16_trainer", _test(1200, 4800, more=_watts((300, 4800, 165)))),
        ("2026-09-26_trainer", _test(1200, 4800, more=_watts((300, 4800, 182)))),
        (
            "2026-09-29_trainer",
            _test(600, 2520, kind="step test", purpose="stage", more=_lactate_steps(600, 240, TOBINS_STEPS)),
        ),
        ("2026-10-04_trainer", _test(1080, 2880, kind="time trial", purpose="trial")),
    ),
)

NADJA = Person(
    slug="nadja",
    truth=Physiology(
        ref_bpm=140.0,
        ref_output=140.0,
        bpm_per_output=0.34,
        rest_bpm=46.0,
        top_bpm=195.0,
        curve=DriftCurve(threshold_bpm=153.0),
        fitness=((date(2026, 9, 14), 0.0), (date(2026, 11, 22), 1.0)),
    ),
    second_bpm=171.0,
    watches=((date(2026, 1, 1), 40633), (date(2026, 11, 2), 41777)),
    every_s=2,
    beats=True,
    names_recordings=True,
    profile="""\
schema = 1
name = "Nadja Brellin"
birth_year = 1999
sex = "female"
mass_kg = 70
hr_max_bpm = 195
hr_max_from = "measured"
hr_rest_bpm = 46
heart_rate_medicine = false
sports = ["rowing"]
zones = "two thresholds"

[[threshold]]
which = "first"
on = 2026-10-05
sport = "rowing"
hr_bpm = 155
hr_low_bpm = 150
hr_high_bpm = 164
power_w = 163
method = "drift series 3"
tests = ["{2026-09-26_rowing}", "{2026-10-03_rowing}"]

[[threshold]]
which = "second"
on = 2026-10-19
sport = "rowing"
hr_bpm = 176
hr_low_bpm = 162
hr_high_bpm = 190
power_w = 216
method = "30-minute trial 1"
tests = ["{2026-10-18_rowing}"]

# drift says 155 and the ramp 151, and talking turns equivocal at 155: taken together by me, no formula
[[threshold]]
which = "first"
on = 2026-10-29
sport = "rowing"
hr_bpm = 154
hr_low_bpm = 150
hr_high_bpm = 158
power_w = 161
method = "coach, from drift, beats and talk"
tests = ["{2026-09-26_rowing}", "{2026-10-03_rowing}", "{2026-10-28_rowing}"]

# no dial on a rowing machine: this is how finely she can hold it
[ergometer]
power_low_w = 50
power_high_w = 350
power_step_w = 10
""",
    decisions=(
        ("2026-09-26_rowing", _test(1200, 4800, more=_watts((300, 4800, 150)))),
        (
            "2026-10-03_rowing",
            _test(1200, 4800, more=_left_out(2098, 2116, "strap lost contact") + _watts((300, 4800, 170))),
        ),
        ("2026-10-18_rowing", _test(900, 2700, kind="time trial", purpose="trial")),
        (
            "2026-10-28_rowing",
            _test(
                600,
                2400,
                kind="ramp",
                purpose="stage",
                more=_watts(*((600 + 180 * n, 780 + 180 * n, 110 + 15 * n) for n in range(10))),
            ),
        ),
    ),
)

ALDOUS = Person(
    slug="aldous",
    truth=Physiology(
        ref_bpm=118.0,
        ref_output=5.8,
        bpm_per_output=7.0,
        rest_bpm=57.0,
        top_bpm=166.0,
        curve=DriftCurve(threshold_bpm=130.0),
        fitness=((date(2026, 9, 14), 0.0), (date(2026, 11, 22), 0.0)),
        calm=0.8,
        noise="busy",
    ),
    second_bpm=146.0,
    watches=((date(2026, 1, 1), 40744),),
    smart=True,
    profile="""\
schema = 1
name = "Aldous Pemmerick"
birth_year = 1963
sex = "male"
mass_kg = 74
hr_max_bpm = 166
hr_max_from = "predicted"
hr_rest_bpm = 57
heart_rate_medicine = false
sports = ["hiking", "cross-country skiing"]
zones = "two thresholds"

# the summer test on the lift road; nothing steady enough since
[[threshold]]
which = "first"
on = 2026-08-09
sport = "hiking"
hr_bpm = 126
hr_low_bpm = 119
hr_high_bpm = 134
method = "drift series 3"

[[reference]]
from = 2026-09-14
sport = "hiking"
where = "outdoors"
output = "speed"
hr_bpm = 117
because = "first weeks"
""",
    decisions=(
        (
            "2026-09-20_hiking",
            'kind = "long"\npart = 0\n' + _left_out(8580, 8820, "sensor counted the steps"),
        ),
        (
            "2026-10-03_hiking",
            _test(
                1200,
                4800,
                more=_left_out(2278, 2330, "talking") + _left_out(3958, 3984, "no contact"),
            ),
        ),
        (
            "2026-10-14_hiking",
            'kind = "easy"\npart = 0\n' + _left_out(1195, 1290, "static, dry sensor"),
        ),
        (
            "2026-10-20_hiking",
            "# the old strap: what is left is fit for an average, no more\n"
            'kind = "easy"\npart = 0\n'
            + _left_out(595, 685, "strap static")
            + _left_out(1495, 1595, "strap static")
            + _left_out(2755, 2830, "strap static"),
        ),
        (
            "2026-10-24_hiking",
            'kind = "long"\npart = 0\n'
            + _left_out(2695, 2795, "strap static")
            + _left_out(5695, 5790, "strap static"),
        ),
        (
            "2026-10-28_hiking",
            'kind = "easy"\npart = 0\n' + _left_out(1795, 1880, "strap static"),
        ),
    ),
)

WENNA = Person(
    slug="wenna",
    truth=Physiology(
        ref_bpm=146.0,
        ref_output=8.8 / 3.6,
        bpm_per_output=26.0,
        rest_bpm=62.0,
        top_bpm=190.0,
        curve=DriftCurve(threshold_bpm=154.0),
        fitness=((date(2026, 11, 14), 0.0), (date(2026, 11, 22), 0.0)),
    ),
    second_bpm=168.0,
    watches=((date(2026, 1, 1), 40855),),
    smart=True,
    profile="""\
schema = 1
name = "Wenna Castellow"
birth_year = 1990
sports = ["running"]

# the belt at her office: half kilometres, and it does not tilt
[treadmill]
speed_low_kmh = 1
speed_high_kmh = 14
speed_step_kmh = 0.5
grade_high_pct = 0
""",
)

PEOPLE = (ILVA, TOBIN, NADJA, ALDOUS, WENNA)

ROSTER = """\
schema = 1
name = "Ettermoor Hill Club"
coach = "Maren Oldacre"
week_starts = "monday"
accent = "#0f5e63"
criterion_pct = 5.0
stale_after_weeks = 8

# at midday in Ettermoor, so that summer heat is not taken for lost form where the diary is silent
[climate]
coldest_c = 1
warmest_c = 23
warmest_month = 7

# What the call sheet goes by.  Take a # away to change it; the numbers are the defaults.
# [call_sheet]
# order = ["test due", "threshold stale"]     # these first; all others follow in their usual order
# hidden = ["trend up"]        # not told; what needs a physician, and illness, always is
# talk_to = ["illness or pain", "no data"]    # ask for a word; the others only for a look
# silent_days = 7              # days without a recording before somebody asks
# strap_missing_pct = 20       # heart rate missing from a session
# unchecked_weeks = 10         # weeks in which no session said anything about a threshold
# tell_possible_trends = false # only likely and clear ones
"""
