"""What a season says, in words: readings and why there are none, comparisons, changes, the threshold watch, load."""

from collections.abc import Callable
from datetime import date

from coachlib.records.sports import RUNNING_SPORTS, WALKING_SPORTS
from coachlib.report.words import wording

CHANGE_WORDS = {
    ("W", "up"): "more",
    ("W", "down"): "less",
    ("m/s", "up"): "faster",
    ("m/s", "down"): "slower",
}


def _many_odd(masked_frac: float, most_frac: float) -> str:
    return (
        f"{wording.percent(masked_frac)} of minutes 10 to 25 look odd and wait for a decision; at most "
        f"{wording.percent(most_frac)} may"
    )


def _far(hr_bpm: float, hr_reference_bpm: float, within_bpm: float) -> str:
    return (
        f"the session was at {wording.heart_rate(hr_bpm)}, more than {within_bpm:.0f} from the "
        f"{wording.heart_rate(hr_reference_bpm)} that sessions are compared at"
    )


def _few_minutes(used_s: float, least_s: float, start_s: float, stop_s: float) -> str:
    return (
        f"{used_s / 60:.0f} usable minutes between minute {start_s / 60:.0f} and {stop_s / 60:.0f}; "
        f"{least_s / 60:.0f} are needed to compare a session"
    )


def _temperature(n_unknown: int, n_readings: int, reach_bpm: float, enough_bpm: float) -> str:
    return (
        f"temperature is not known for {n_unknown} of {n_readings} sessions: heat alone could make ±{reach_bpm:.0f} "
        f"bpm here. With temperatures typed in, a change of about {enough_bpm:.0f} bpm would be enough"
    )


def _rests_on_slope(easier_bpm: float) -> str:
    than = "easier" if easier_bpm > 0 else "harder"
    return (
        f"the last weeks were {abs(easier_bpm):.0f} bpm {than}: this comparison rests on how heart rate follows "
        "output, which is only roughly known"
    )


def _rests_on_heat(hotter_c: float) -> str:
    return f"the last weeks were {'hotter' if hotter_c > 0 else 'cooler'}: this comparison rests on what heat adds"


def _rests_on_hills(hillier_pct: float) -> str:
    return f"the last weeks were {'hillier' if hillier_pct > 0 else 'flatter'}: this comparison rests on what hills hide"


def _new_gear(things: tuple[str, ...], on: date, note: str) -> str:
    return (
        f"{wording.listed(list(things))} since {wording.full_date(on)}{_note(note)}: earlier readings cannot be compared "
        "with these"
    )


def _moved(first_on: date, last_on: date, note: str) -> str:
    return f"compared with {wording.full_date(first_on)} to {wording.full_date(last_on)}, as set by the coach{_note(note)}"


def _note(note: str) -> str:
    return f" ({note})" if note else ""


def _has_changed(
    hr_bpm: float,
    unit: str,
    direction: str,
    size: float,
    low: float,
    high: float,
    certainty: str,
    is_fresh: bool,
) -> str:
    factor, said, decimals = wording.output_scale(unit)
    ends = "\u00a0to\u00a0".join(wording.minus(factor * end, decimals) for end in (low, high))
    change = f"{factor * size:.{decimals}f} {said} {CHANGE_WORDS[unit, direction]} ({ends})"
    at = f"at {wording.heart_rate(hr_bpm)}"
    if certainty == "possible":
        return f"{at} {change} is possible, no more than that"
    since = "" if is_fresh else ", by the last readings"
    return f"{at} you {'hold' if unit == 'W' else 'are'} {change}: {certainty}{since}"


def _compared(
    hr_bpm: float,
    sport: str,
    unit: str,
    before: float,
    now: float,
    since_on: date,
    until_on: date,
    n_readings: int,
    n_tests: int,
    n_unknown_heat: int,
    n_hills_left: int,
    is_indoor: bool,
) -> str:
    did = (
        "held"
        if unit == "W"
        else "ran"
        if sport in RUNNING_SPORTS
        else "walked"
        if sport in WALKING_SPORTS
        else "did"
    )
    then = wording.months(since_on, until_on, year=until_on.year)
    number = wording.output(now, unit)
    out = _taken_out(unit, n_readings, n_unknown_heat, n_hills_left, is_indoor=is_indoor)
    counts = "counts" if n_tests == 1 else "count"
    tests = f"; {wording.count(n_tests, 'controlled test')} {counts} too" if n_tests else ""
    return (
        f"at {wording.heart_rate(hr_bpm)} you {did} {wording.output(before, unit)} in {then} and "
        f"{number if unit == 'W' else number.rpartition(' ')[0]} now{out}{tests}. "
        "Pale band: how sure we are"
    )


def _taken_out(unit: str, n: int, n_unknown_heat: int, n_hills_left: int, *, is_indoor: bool) -> str:
    """What was taken out, and of how many sessions it could not be."""
    out = [] if unit == "W" else ["the belt's grade"] if is_indoor else ["hills"] if n_hills_left < n else []
    out += ["heat"] if n_unknown_heat < n else []
    left = []
    if n_hills_left > 0 and unit != "W":
        left.append(f"no altitude for {n_hills_left} of {n}")
    if n_unknown_heat > 0:
        left.append(f"no temperature for {n_unknown_heat} of {n}")
    said = f", {wording.listed(out)} taken out" if out else ""
    return said + (f" ({', '.join(left)})" if left else "")


def _disagree(accepted_bpm: float, near_bpm: float, direction: str, low_bpm: float, high_bpm: float) -> str:
    return (
        f"your ordinary sessions disagree with the accepted threshold of {wording.heart_rate(accepted_bpm)}, it seems "
        f"{direction}; plan a test near {wording.heart_rate(near_bpm)} ({low_bpm:.0f} to {high_bpm:.0f})"
    )


SENTENCES: dict[str, Callable[..., str]] = {
    "many odd stretches": _many_odd,
    "heart rate like cadence": lambda locked_frac, within_bpm: (
        f"heart rate lay within {within_bpm:.0f} of cadence for {wording.percent(locked_frac)} of minutes 10 to 25, as "
        "when a sensor counts steps"
    ),
    "few usable minutes": _few_minutes,
    "minutes not steady": lambda scatter_frac, most_frac: (
        f"output varied by {wording.percent(scatter_frac)} from minute to minute; at most {wording.percent(most_frac)} "
        "can be compared"
    ),
    "far from the reference": _far,
    "reading not sure": lambda noise_sd_bpm, worst_bpm: (
        f"the reading may be {noise_sd_bpm:.0f} bpm off; at most {worst_bpm:.0f} can be used"
    ),
    "kind not compared": lambda kind: f"a session of the kind {kind} is not steady",
    "slope not known": lambda sport: (
        f"how heart rate follows output is not known for {sport or 'an unknown sport'}"
    ),
    "test waits for decisions": lambda: (
        "a drift test joins the trend once its window and its settings are decided"
    ),
    "output not recorded": lambda: "neither speed nor power was recorded",
    "above the first threshold": lambda hr_bpm, threshold_bpm: (
        f"the session was at {wording.heart_rate(hr_bpm)}, above the first threshold of "
        f"{wording.heart_rate(threshold_bpm)}, where drift spoils a comparison"
    ),
    "no steady stretch": lambda: "the session had no steady stretch",
    "steady stretch is void": lambda: "the steady stretch is no valid test",
    "drift rests on an unknown output": lambda: (
        "output is not known, so drift at constant output is not either"
    ),
    "steady stretch too short": lambda minutes, least_min: (
        f"the steady stretch lasted {minutes:.0f} min; {least_min:.0f} are needed"
    ),
    "belt test without grade": lambda: "a test on a belt is read by its speed and grade; type both in",
    "test cannot be read": lambda minutes: f"a test of {minutes:.0f} min at these settings cannot be read",
    "typed test": lambda: "a typed test has no recording",
    "no steady session yet": lambda: "no steady session with output yet",
    "no first threshold for easy days": lambda: (
        "easy days: no first threshold has been accepted; do a drift test"
    ),
    "few readings to compare with": lambda n_readings, least: (
        f"the weeks to compare with hold {n_readings} of the {least} steady sessions needed"
    ),
    "new gear": _new_gear,
    "medicine changed": lambda change, on: (
        f"medicine that changes heart rate {change} on {wording.full_date(on)}: earlier readings cannot be compared "
        "with these"
    ),
    "long gap": lambda weeks, on: (
        f"{wording.count(weeks, 'week')} without a steady session before {wording.full_date(on)}: the comparison begins "
        "anew there"
    ),
    "reference moved": _moved,
    "medicine without date": lambda: (
        "a medicine that changes heart rate is taken, and nobody wrote down since when: no change is told until "
        "its date is known"
    ),
    "no change told before": lambda from_on: (
        f"no change can be told until the week of {wording.full_date(from_on)}"
    ),
    "temperatures not known": _temperature,
    "change rests on slope": _rests_on_slope,
    "change rests on heat": _rests_on_heat,
    "change rests on hills": _rests_on_hills,
    "sensor not named": lambda reach_bpm: (
        f"the recordings do not name the heart-rate sensor: up to {reach_bpm:.0f} bpm may be the sensor"
    ),
    "too early for a change": lambda hr_bpm, now, unit: (
        f"at {wording.heart_rate(hr_bpm)} {wording.output(now, unit)} so far, too early to tell a change"
    ),
    "no change told": lambda hr_bpm: f"at {wording.heart_rate(hr_bpm)} no change is told",
    "nothing read for a change": lambda hr_bpm: (
        f"at {wording.heart_rate(hr_bpm)} too few sessions can be compared to tell a change"
    ),
    "no change to tell": lambda hr_bpm: (
        f"at {wording.heart_rate(hr_bpm)} a change cannot be told from ordinary scatter"
    ),
    "output has changed": _has_changed,
    "outputs compared": _compared,
    "sessions disagree with threshold": _disagree,
    "threshold not checked": lambda since_on: (
        f"not checked since {wording.full_date(since_on)}: the sessions since were too easy, too short or too few to "
        "say where it lies"
    ),
    "sessions give a bound": lambda at_least_bpm: (
        f"your ordinary sessions say: at least {wording.heart_rate(at_least_bpm)}. That they do not disagree is no "
        "confirmation; only a test is"
    ),
    "sessions give a value": lambda hr_bpm, low_bpm, high_bpm: (
        f"your ordinary sessions say: {wording.heart_rate(hr_bpm)} ({low_bpm:.0f} to {high_bpm:.0f}). That they do not "
        "disagree is no confirmation; only a test is"
    ),
    "weeks without load": lambda n, n_weeks: (
        f"{n} of the last {n_weeks} weeks had no load and are left out of the range"
    ),
    "few weeks with a load": lambda n, least: (
        f"{wording.count(n, 'week')} with a load; {least} are needed for a range"
    ),
    "week without a load": lambda: "the week had no load",
}
