"""What a reason on the call sheet is."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.measures.common.codes import Code
from coachlib.records.roster import TriageSettings

Group = Literal["talk to", "look at", "fine"]
#: Whether a roster's settings may leave a reason out, must tell it, or must tell it first and ask for a word.
Weight = Literal["may be hidden", "always told", "always first"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What was seen, as a code; a recording to choose in the workbook; the athlete's own words where quoted."""

    code: Code
    recording: str = ""
    quoted: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReasonKind:
    """One reason: its name, its rank (low is strong), what it asks for, where it is settled, how it is seen.

    Its code carries the same name, and ``report.words.roster`` its sentence and its way out.
    """

    name: str
    rank: int
    group: Group
    where: str
    seen: Callable[[AthleteWeek, TriageSettings], Told | None]
    weight: Weight = "may be hidden"
