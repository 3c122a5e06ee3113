"""The numbers behind a letter, for the JSON file beside it: what the same eyes may see, and nothing else."""

from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime, time
from typing import Any

from pydantic import BaseModel

from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.roster.one_thing import OneThing
from coachlib.analysis.roster.week_ahead import WeekAhead
from coachlib.analysis.season.season import Season
from coachlib.analysis.week.week import WeekResult
from coachlib.report.letter.how_we_know import methods
from coachlib.report.letter.season_drift import drifts_shown, n_below
from coachlib.report.page.blocks import Numbers
from coachlib.report.words.catalogue import sentence

#: Long series that can be worked out again from the recordings; they are not kept beside the letter.
LEFT_OUT = frozenset({"seconds_at_bpm", "minute_bpm"})

#: What is told of a week, one of its sessions, a steady stretch, a threshold, a row of the diary and a season.  Nothing else is: a
#: new field is the coach's until somebody puts its name here.
OF_WEEK = (
    "week start_on stop_on moving_s usual_moving_s usual_sessions n_usual_weeks climb_m domains zone_scale zone_times "
    "distribution easy load note not_told"
).split()
OF_SESSION = (
    "recording part on local_start sport sub_sport is_indoor kind planned decided elapsed_s moving_s distance_m climb_m "
    "climb_from hr_mean_bpm hr_top_bpm hr_s hr_missing_s domains output drift not_steady excluded_s exclusions trimp rpe "
    "rpe_load talk health temperature_c remarks caveats"
).split()
OF_STEADY = (
    "window window_from held decoupling findings meaning criterion_pct window_criterion_pct temperature_c speed_mps "
    "grade power_w method caveats"
).split()
OF_THRESHOLD = "which on hr_bpm hr_low_bpm hr_high_bpm speed_mps grade power_w method".split()
OF_ROW = "on start sport planned planned_min target done_min kind rpe talk temperature_c sleep_h health remarks".split()
OF_PLAN = "on start meant target words minutes sport".split()
OF_SEASON = (
    "weeks trends drifts watches easy_four_weeks goals load_kind load_range usual_load thresholds"
).split()
#: The coach's own notes, wherever they stand within a season.
_OF_COACH = frozenset({"note", "about", "tests", "device"})


def numbers(
    week: WeekResult,
    behind: Season | None = None,
    ahead: WeekAhead | None = None,
    *,
    thing: OneThing | None = None,
) -> Numbers:
    """Everything the letter says in numbers, with the names of the methods that made them.

    A missing number is null; why it is missing stands in ``caveats`` or ``not_told``.  What only the coach is
    told of (recordings and rows that cannot be read, tests nobody has decided on) goes to the coach beside them.
    """
    told = {
        "athlete": {"name": week.athlete.name},
        **_only(plain(week), OF_WEEK),
        "sessions": [_session(session) for session in week.sessions],
        "unrecorded": [_only(plain(row), OF_ROW) for row in week.unrecorded],
        "thresholds": [
            {
                "threshold": _only(plain(found.threshold), OF_THRESHOLD),
                "weeks": found.weeks,
                "is_stale": found.is_stale,
            }
            for found in week.thresholds
        ],
        "ahead": None if ahead is None else _ahead(ahead),
        "season": None if behind is None else _season(behind, week.settings.criterion_pct),
        "methods": list(methods(week, behind)),
    }
    return Numbers(told, for_coach=_for_coach(week, behind, thing, ahead))


def _ahead(ahead: WeekAhead) -> dict[str, Any]:
    """What the letter says of the week ahead; a day that waits carries why, and no range."""
    days = [] if ahead.waits else ahead.days
    return {
        "first": plain(ahead.first),
        "days": [
            _only(plain(d.day), OF_PLAN)
            | {"lead": None if d.held else plain(d.day.lead), "held": plain(d.held)}
            for d in days
        ],
        "events": [{"on": e.on.isoformat(), "name": e.name, "kind": e.kind} for e in ahead.events],
        "has_steady_test": ahead.has_steady_test,
    }


def _session(session: JudgedRecording) -> dict[str, Any]:
    """One session, with what its steady stretch shows."""
    steady = None if session.steady is None else _only(plain(session.steady), OF_STEADY)
    return {**{name: plain(getattr(session, name)) for name in OF_SESSION}, "steady": steady}


def _season(behind: Season, criterion_pct: float) -> dict[str, Any]:
    """The season, with the drifts that its figure compares and counts."""
    hourly = drifts_shown(behind)
    compared = {
        "criterion_pct": criterion_pct,
        "n_below": n_below(hourly, criterion_pct),
        "n": len(hourly),
        "hourly": plain(hourly),
    }
    return {**_without_coachs(_only(plain(behind), OF_SEASON)), "drifts_compared": compared}


def _for_coach(
    week: WeekResult, behind: Season | None, thing: OneThing | None, ahead: WeekAhead | None
) -> dict[str, Any]:
    """What the coach should see to before the next letter, and what is to be written beside this one."""
    trends = () if behind is None else behind.trends
    return {
        "plan": [] if ahead is None else [sentence(c) for c in ahead.told],
        "unreadable": [f"{found.recording}: {found.sentence}" for found in week.unreadable],
        "diary_problems": list(week.diary_problems),
        "has_note": bool(week.note),
        "undecided": [s.recording for s in week.sessions if s.kind == "drift test" and not s.decided],
        "asks_for_test": thing is not None and thing.is_test,
        "references": [plain(kept) for trend in trends if (kept := trend.to_keep) is not None],
    }


def _only(values: Mapping[str, Any], names: Iterable[str]) -> dict[str, Any]:
    return {name: values[name] for name in names if name in values}


def _without_coachs(value: Any) -> Any:
    """The same without the coach's own notes, however deep they stand."""
    if isinstance(value, dict):
        return {k: _without_coachs(v) for k, v in value.items() if k not in _OF_COACH}
    return [_without_coachs(v) for v in value] if isinstance(value, list) else value


def plain(value: Any) -> Any:
    """Results as plain dicts, lists, numbers and texts.

    Examples
    --------
    >>> plain((1, date(2026, 11, 22), time(17, 30), None))
    [1, '2026-11-22', '17:30:00', None]
    """
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in fields(value) if f.name not in LEFT_OUT}
    if isinstance(value, BaseModel):
        return {name: plain(v) for name, v in value}
    if isinstance(value, dict):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, tuple | list | frozenset | set):
        return [plain(v) for v in value]
    if isinstance(value, date | datetime | time):
        return value.isoformat()
    return value
