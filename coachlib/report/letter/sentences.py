"""What a week shows, in sentences a coach could say aloud.

Every sentence is made from the results; none is kept in store for when there is nothing to say.
"""

from dataclasses import dataclass

from coachlib.analysis.first_threshold.machine import setting_at
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.season.season import Season
from coachlib.analysis.week.easy import threshold_interval
from coachlib.analysis.week.week import WeekResult
from coachlib.measures.season.threshold_watch import WatchWeek
from coachlib.records.decisions import TEST_KINDS
from coachlib.report.words import wording
from coachlib.report.words.catalogue import whole
from coachlib.report.words.recording import doubts, meant, seen
from coachlib.report.words.week import easy_seen, easy_sure

#: A week within this share of a usual one is "about as much as usual".  Own choice.
ABOUT_USUAL_FRAC = 0.15
#: A drift whose interval is wider than this says too little for a day's row. [percentage points]  Own choice.
WIDEST_DRIFT_PCT = 5.0
#: Heart rate missing for more than this share of the moving time points to the strap.  Own choice.
STRAP_FRAC = 0.1
HOW_TO_TEST = (
    "15 minutes at the test's own setting, then one hour at that same setting, fan on, no talking or singing in "
    "the hour"
)


def tells_drift(session: JudgedRecording) -> bool:
    """Whether a session's drift is worth a day's row: known well, valid, and at a setting that something tells."""
    stretch = session.steady
    if stretch is None or stretch.is_void or stretch.meaning.name == "medicine slows the heart":
        return False
    told = stretch.held or stretch.drift
    is_known = session.decided or stretch.meaning.name != "setting not known"
    return is_known and told.drift_high_pct - told.drift_low_pct <= WIDEST_DRIFT_PCT


def drift_fact(session: JudgedRecording) -> str:
    """A session's drift, at constant output where that is known, with the length of its window."""
    stretch = session.steady
    if stretch is None:
        return ""
    minutes = (stretch.drift.stop_s - stretch.drift.start_s) / 60
    return f"drift {wording.drift(stretch.held or stretch.drift)} in {minutes:.0f} min"


def lead(week: WeekResult) -> tuple[str, ...]:
    """Up to three sentences: what the week was, what it shows, how sure that is."""
    if not week.sessions:
        return (_without_sessions(week),)
    return tuple(filter(None, (_what_it_was(week), *_what_it_shows(week))))


def _without_sessions(week: WeekResult) -> str:
    n = len(week.unrecorded)
    if n:
        are = "is" if n == 1 else "are"
        return f"There {are} {wording.count(n, 'diary entry', 'diary entries')} this week but no recording."
    return "There is no recording this week."


def _what_it_was(week: WeekResult) -> str:
    """How many, how long, and against a usual week."""
    n = wording.count(len(week.sessions), "session")
    said = f"{n[0].upper()}{n[1:]} this week, {wording.duration(week.moving_s)} in all"
    usual = week.usual_moving_s
    if not usual:
        return f"{said}."
    ratio = week.moving_s / usual
    if abs(ratio - 1) <= ABOUT_USUAL_FRAC:
        return f"{said}, about as much as usual."
    direction = "more" if ratio > 1 else "less"
    return f"{said}, {direction} than your usual {wording.duration(usual)}."


def _what_it_shows(week: WeekResult) -> tuple[str, ...]:
    """The finding that matters most, and how sure it is."""
    if tests := _tests(week):
        return test_verdict(tests[-1])
    if week.easy is not None:
        return easy_seen(week.easy), easy_sure(week.easy)
    not_easy = ("only a bound is accepted", "no heart-rate limits under medicine")
    told = next((c for c in week.not_told if c.name in not_easy), None)
    if told is not None:
        return (whole(told),)
    if week.accepted("first") is None:
        return ("Your first threshold is not known yet, so whether easy was easy we cannot tell.",)
    return ()


def _tests(week: WeekResult) -> list[JudgedRecording]:
    return [s for s in week.steady if s.kind in TEST_KINDS]


def tells_easy(week: WeekResult) -> bool:
    """Whether the first sentences say how easy the easy days were."""
    return bool(week.sessions) and week.easy is not None and not _tests(week)


def test_verdict(session: JudgedRecording) -> tuple[str, ...]:
    """What a steady test showed and what it means, in the words of every page."""
    stretch = session.steady
    if stretch is None:
        return ()
    on = wording.DAYS[session.on.weekday()]
    said = f"{on}'s steady test: {wording.lower(seen(stretch))}."
    if not session.decided:
        return said, "Your coach has not yet looked at the trace, so what it means is still open."
    return said, meant(stretch), *filter(None, [doubts(stretch.findings)])


@dataclass(frozen=True, slots=True, kw_only=True)
class NextThing:
    """One thing for next week: what to do, why, and whether it needs the cautions of a hard effort."""

    what: str
    why: str
    is_test: bool = False


def next_thing(week: WeekResult, behind: Season | None = None) -> NextThing:
    """The one thing to ask of the athlete, the most pressing first."""
    pressing = _unwell(week) or _strap(week) or _test_due(week)
    found = pressing or _disagreement(behind) or _easier(week) or _much_more(behind)
    if found is not None:
        return found
    if week.note:
        return NextThing(
            what="Carry on as planned.",
            why="The numbers of this week ask for no change; what your coach writes above comes first.",
        )
    return NextThing(what="Carry on as planned.", why="Nothing in this week asks for a change.")


def _unwell(week: WeekResult) -> NextThing | None:
    health = [
        *(row.health for row in sorted(week.unrecorded, key=lambda r: r.on)),
        *(s.health for s in week.sessions),
    ]
    if "ill" in health:
        return NextThing(
            what="Rest until you are well, then begin again with short, easy days.",
            why="You noted that you were ill. Training can wait; if it lasts or you are unsure, see a physician.",
        )
    if "pain" in health:
        return NextThing(
            what="Leave out whatever hurts and tell your coach where and when.",
            why="You noted pain. If it does not settle within days, or is sharp, see a physician first.",
        )
    return None


def _strap(week: WeekResult) -> NextThing | None:
    poor = [s for s in week.sessions if s.moving_s and s.hr_missing_s > STRAP_FRAC * s.moving_s]
    if len(poor) < 2:
        return None
    worst = max(poor, key=lambda s: s.hr_missing_s / s.moving_s)
    return NextThing(
        what="Wet the strap before you put it on, and look whether its battery is due.",
        why=(
            f"In {wording.count(len(poor), 'session')} heart rate was missing for part of the time, on "
            f"{wording.DAYS[worst.on.weekday()]} for {wording.duration(worst.hr_missing_s)}."
        ),
    )


def _easier(week: WeekResult) -> NextThing | None:
    if week.easy is None or week.easy.share.verdict != "not easy":
        return None
    first = week.easy.threshold
    low, _ = threshold_interval(first)
    return NextThing(
        what=f"Keep the next easy day below {wording.heart_rate(low)} from start to end.",
        why=f"That is the lower end of what we know of your first threshold, {wording.threshold(first)}.",
    )


def _test_due(week: WeekResult) -> NextThing | None:
    first = next((t for t in week.thresholds if t.threshold.which == "first"), None)
    if first is None:
        return NextThing(
            what=f"A steady test at an effort at which you could still talk in whole sentences: {HOW_TO_TEST}.",
            why="Your first threshold is not known yet; this is how we find it.",
            is_test=True,
        )
    if first.is_stale:
        found = setting_at(first.threshold, week.athlete)
        output = wording.setting(speed_mps=found.speed_mps, grade=found.grade, power_w=found.power_w)
        at = f" at {output}" if output else f" near {wording.heart_rate(first.threshold.hr_bpm)}"
        return NextThing(
            what=f"Repeat the steady test{at}: {HOW_TO_TEST}.",
            why=f"Your first threshold is {wording.age_weeks(first.weeks)}; it may have moved since.",
            is_test=True,
        )
    return None


def _disagreement(behind: Season | None) -> NextThing | None:
    """A test near where ordinary sessions put the first threshold, while they disagree with the accepted one."""
    watch = behind.watch if behind is not None else None
    if watch is None or not watch.latest.disagrees:
        return None
    return NextThing(
        what=f"A steady test near {wording.heart_rate(where_to_test_bpm(watch.latest))}: {HOW_TO_TEST}.",
        why=(
            f"Your ordinary sessions disagree with the accepted first threshold, "
            f"{wording.heart_rate(watch.accepted_bpm or 0.0)}: it seems {watch.latest.disagrees}."
        ),
        is_test=True,
    )


def _much_more(behind: Season | None) -> NextThing | None:
    """An ordinary week after one far above the athlete's own range."""
    own = behind.load_range if behind is not None else None
    if own is None or own.verdict != "flag" or own.side != "high" or own.low is None or own.high is None:
        return None
    return NextThing(
        what="Let next week be an ordinary one, unless more was planned.",
        why=(
            f"This week's load, {own.load:.0f}, lies above your own range of the last "
            f"{wording.count(own.n_weeks, 'week')}, {own.low:.0f} to {own.high:.0f}."
        ),
    )


def where_to_test_bpm(now: WatchWeek) -> float:
    """Where to test when ordinary sessions disagree: their point, else the middle of their range. [1/min]"""
    return (now.hr_low_bpm + now.hr_high_bpm) / 2 if now.hr_bpm is None else now.hr_bpm


#: The cautions in short, where an athlete sees them.
CAUTION = (
    "No test and no hard session when you are ill, feverish or hurt. Stop at once with chest pain, unusual breathlessness, "
    "dizziness or an irregular pulse, and see a physician before you train again."
)
CAUTIONS = (
    "Do no test or hard session when you are ill, feverish, hurt or short of sleep.",
    "Stop at once with pain or pressure in the chest, unusual breathlessness, dizziness, a racing or irregular "
    "pulse, and see a physician before you train again.",
    "If you are new to hard effort, have a known illness, or take medicines that change heart rate, ask a "
    "physician first; heart-rate limits may then not fit you.",
    "Local rules and your physician's word go before anything on this page.",
)
