"""Illness and pain, by the diary's health or in the athlete's words."""

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.reasons.kind import ReasonKind, Told
from coachlib.measures.common.codes import code
from coachlib.records.roster import TriageSettings

UNWELL = ("ill", "pain")


def unwell(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """Illness or pain in the diary of the week."""
    days = [row for row in athlete.written_this_week if row.health in UNWELL]
    if not days:
        return None
    latest = days[-1]
    words = (latest.remarks or "").strip()
    return Told(
        code=code(
            "illness or pain", on=latest.on, health=latest.health or "", words=words, n_days=len({r.on for r in days}),
            is_over=athlete.health not in UNWELL,
        ),
        quoted=words,
    )  # fmt: skip


def in_words(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """Something about health in the words of a day not marked as ill or in pain, and no red flag."""
    marked = {row.on for row in athlete.written_this_week if row.health in UNWELL}
    flagged = {flag.on for flag in athlete.red_flags}
    found = [r for r in athlete.remarks if r.about_health and r.on not in marked | flagged]
    if not found:
        return None
    latest = found[-1]
    return Told(
        code=code("health in words", on=latest.on, words=latest.text, n_more=len(found) - 1),
        quoted=latest.text,
    )


def apart(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """An illness or injury that the profile tells and that lasts at the week's end."""
    block = athlete.week.athlete.block_on(athlete.last_day)
    if block is None or block.kind not in ("ill", "injured"):
        return None
    return Told(code=code("ill or hurt for days", kind=block.kind, since_on=block.start_on))


REASONS = (
    ReasonKind(
        name="illness or pain", rank=30, group="talk to", where="diary", seen=unwell, weight="always told"
    ),
    ReasonKind(
        name="ill or hurt for days", rank=33, group="look at", where="athlete.toml", seen=apart, weight="always told"
    ),
    ReasonKind(name="health in words", rank=105, group="look at", where="diary", seen=in_words),
)  # fmt: skip
