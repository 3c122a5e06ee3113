"""What of the coming week's plan the week just over speaks against."""

from collections.abc import Callable, Mapping

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.reasons.kind import ReasonKind, Told
from coachlib.analysis.roster.week_ahead import week_ahead
from coachlib.records.roster import TriageSettings


def _seen(name: str) -> Callable[[AthleteWeek, TriageSettings], Told | None]:
    """Whether the week ahead tells the coach something of this name."""

    def seen(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
        told = week_ahead(athlete).told if athlete.planned else ()
        return next((Told(code=c) for c in told if c.name == name), None)

    return seen


#: What of a plan stands on the call sheet, with its rank.
_RANKS: Mapping[str, int] = {
    "planned against the week": 37,
    "more planned than an ordinary week": 72,
    "test setting differs": 145,
    "test due and not planned": 175,
}
REASONS = tuple(
    ReasonKind(name=name, rank=rank, group="look at", where="plan", seen=_seen(name))
    for name, rank in _RANKS.items()
)
