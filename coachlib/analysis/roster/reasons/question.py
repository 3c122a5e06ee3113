"""A question that waits for an answer."""

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.reasons.kind import ReasonKind, Told
from coachlib.measures.common.codes import code
from coachlib.records.roster import TriageSettings


def question(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """What the athlete asked this week, the latest question in full."""
    asked = [remark for remark in athlete.remarks if remark.asks]
    if not asked:
        return None
    latest = asked[-1]
    return Told(
        code=code("question", on=latest.on, words=latest.text, n_more=len(asked) - 1), quoted=latest.text
    )


REASONS = (ReasonKind(name="question", rank=85, group="talk to", where="diary", seen=question),)
