"""Weeks with a plan for the next: sessions of known heart rate, a diary as a person types it."""

from dataclasses import replace
from datetime import UTC, date, datetime

import numpy as np
from built_activity import built_activity

from coachlib.analysis.recording.judge import judge
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.week.week import analyse_week
from coachlib.records.athlete import Athlete
from coachlib.records.diary import DiaryRow
from coachlib.records.roster import RosterSettings

SETTINGS = RosterSettings(name="R", coach="C")
#: The week that was, Monday 16 to Sunday 22 November 2026; the next is planned.
WEEK, MONDAY = "2026-W47", date(2026, 11, 16)


def person(*, first=150.0, second=170.0, on="2026-11-01", sports=("running",), **more):
    """A runner whose thresholds are three weeks old."""
    known = [
        ("first", first, {"hr_low_bpm": 146, "hr_high_bpm": 154}),
        ("second", second, {"speed_mps": 4.0}),
    ]
    thresholds = [{"which": w, "on": on, "hr_bpm": bpm, **m} for w, bpm, m in known if bpm]
    return Athlete(slug="mira", name="Mira", sports=sports, thresholds=thresholds, **more)


def session(on, *, bpm=135.0, minutes=60, athlete=None, decisions=None, row=True, **told):
    """A session of a day at a heart rate, with what the diary says of it (nothing without ``row``)."""
    athlete = athlete or person()
    start = datetime(on.year, on.month, on.day, 8, tzinfo=UTC)
    beats = bpm - np.arange(60 * minutes) % 2 * 0.4  # one value for ten minutes would be no measurement
    activity = built_activity(
        seconds=beats.size, hr_bpm=beats, started_at=start, seed=on.toordinal() % 97 + 1
    )
    return judge(f"s{on}", activity, decisions, athlete, DiaryRow(on=on, **told) if row else None)


def rows(*told):
    """Planned rows by day of November."""
    return tuple(DiaryRow(on=date(2026, 11, day), **cells) for day, cells in told)


def monday_of(athlete=None, *, sessions=(), diary=(), coming=(), as_of=None, longest_min=90, **more):
    """An athlete's Monday; ``longest_min`` is a session of its first day, so that a test may be asked."""
    athlete = athlete or person()
    history = list(sessions)
    if longest_min:
        history.append(session(MONDAY, minutes=longest_min, athlete=athlete, rpe=3, health="ok"))
    week = analyse_week(WEEK, history, athlete, settings=SETTINGS, diary=diary, as_of=as_of)
    made = AthleteWeek(week=week, diary=tuple(diary), history=tuple(history), coming=tuple(coming))
    return replace(made, **more)
