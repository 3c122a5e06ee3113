"""Words of the athlete that need a physician first."""

from coachlib.analysis.remarks.open_red_flags import OpenRedFlag
from coachlib.analysis.remarks.red_flags import Urgency
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.reasons.kind import ReasonKind, Told
from coachlib.measures.common.codes import Code, code
from coachlib.records.roster import TriageSettings


def now(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """Chest pain, a collapse or fainting, as the athlete wrote."""
    return _told(athlete, "now")


def first(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """Other words that ask for a physician before training goes on."""
    return _told(athlete, "physician first")


def red_flag_code(flag: OpenRedFlag, *, n_more: int = 0) -> Code:
    """What is said of a red flag wherever the coach reads it; ``n_more`` others are counted behind it."""
    name = "chest pain or collapse" if flag.kind == "now" else "physician first"
    return code(name, on=flag.on, words=flag.sentence, n_more=n_more)


def _told(athlete: AthleteWeek, kind: Urgency) -> Told | None:
    found = [flag for flag in athlete.red_flags if flag.kind == kind]
    if not found:
        return None
    latest, *others = found
    return Told(code=red_flag_code(latest, n_more=len(others)), quoted=latest.sentence)


REASONS = (
    ReasonKind(
        name="chest pain or collapse", rank=10, group="talk to", where="diary", seen=now, weight="always first"
    ),
    ReasonKind(
        name="physician first", rank=20, group="talk to", where="diary", seen=first, weight="always first"
    ),
)  # fmt: skip
