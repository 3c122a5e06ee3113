"""Plans in words: what a day is for, by which range it is led, what was done of it, what the coach is told of it."""

from datetime import date

from coachlib.analysis.plan.lead_range import LeadRange
from coachlib.analysis.plan.sums import PlanSums
from coachlib.analysis.roster.due_tests import DueTest
from coachlib.measures.plan.archetypes import EFFORT_WORDS
from coachlib.report.words import wording
from coachlib.report.words.catalogue import Sentence, sentence

#: What a kind of session is called, where the coach wrote no words.
NAMES = {
    "intervals": "intervals",
    "short hard": "short, hard repetitions",
    "other": "training",
    "test": "test",
}
#: What a kind of session is for.
PURPOSES = {
    "easy": "for your base, and to recover",
    "long": "to last longer",
    "steady": "to hold an even effort",
    "threshold": "to hold a hard pace for longer",
    "short hard": "to raise the top",
    "intervals": "to get used to hard work",
    "strides": "for quick, relaxed legs",
    "strength": "for strength that carries the rest",
    "rest": "so that the work can sink in",
    "test": "to see where your threshold lies",
}
#: How one can talk at an effort that leads, by its lower end: Quinn & Coons (2011), J Sports Sci 29:1175-1182, and
#: Foster et al. (2001), J Strength Cond Res 15:109-115; which goes with which is common practice, no source.
TALKING = {
    2.0: "you talk in whole sentences",
    3.0: "you talk in whole sentences",
    4.0: "you talk in short sentences",
    5.0: "you say a few words at a time",
    7.0: "you do not want to talk",
}
#: When to stop a hard session, and any session.
STOP_RULE = "Before hard work warm up; stop it when you cannot hold it any more."
STOP_AT_ONCE = "Stop at once with anything named under the cautions."


def name(meant: str) -> str:
    """What a kind of session is called.

    Examples
    --------
    >>> name("easy"), name("short hard")
    ('easy', 'short, hard repetitions')
    """
    return NAMES.get(meant, meant)


def effort(low: float, high: float) -> str:
    """An effort with the words of its scale, as far as it has any.

    Examples
    --------
    >>> effort(2, 3), effort(7, 9), effort(4, 4)
    ('effort 2 to 3 of 10 (easy to moderate)', 'effort 7 to 9 of 10 (very hard)', 'effort 4 of 10 (somewhat hard)')
    """
    words = [EFFORT_WORDS[round(n)] for n in dict.fromkeys((low, high)) if round(n) in EFFORT_WORDS]
    said = f"{low:g}" if low == high else f"{low:g} to {high:g}"
    return f"effort {said} of 10" + (f" ({' to '.join(words)})" if words else "")


def lead(found: LeadRange) -> str:
    """The one range that leads a session.

    Examples
    --------
    >>> lead(LeadRange(by="heart rate", high=150.4)), lead(LeadRange(by="heart rate", low=146, high=155))
    ('up to 150 bpm', '146 to 155 bpm')
    >>> lead(LeadRange(by="power", low=211.0, high=222.0)), lead(LeadRange(by="power", low=222.0))
    ('211 to 222 W', '222 W and more')
    >>> lead(LeadRange(by="speed", low=3.48, high=3.67, sport="running"))
    '4:47 to 4:32 per km on the flat'
    >>> lead(LeadRange(by="effort", low=2.0, high=3.0))
    'effort 2 to 3 of 10 (easy to moderate): you talk in whole sentences'
    """
    low, high = found.low, found.high
    if found.by == "effort" and low is not None:
        talking = TALKING.get(low)
        return effort(low, low if high is None else high) + (f": {talking}" if talking else "")
    if found.by == "speed":
        return _speed(found)
    unit = "bpm" if found.by == "heart rate" else "W"
    if low is None:
        return f"up to {high:.0f} {unit}"
    if high is None:
        return f"{low:.0f} {unit} and more"
    return f"about {low:.0f} {unit}" if round(low) == round(high) else f"{low:.0f} to {high:.0f} {unit}"


def _speed(found: LeadRange) -> str:
    """Speeds as the sport says them: on a belt at its grade, else on the flat."""
    is_belt = bool(found.grade)
    ends = [
        wording.speed(v, sport=found.sport or "", is_indoor=is_belt)
        for v in (found.low, found.high)
        if v is not None
    ]
    where = (
        f" at {wording.plain(100 * (found.grade or 0.0))} %"
        if is_belt
        else " on the flat"
        if found.sport == "running"
        else ""
    )
    if found.high is None:
        return f"{ends[0]}{where}, or faster"
    number = ends[0].partition(" ")
    # the unit once
    return (
        f"{number[0]} to {ends[1]}{where}"
        if number[2] == ends[1].partition(" ")[2]
        else f"{ends[0]} to {ends[1]}{where}"
    )


def _number(n: int) -> str:
    return wording.count(n, "day").split()[0]


def _days(said: tuple[str, ...]) -> str:
    return wording.listed([wording.DAYS[date.fromisoformat(d[:10]).weekday()] for d in said])


#: How a difference goes on after the day: one word, several.
_ODD = {
    "planned and not done": "was not done",
    "done instead of rest": "was meant as rest",
    "harder than meant": "was harder than meant",
    "easier than meant": "was easier than meant",
    "longer than planned": "was longer than planned",
    "shorter than planned": "was shorter than planned",
    "another kind than planned": "became something else",
}


def _week(n_as_planned: int, n_planned: int, odd: tuple[str, ...], added: tuple[str, ...]) -> str:
    """The week's plan in one sentence, without blame.

    Examples
    --------
    >>> _week(5, 6, ("2026-11-19 harder than meant",), ())
    'five of six as planned; Thursday was harder than meant'
    """
    if n_as_planned == n_planned:
        said = {1: "the one planned session went as planned", 2: "both as planned"}.get(
            n_planned, f"all {_number(n_planned)} as planned"
        )
    else:
        said = f"{_number(n_as_planned) if n_as_planned else 'none'} of {_number(n_planned)} as planned"
    parts = []
    for what, words in _ODD.items():
        days = tuple(dict.fromkeys(o for o in odd if o[11:] == what))
        if days:
            verb = words.replace("was ", "were ", 1) if len({d[:10] for d in days}) > 1 else words
            parts.append(f"{_days(days)} {verb}")
    if added:
        parts.append(f"{_days(tuple(dict.fromkeys(added)))} came on top")
    return "; ".join([said, *parts])


def setting(*, speed_mps: float | None, grade: float | None, power_w: float | None, hr_bpm: float) -> str:
    """At which setting a test is asked for, or near which heart rate.

    Examples
    --------
    >>> setting(speed_mps=None, grade=None, power_w=185.0, hr_bpm=145.0)
    'at 185 W'
    """
    output = wording.setting(speed_mps=speed_mps, grade=grade, power_w=power_w)
    return f"at {output}" if output else f"near {wording.heart_rate(hr_bpm)}"


def _test(speed_mps: float | None, grade: float | None, power_w: float | None, hr_bpm: float) -> str:
    at = setting(speed_mps=speed_mps, grade=grade, power_w=power_w, hr_bpm=hr_bpm)
    return f"{at}, an hour after 15 minutes to settle, fan on, no talking; the sheet for the test has it all"


def _against(on: date, words: str, why: str, n_more: int) -> str:
    more = f" (and {wording.count(n_more, 'more day')})" if n_more else ""
    reason = why.removeprefix("held ")
    return f"“{words}” is planned for {wording.day(on)}{more}, and the week speaks against it: {reason}"


def _beyond(
    on: date, planned_min: float, longest_min: float, beyond_pct: float, hazard: float, n: int
) -> str:
    return (
        f"{wording.DAYS[on.weekday()]}'s run, {planned_min:.0f} min, is {beyond_pct:.0f} % beyond the longest of 30 days "
        f"({longest_min:.0f} min). Of {n:,} runners those with such a run, by distance, had an injury hazard of {hazard:g} "
        "against up to 10 %; the sum of the week was no predictor (Frandsen et al. 2025)"
    )


def _taper(event: str, event_on: date, days: int, low_min: float | None, high_min: float | None) -> str:
    yours = (
        "" if low_min is None or high_min is None else f", here {low_min:.0f} to {high_min:.0f} min a week"
    )
    return (
        f"{event} on {wording.day(event_on)}, in {wording.count(days, 'day')}: two weeks with volume down by 41 to 60 %{yours} "
        "had the largest effect, intensity and frequency kept (Bosquet et al. 2007); endurance alone, up to 21 days (Wang et "
        "al. 2023)"
    )


def _close(on: date, event: str, event_on: date, is_test: bool, days: int) -> str:
    what = "test" if is_test else "hard day"
    return f"the {what} on {wording.DAYS[on.weekday()]} lies {wording.count(days, 'day')} before {event}"


def due_test(found: DueTest) -> str:
    """A test that is due, in one line: which, when, why, what it would gain."""
    why = "; ".join(sentence(c) for c in (found.why, found.gain) if c is not None)
    if found.waits is not None:
        when = f"waits: {sentence(found.waits)}"
    elif found.planned_on is not None:
        when = f"planned for {wording.day(found.planned_on)}"
    else:
        when = f"from {wording.day(found.earliest_on)}"
    return f"{found.which} threshold, {when} ({why})"


SENTENCES: dict[str, Sentence] = {
    # why a test is due, and its gain
    "test for what is not known": lambda: "not known yet",
    "test for a bound": lambda: "only a bound is known",
    "test of what was not checked": lambda **since: f"not checked since {wording.event(**since)}",
    "test for what sessions say": lambda seems: f"ordinary sessions say it is {seems}",
    "test for its age": lambda weeks, old_on: f"{weeks:.0f} weeks old",
    "test narrows": lambda now_bpm, after_bpm: f"interval {now_bpm:.0f} bpm wide, after it about {after_bpm:.0f}",
    "test adds little": lambda now_bpm: f"interval {now_bpm:.0f} bpm wide, a test narrows it by less than 1",
    # what stands before the days
    "plan waits for a physician": lambda: (
        "what your coach planned for this week waits until a physician has looked"
    ),
    "plan waits until well": lambda: (
        "first get well. These days count only from the day on which you are, short and easy to begin with"
    ),
    "plan without what hurts": lambda: "leave out of these days whatever hurts, and tell your coach",
    "gates before each day": lambda: "first the gates named above, before each of these days, after it and the day after",
    # why a day is not asked for
    "held before a physician": lambda: "a physician looks first",
    "held until well": lambda: "not before you are well and short, easy days have gone well",
    "held with pain": lambda: "not while something hurts",
    "held newly back": lambda n_missing: f"{wording.count(n_missing, 'more short, easy session')} first",
    # the test
    "test as on its sheet": lambda: "as the sheet for the test says",
    "short test as on its sheet": lambda: "15 minutes to settle and 30 minutes steady, else as the sheet for the test says",
    "test at its settings": _test,
    # planned against done
    "week as planned": _week,
    "planned and not done": lambda was_unwell: "left out, rightly, while unwell" if was_unwell else "not done this time",
    "done instead of rest": lambda: "meant as a day of rest",
    "harder than meant": lambda: "meant as easy, and harder than that",
    "easier than meant": lambda: "meant as hard, and easier than that",
    "longer than planned": lambda planned_min, done_min: f"longer: planned {planned_min:.0f} min, done {done_min:.0f}",
    "shorter than planned": lambda planned_min, done_min: f"shorter: planned {planned_min:.0f} min, done {done_min:.0f}",
    "another kind than planned": lambda planned, done: f"planned as {planned or 'something else'}, became: {done}",
    # for the coach
    "planned against the week": _against,
    "test due and not planned": lambda why: f"a test is due ({why}), and the coming week holds none",
    "test setting differs": lambda on, words, **asked: (
        f"{wording.DAYS[on.weekday()]}'s test is planned as “{words}”, the series of tests asks for one {setting(**asked)}"
    ),
    "more planned than an ordinary week": lambda planned_min, usual_min: (
        f"the load lay above the own range, and {planned_min:.0f} min are planned, usually {usual_min:.0f}"
    ),
    "planned inside a block": lambda on, kind: f"{wording.DAYS[on.weekday()]} lies inside days noted as {kind}",
    "hard days next to each other": lambda on, next_on: (
        f"{wording.DAYS[on.weekday()]} and {wording.DAYS[next_on.weekday()]} are both hard"
    ),
    "hard shortly before a test": lambda on, test_on: (
        f"{wording.DAYS[on.weekday()]} is hard, and the test is on {wording.DAYS[test_on.weekday()]}: two days before it are "
        "to stay free of hard training"
    ),
    "run beyond the longest": _beyond,
    "hard shortly before an event": _close,
    "race within three weeks": _taper,
}  # fmt: skip
WAYS_OUT: dict[str, Sentence] = {
    "planned against the week": lambda **_: "change the plan; until then the letter holds it back",
    "more planned than an ordinary week": lambda **_: "less, or as you meant it",
    "test setting differs": lambda **_: "plan it as the series asks, or write why",
    "test due and not planned": lambda **_: "give it a day, or leave it for later",
}

#: What the parts of a planned week are called, by ``analysis.plan.sums.PARTS``.
PARTS = {
    "below first": "easy",
    "around first": "steady",
    "near second": "near the second threshold",
    "above second": "short and hard",
    "not said": "other",
}


def sums(found: PlanSums) -> str:
    """What a planned week adds up to, against a usual one, and what its minutes are for.

    Examples
    --------
    >>> found = PlanSums(minutes=245, n_unknown=1, usual_minutes=165.1, by_part=(("below first", 165.0),), notes=())
    >>> sums(found)
    '4 h 05 planned (one day without minutes), usually 2 h 45. Easy 165 min.'
    """
    unknown = f" ({wording.count(found.n_unknown, 'day')} without minutes)" if found.n_unknown else ""
    usual = "" if found.usual_minutes is None else f", usually {wording.duration(60 * found.usual_minutes)}"
    parts = ", ".join(f"{PARTS[name]} {minutes:.0f} min" for name, minutes in found.by_part)
    said = f"{parts[:1].upper()}{parts[1:]}." if parts else ""
    return f"{wording.duration(60 * found.minutes)} planned{unknown}{usual}. {said}".strip()
