"""A night far too short."""

from statistics import median

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.reasons.kind import ReasonKind, Told
from coachlib.measures.common.codes import code
from coachlib.records.roster import TriageSettings

#: A night below this is short for anybody. [h]  Own choice.
SHORT_H = 5.0
#: Where somebody's usual night is short itself, a night is told when it is so much shorter. [h]  Own choice.
BELOW_USUAL_H = 1.0
#: Nights needed before they say what is usual.  Own choice.
LEAST_NIGHTS = 5


def short(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """Less than five hours of sleep, and less than is usual for this athlete."""
    before = [row.sleep_h for row in athlete.written_before if row.sleep_h is not None]
    usual = median(before) if len(before) >= LEAST_NIGHTS else None
    limit = SHORT_H if usual is None else min(SHORT_H, usual - BELOW_USUAL_H)
    nights = {row.on: row.sleep_h for row in athlete.written_this_week if row.sleep_h is not None}
    found = {on: hours for on, hours in nights.items() if hours < SHORT_H and hours <= limit}
    if not found:
        return None
    on = min(found, key=lambda day: found[day])
    return Told(code=code("short sleep", on=on, sleep_h=found[on], usual_h=usual, n_nights=len(found)))


REASONS = (ReasonKind(name="short sleep", rank=95, group="look at", where="diary", seen=short),)
