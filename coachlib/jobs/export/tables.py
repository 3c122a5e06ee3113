"""One athlete's rows of the exported tables; numbers as every other page has them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, timedelta
from typing import Any

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.week.calendar import first_day, week_of
from coachlib.analysis.week.week import WeekResult, analyse_week
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.field_tests.drift_tests import read_drift_tests
from coachlib.jobs.recordings import Recordings
from coachlib.measures.week.load import session_rpe_load
from coachlib.records.athlete import Athlete
from coachlib.records.diary import DiaryRow

Row = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class AthleteTables:
    """Rows by table, and in sentences which recordings and diary rows are not in them."""

    rows: dict[str, list[Row]]
    left_out: tuple[str, ...]


def tables_of(folder: RosterFolder, own: AthleteFolder, *, today: date) -> AthleteTables:
    """Everything of one athlete that is exported.

    Parameters
    ----------
    folder : RosterFolder
        The roster.
    own : AthleteFolder
        Whose.
    today : date
        Rows of the diary after it are plans.

    Raises
    ------
    RosterProblem
        When the profile cannot be read.
    """
    recordings = Recordings(folder=folder, own=own, today=today)
    athlete = recordings.athlete
    sessions = sorted(recordings.judged_until(today + timedelta(days=1)), key=lambda s: s.started_at)
    alone = recordings.matched.unmatched
    tests = read_drift_tests(folder, own, recordings=recordings)
    rows = {
        "sessions": sorted(
            [*map(_session, sessions), *(_row_alone(row, athlete) for row in alone)],
            key=lambda row: (row["on"], row["recording"] or "~", row["part"] or 0),
        ),
        "tests": [_test(test) for test in tests.tests],
        "thresholds": [
            _threshold(each) for each in sorted(athlete.thresholds, key=lambda t: (t.on, t.which))
        ],
        "weeks": [_week(week) for week in _weeks(folder, athlete, sessions, alone)],
    }
    for row in (row for table in rows.values() for row in table):
        row["athlete"] = own.slug
    unread = (f"{u.recording}: {u.sentence}" for u in recordings.unreadable.values())
    return AthleteTables(rows=rows, left_out=(*unread, *recordings.diary.problems))


def _session(s: JudgedRecording) -> Row:
    steady = s.steady
    held = steady.held if steady is not None else None
    return {
        "on": s.on,
        "started_at": s.started_at.astimezone(UTC),
        "recording": s.recording,
        "part": s.part,
        "sha256": s.sha256,
        "sport": s.sport,
        "sub_sport": s.sub_sport,
        "is_indoor": s.is_indoor,
        "kind": s.kind,
        "is_decided": s.decided,
        "target": s.target,
        "planned_min": s.row.planned_min if s.row is not None else None,
        "is_done": True,
        "elapsed_s": s.elapsed_s,
        "moving_s": s.moving_s,
        "distance_m": s.distance_m,
        "climb_m": s.climb_m,
        "climb_from": s.climb_from,
        "output_mean": s.output.mean if s.output is not None else None,
        "output_unit": s.output.unit if s.output is not None else None,
        "hr_mean_bpm": s.hr_mean_bpm,
        "hr_top_bpm": s.hr_top_bpm,
        "hr_s": s.hr_s,
        "hr_missing_s": s.hr_missing_s,
        "excluded_s": s.excluded_s,
        **_of(s.domains, "first_bpm second_bpm below_s between_s above_s"),
        "window_start_s": steady.window.start_s if steady is not None else None,
        "window_stop_s": steady.window.stop_s if steady is not None else None,
        **_of(s.drift, "drift_pct drift_low_pct drift_high_pct"),
        "held_pct": held.drift_pct if held is not None else None,
        "held_low_pct": held.drift_low_pct if held is not None else None,
        "held_high_pct": held.drift_high_pct if held is not None else None,
        "temperature_c": s.temperature_c,
        "rpe": s.rpe,
        "rpe_load": s.rpe_load,
        "trimp": s.trimp,
    }


def _row_alone(row: DiaryRow, athlete: Athlete) -> Row:
    """A row of the diary that belongs to no recording: trained without a device, or planned."""
    done = row.done_min
    rated = done is not None and row.rpe is not None
    return {
        **_of(row, "on kind target planned_min temperature_c rpe"),
        "recording": None,
        "part": None,
        "sport": athlete.sports[0] if len(athlete.sports) == 1 else None,
        "is_done": done is not None,
        "moving_s": None if done is None else 60 * done,
        "rpe_load": session_rpe_load(row.rpe or 0.0, done or 0.0) if rated else None,
    }


def _test(test: SeriesTest) -> Row:
    told = test.conditions
    return {
        **_of(
            test, "on sha256 minutes first_half_bpm drift_pct se_pct speed_mps grade power_w above_second_s"
        ),
        "source": test.source if not test.typed else None,
        "is_typed": test.typed,
        "sport": test.sport or None,
        "hour_drift_pct": test.drift_pct * test.to_hour,
        "temperature_c": test.air_c,
        "rpe": told.rpe if told is not None else None,
        "talk": told.talk if told is not None else None,
    }


def _threshold(threshold: Any) -> Row:
    return {
        **_of(
            threshold, "which on sport hr_bpm hr_low_bpm hr_high_bpm bounded speed_mps grade power_w method"
        ),
        "is_withdrawn": threshold.withdrawn,
        "n_tests": len(threshold.tests),
    }


def _weeks(
    folder: RosterFolder,
    athlete: Athlete,
    sessions: Sequence[JudgedRecording],
    alone: Sequence[DiaryRow],
) -> Iterator[WeekResult]:
    """Every week from the first recording to the last."""
    if not sessions:
        return
    starts = folder.settings.week_starts
    begins = first_day(week_of(sessions[0].on, starts=starts), starts=starts)
    while begins <= sessions[-1].on:
        name = week_of(begins, starts=starts)
        yield analyse_week(name, sessions, athlete, settings=folder.settings, diary=alone)
        begins += timedelta(days=7)


def _week(week: WeekResult) -> Row:
    easy = week.easy
    days = [week.athlete.block_on(week.start_on + timedelta(days=n)) for n in range(7)]
    apart = [block.kind for block in days if block is not None]
    return {
        **_of(week, "week start_on moving_s usual_moving_s climb_m"),
        "n_sessions": len(week.sessions),
        **_of(week.domains, "below_s between_s above_s"),
        "easy_minutes": easy.minutes if easy is not None else None,
        "easy_share_frac": easy.share.share_frac if easy is not None else None,
        "easy_share_low_frac": easy.share.share_low_frac if easy is not None else None,
        "easy_share_high_frac": easy.share.share_high_frac if easy is not None else None,
        "trimp": week.load.trimp,
        "rpe_load": week.load.rpe_load,
        "block": max(apart, key=apart.count) if len(apart) > 3 else None,
        "on_medicine": week.athlete.medicine_on(week.stop_on - timedelta(days=1)),
    }


def _of(found: Any, names: str) -> Row:
    """Some attributes by name; unknown ones where there is nothing to ask."""
    return {name: None if found is None else getattr(found, name) for name in names.split()}
