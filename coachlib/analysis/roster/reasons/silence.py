"""No recording for longer than usual."""

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.reasons.kind import ReasonKind, Told
from coachlib.measures.common.codes import code
from coachlib.records.roster import TriageSettings


def silent(athlete: AthleteWeek, settings: TriageSettings) -> Told | None:
    """No recording for some days, outside days marked as ill, travel or altitude."""
    if athlete.week.sessions or athlete.week.athlete.block_on(athlete.last_day):
        return None
    if athlete.last_recording_on is None:
        return Told(code=code("no data", days=None, last_on=None))
    days = (athlete.last_day - athlete.last_recording_on).days
    if days < settings.silent_days:
        return None
    return Told(code=code("no data", days=days, last_on=athlete.last_recording_on))


REASONS = (ReasonKind(name="no data", rank=40, group="talk to", where="recordings", seen=silent),)
