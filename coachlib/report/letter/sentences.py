"""What a week shows, in sentences a coach could say aloud.

Every sentence is made from the results; none is kept in store for when there is nothing to say.
"""

from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.week.usual import ABOUT_USUAL_FRAC
from coachlib.analysis.week.week import WeekResult
from coachlib.records.decisions import TEST_KINDS
from coachlib.report.words import wording
from coachlib.report.words.catalogue import whole
from coachlib.report.words.recording import doubts, meant, seen
from coachlib.report.words.week import easy_seen, easy_sure

#: A drift whose interval is wider than this says too little for a day's row. [percentage points]  Own choice.
WIDEST_DRIFT_PCT = 5.0


def tells_drift(session: JudgedRecording) -> bool:
    """Whether a session's drift is worth a day's row: known well, valid, and at a setting that something tells."""
    stretch = session.steady
    if stretch is None or stretch.is_void or stretch.meaning.name == "medicine slows the heart":
        return False
    told = stretch.told
    is_known = session.decided or stretch.meaning.name != "setting not known"
    return is_known and told.drift_high_pct - told.drift_low_pct <= WIDEST_DRIFT_PCT


def drift_fact(session: JudgedRecording) -> str:
    """A session's drift, at constant output where that is known, with the length of its window."""
    stretch = session.steady
    if stretch is None:
        return ""
    minutes = (stretch.drift.stop_s - stretch.drift.start_s) / 60
    return f"drift {wording.drift(stretch.told)} in {minutes:.0f} min"


def lead(week: WeekResult) -> tuple[str, ...]:
    """Up to three sentences: what the week was, what it shows, how sure that is."""
    if not week.sessions:
        return (_without_sessions(week),)
    return tuple(filter(None, (_what_it_was(week), *_what_it_shows(week))))


def _without_sessions(week: WeekResult) -> str:
    if n_done := len(week.done_unrecorded):
        said = wording.count(n_done, "session")
        in_all = f", {wording.duration(week.moving_s)} in all" if week.moving_s else ""
        return f"{said[0].upper()}{said[1:]} this week without a recording{in_all}."
    n = len(week.unrecorded)
    if n:
        are = "is" if n == 1 else "are"
        return f"There {are} {wording.count(n, 'diary entry', 'diary entries')} this week but no recording."
    return "There is no recording this week."


def _what_it_was(week: WeekResult) -> str:
    """How many, how long, and against a usual week."""
    n = wording.count(week.n_sessions, "session")
    n_done = len(week.done_unrecorded)
    without = f" ({wording.count(n_done, 'session').split()[0]} without a recording)" if n_done else ""
    said = f"{n[0].upper()}{n[1:]} this week{without}, {wording.duration(week.moving_s)} in all"
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
        return ("Your first threshold, the upper end of easy, is not known yet.",)
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
    if stretch.meaning.name == "medicine slows the heart":
        return said, meant(stretch)
    if not session.decided:
        return said, "Your coach has not yet looked at the trace, so what it means is still open."
    return said, meant(stretch), *filter(None, [doubts(stretch.findings)])
