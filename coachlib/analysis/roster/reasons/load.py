"""A week's load outside the athlete's own range."""

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.reasons.kind import ReasonKind, Told
from coachlib.measures.common.codes import code
from coachlib.records.roster import TriageSettings


def load(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """Load far from what was usual, outside days apart."""
    season = athlete.season
    found = season.load_range if season is not None else None
    if season is None or found is None or found.verdict != "flag" or not found.usual:
        return None
    if season.weeks[-1].apart:
        return None
    return Told(
        code=code(
            "load outside own range", by=season.load_kind, load=found.load, usual=found.usual, low=found.low,
            high=found.high,
        )
    )  # fmt: skip


REASONS = (
    ReasonKind(name="load outside own range", rank=70, group="talk to", where="weekly letter", seen=load),
)
