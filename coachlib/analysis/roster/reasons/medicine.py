"""A medicine that changes heart rate of which no date is known."""

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.reasons.kind import ReasonKind, Told
from coachlib.measures.common.codes import code
from coachlib.records.roster import TriageSettings


def undated(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """Without a day nothing before and after it can be told apart, and no heart-rate advice is given at all."""
    person = athlete.week.athlete
    return (
        Told(code=code("medicine without dates"))
        if person.heart_rate_medicine and not person.medicines
        else None
    )


REASONS = (
    ReasonKind(name="medicine without dates", rank=185, group="look at", where="athlete.toml", seen=undated),
)
