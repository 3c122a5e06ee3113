"""One athlete's zones as a page: read from the roster, compared with what was before."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.errors import BadArgument, CoachError
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.field_tests.drift_tests import read_drift_tests
from coachlib.jobs.field_tests.output_line import OutputLine, read_output_line
from coachlib.measures.zones.scales import ZoneSet, zone_set
from coachlib.measures.zones.zone_table import compare_zones, zone_outputs, zone_shares, zones_from_limits
from coachlib.panels.first_threshold.page import JUDGED_WEEKS, recent_sessions
from coachlib.records.athlete import Athlete, Threshold
from coachlib.report.words import wording
from coachlib.report.zones.zone_plan import Compared, ZonePlan

WHY_NO_OUTPUT = (
    "No speed or power is given yet: that needs steady tests or stages at three different settings or more."
)


@dataclass(frozen=True, kw_only=True)
class Known:
    """What is read once for an athlete, whatever the choices."""

    athlete: Athlete
    coach: str
    sessions: tuple[JudgedRecording, ...]
    line: OutputLine | None
    day: date


def read_known(roster: RosterFolder, own: AthleteFolder) -> Known:
    """Read what an athlete's zones are made from."""
    athlete = own.athlete()
    sessions = recent_sessions(roster, own)
    days = [s.on for s in sessions] + [t.on for t in athlete.thresholds if not t.withdrawn]
    return Known(
        athlete=athlete,
        coach=roster.settings.coach,
        sessions=sessions,
        line=read_output_line(roster, own, read_drift_tests(roster, own).tests),
        day=max(days, default=date(1970, 1, 1)),
    )


def zone_plan(known: Known, *, scale: str | None = None, watch_lows_bpm: str = "") -> ZonePlan:
    """Everything an athlete's zone sheet says.

    Parameters
    ----------
    known : Known
        What was read.
    scale : str, optional
        One of those of ``measures.zones.scales.zone_set``; None takes the athlete's own.
    watch_lows_bpm : str
        First beat of the second zone, of the third, and so on, as a watch has them, with commas between.

    Raises
    ------
    BadArgument
        When the scale lacks something, or the watch's limits cannot be read.

    Source
    ------
    The zones carry their own sources, see ``measures.zones.scales``.
    """
    athlete, line = known.athlete, known.line
    zones = zones_on(athlete, scale or athlete.zones, known.day)
    in_force = [t for w in ("first", "second") if (t := athlete.threshold_on(w, known.day))]
    by_thresholds = zones.scale == "two thresholds"
    return ZonePlan(
        athlete=athlete.name,
        coach=known.coach,
        on=max(t.on for t in in_force) if by_thresholds else None,
        zones=zones,
        shares=zone_shares(zones, hr_max_bpm=athlete.hr_max_bpm, hr_rest_bpm=athlete.hr_rest_bpm)
        if athlete.hr_max_bpm
        else (),
        outputs=zone_outputs(zones, line.line) if line else (),
        unit=line.unit if line else "",
        outputs_from=line.made_from if line else "",
        tested_low=line.line.output_low if line else 0.0,
        tested_high=line.line.output_high if line else 0.0,
        why_no_output="" if line else WHY_NO_OUTPUT,
        thresholds=tuple(in_force) if by_thresholds else (),
        hr_max_bpm=athlete.hr_max_bpm,
        hr_max_from=athlete.hr_max_from,
        hr_rest_bpm=athlete.hr_rest_bpm,
        medicine=bool(athlete.heart_rate_medicine),
        compared=_compared(known, zones, in_force, watch_lows_bpm),
    )


def zones_on(athlete: Athlete, scale: str, day: date) -> ZoneSet:
    """The zones by the thresholds valid on a day."""
    first, second = athlete.threshold_on("first", day), athlete.threshold_on("second", day)
    return zone_set(
        scale,
        first_bpm=first.hr_bpm if first else None,
        second_bpm=second.hr_bpm if second else None,
        hr_rest_bpm=athlete.hr_rest_bpm,
        hr_max_bpm=athlete.hr_max_bpm,
    )


def _compared(
    known: Known, zones: ZoneSet, in_force: list[Threshold], watch_lows_bpm: str
) -> tuple[Compared, ...]:
    """The zones against those before, and against a watch's own."""
    others: list[tuple[str, bool, ZoneSet]] = []
    before = _before(known, zones, in_force)
    if before is not None and before != zones:
        others.append(("before", False, before))
    if watch_lows_bpm.strip():
        others.append(("watch", True, _typed(watch_lows_bpm)))
    seconds = _seconds(known.sessions)
    n = wording.count(len(known.sessions), "session").capitalize()
    return tuple(
        Compared(
            name=name,
            of_watch=of_watch,
            zones=other,
            result=compare_zones(other, zones, seconds),
            training=f"{n} of the last {wording.count(JUDGED_WEEKS, 'week')}",
        )
        for name, of_watch, other in others
    )


def _before(known: Known, zones: ZoneSet, in_force: list[Threshold]) -> ZoneSet | None:
    """The athlete's zones until now: on the scale kept so far, or before the newest threshold."""
    kept = known.athlete.zones
    day = known.day
    if zones.scale == kept:
        day = max((t.on for t in in_force), default=day) - timedelta(days=1)
    try:
        return zones_on(known.athlete, kept, day)
    except CoachError:
        return None


def _typed(lows_bpm: str) -> ZoneSet:
    try:
        lows = [int(part) for part in lows_bpm.split(",")]
    except ValueError:
        raise BadArgument(
            f"a watch's zones are typed as the first beat of each zone from the second on, such as \"120, 140, 160, "
            f'175"; found "{lows_bpm}".'
        ) from None
    return zones_from_limits(lows, source="typed in from the watch")


def _seconds(sessions: tuple[JudgedRecording, ...]) -> tuple[float, ...]:
    """Seconds at each heart rate over several sessions."""
    total = np.zeros(max((len(s.seconds_at_bpm) for s in sessions), default=1))
    for session in sessions:
        total[: len(session.seconds_at_bpm)] += session.seconds_at_bpm
    return tuple(total.tolist())
