"""Easy days that were not easy: by heart rate, by effort, by talking."""

from statistics import median

from coachlib.analysis.plan.done import HARD_RPE
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.reasons.kind import ReasonKind, Told
from coachlib.analysis.week.meant import meant_easy
from coachlib.analysis.week.usual import USUAL_WEEKS, usual
from coachlib.measures.common.codes import code
from coachlib.records.diary import DiaryRow
from coachlib.records.roster import TriageSettings

#: Days needed before they say what is usual.  Own choice.
LEAST_USUAL = 3


def not_easy(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """Easy sessions that were surely not easy, against the athlete's own weeks."""
    easy = None if athlete.week.easy is None else athlete.week.easy.share
    if easy is None or easy.verdict != "not easy":
        return None
    before = athlete.season.weeks[-1 - USUAL_WEEKS : -1] if athlete.season is not None else ()
    usual_frac = usual([w.easy.share.share_frac for w in before if w.easy is not None and not w.apart])
    return Told(
        code=code(
            "easy days not easy", above_pct=100 * (1 - easy.share_frac), low_pct=100 * (1 - easy.share_high_frac),
            high_pct=100 * (1 - easy.share_low_frac),
            usual_pct=None if usual_frac is None else 100 * (1 - usual_frac),
            may_be_tested=athlete.may_be_tested,
        )
    )  # fmt: skip


def hard(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """An effort of 8 or more, or no talking, on a day meant as easy."""
    days: tuple[JudgedRecording | DiaryRow, ...] = (*athlete.week.sessions, *athlete.week.unrecorded)
    found = [
        d for d in days if meant_easy(d) and ((d.rpe is not None and d.rpe >= HARD_RPE) or d.talk == "not")
    ]
    if not found:
        return None
    worst = max(found, key=lambda d: (d.rpe or 0.0, d.on))
    usual = [r.rpe for r in athlete.written_before if r.rpe is not None and meant_easy(r)]
    return Told(
        code=code(
            "easy day felt hard", on=worst.on, rpe=worst.rpe, could_talk=worst.talk != "not",
            usual_rpe=median(usual) if len(usual) >= LEAST_USUAL else None, n_days=len({d.on for d in found}),
        ),
        recording=getattr(worst, "recording", None) or "",
    )  # fmt: skip


REASONS = (
    ReasonKind(name="easy days not easy", rank=60, group="talk to", where="weekly letter", seen=not_easy),
    ReasonKind(name="easy day felt hard", rank=65, group="talk to", where="diary", seen=hard),
)
