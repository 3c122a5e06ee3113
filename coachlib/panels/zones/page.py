"""One athlete's zones as a page: read from the roster, a watch's limits typed in."""

from datetime import date

from coachlib.analysis.zones.plan import Known, ZonePlan, zone_plan_of
from coachlib.errors import BadArgument
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.field_tests.drift_tests import read_drift_tests
from coachlib.jobs.field_tests.output_line import read_measured
from coachlib.jobs.recordings import Recordings
from coachlib.measures.zones.scales import ZoneSet
from coachlib.measures.zones.zone_table import zones_from_limits
from coachlib.panels.first_threshold.page import JUDGED_WEEKS, recent_sessions


def read_known(roster: RosterFolder, own: AthleteFolder) -> Known:
    """Read what an athlete's zones are made from."""
    recordings = Recordings(folder=roster, own=own)
    athlete = recordings.athlete
    tests = read_drift_tests(roster, own, recordings=recordings).tests
    sessions = recent_sessions(roster, own)
    days = [s.on for s in sessions] + [t.on for t in athlete.thresholds if not t.withdrawn]
    days += [m.on for m in athlete.medicines]
    return Known(
        athlete=athlete,
        coach=roster.settings.coach,
        sessions=sessions,
        n_weeks=JUDGED_WEEKS,
        measured=read_measured(roster, own, tests, recordings=recordings),
        day=max(days, default=date(1990, 1, 1)),
    )


def zone_plan(
    known: Known, *, scale: str | None = None, sport: str | None = None, watch_lows_bpm: str = ""
) -> ZonePlan:
    """Everything an athlete's zone sheet says, beside a watch's own limits as they are typed in.

    Parameters
    ----------
    known, scale, sport
        As for ``analysis.zones.plan.zone_plan_of``.
    watch_lows_bpm : str
        First beat of the second zone, of the third, and so on, as a watch has them, with commas between.

    Raises
    ------
    BadArgument
        When the watch's limits cannot be read.
    """
    return zone_plan_of(known, scale=scale, sport=sport, watch=_typed(watch_lows_bpm))


def _typed(lows_bpm: str) -> ZoneSet | None:
    if not lows_bpm.strip():
        return None
    try:
        lows = [int(part) for part in lows_bpm.split(",")]
    except ValueError:
        raise BadArgument(
            f"a watch's zones are typed as the first beat of each zone from the second on, such as \"120, 140, 160, "
            f'175"; found "{lows_bpm}".'
        ) from None
    return zones_from_limits(lows, source="typed in from the watch")
