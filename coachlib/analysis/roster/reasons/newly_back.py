"""Back from illness or injury for fewer than three sessions."""

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.reasons.kind import ReasonKind, Told
from coachlib.measures.common.codes import code
from coachlib.records.roster import TriageSettings


def back(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """Newly back: the gates go before every plan."""
    if athlete.newly_back is None:
        return None
    since_on, n = athlete.newly_back
    return Told(code=code("back from illness", since_on=since_on, n_sessions=n))


REASONS = (
    ReasonKind(
        name="back from illness", rank=35, group="talk to", where="diary", seen=back, weight="always told"
    ),
)
