"""Planned against done: what of a week's plan was done, and where that differs in kind, length or domain."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.week.easy import easy_time
from coachlib.analysis.week.meant import EASY_KINDS, meant_as
from coachlib.analysis.week.week import WeekResult
from coachlib.measures.common.codes import Code, code
from coachlib.measures.plan.archetypes import archetype
from coachlib.records.athlete import Athlete
from coachlib.records.decisions import KINDS
from coachlib.records.diary import DiaryRow

#: Effort (CR-10) from which a day was hard, whatever it was meant to be.  Own choice: 7 is "very hard" on the scale.
HARD_RPE = 8.0
#: Less than these minutes above the first threshold, and a hard session was not hard. [min]  Own choice: heart rate lags
#: behind short repetitions, so that only a session without any time above is told.
LEAST_ABOVE_MIN = 5.0
#: A length within this share, or within so many minutes, is as planned.  Own choice.
AS_LONG_FRAC, AS_LONG_MIN = 0.15, 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanCheck:
    """One planned day and what became of it; ``differences`` are empty where it was done as planned.

    ``row`` is None for a session that nobody planned, ``session`` where nothing was recorded.
    """

    on: date
    row: DiaryRow | None
    session: JudgedRecording | None
    differences: tuple[Code, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekCheck:
    """The planned days of a week against what was done, and that in one code (None where nothing was planned)."""

    days: tuple[PlanCheck, ...]
    says: Code | None

    def of(self, of: JudgedRecording | DiaryRow) -> tuple[Code, ...]:
        """How a session, or a row without one, differs from its plan."""
        found = (
            d for d in self.days if (d.session is of if isinstance(of, JudgedRecording) else d.row is of)
        )
        return next((d.differences for d in found), ())


def planned_against_done(week: WeekResult) -> WeekCheck:
    """Compare each planned day of a week with what was done on it.

    A day of rest without a session is as planned.  A row with minutes or a rating was done.  Where a day has sessions
    without a row as well as planned rows without a session, which belongs to which is not known, and they are not
    compared.  A planned day is missed once the week is over.

    Source
    ------
    This project's own choice.
    """
    days = [_of_session(s, week.athlete) for s in week.sessions]
    rowless = Counter(s.on for s in week.sessions if s.row is None)
    for row in week.unrecorded:
        if not (row.is_planned or row.was_done) or week.is_ahead(row):
            continue
        days.append(PlanCheck(on=row.on, row=row, session=None, differences=_of_row(row, week, rowless)))
    ordered = tuple(sorted(days, key=lambda d: d.on))
    return WeekCheck(days=ordered, says=_says(ordered))


def _of_session(session: JudgedRecording, athlete: Athlete) -> PlanCheck:
    row = session.row
    if row is None or not row.is_planned:
        return PlanCheck(on=session.on, row=None, session=session, differences=())
    meant = meant_as(row)
    differs: tuple[Code | None, ...]
    if meant == "rest":
        differs = (code("done instead of rest"),)
    else:
        kind = _other_kind(row, meant, session)
        differs = (kind or _domain(session, meant, athlete), _length(row, session.moving_s / 60))
    return PlanCheck(
        on=session.on, row=row, session=session, differences=tuple(d for d in differs if d is not None)
    )


def _of_row(row: DiaryRow, week: WeekResult, rowless: Counter[date]) -> tuple[Code, ...]:
    """What became of a planned row without a recording."""
    meant = meant_as(row)
    if row.was_done:
        if not row.is_planned:
            return ()
        if meant == "rest":
            return (code("done instead of rest"),)
        felt = _felt(row, meant)
        long = None if row.done_min is None else _length(row, row.done_min)
        return tuple(d for d in (felt, long) if d is not None)
    if meant == "rest":
        return ()
    if rowless[row.on]:
        rowless[row.on] -= 1
        return ()
    unwell = row.health in ("ill", "pain") or week.athlete.block_on(row.on) is not None
    return (code("planned and not done", was_unwell=unwell),)


def _other_kind(row: DiaryRow, meant: str | None, session: JudgedRecording) -> Code | None:
    """A session that the coach decided to be of another kind than what the plan says it was for."""
    if (
        not session.decided
        or session.kind not in KINDS
        or session.kind == "other"
        or not (row.target or row.planned)
    ):
        return None
    was = _kind_as(session.kind)
    planned = _grouped(meant)
    if planned is None or planned == _grouped(was):
        return None
    return code("another kind than planned", planned=meant or "", done=session.kind)


def _kind_as(kind: str) -> str | None:
    return meant_as(_Kind(kind=kind))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kind:
    """A kind alone."""

    kind: str
    target: str | None = None
    planned: str | None = None


def _grouped(meant: str | None) -> str | None:
    """Easy, hard, test or race; None where that is not said."""
    if meant in EASY_KINDS:
        return "easy"
    if meant in ("test", "race"):
        return meant
    return "hard" if archetype(meant).is_hard else None


def _domain(session: JudgedRecording, meant: str | None, athlete: Athlete) -> Code | None:
    """Whether an easy day was surely harder than meant, or a hard one had no hard minutes."""
    if meant in EASY_KINDS:
        easy = None if athlete.by_effort_on(session.on) else easy_time([session], athlete)
        if easy is not None and easy.share.verdict == "not easy":
            return code("harder than meant")
        return _felt(session, meant)
    domains = session.domains
    is_hard = meant in ("threshold", "short hard", "intervals")
    if is_hard and domains is not None and not athlete.by_effort_on(session.on):
        above_min = (domains.total_s - domains.below_s) / 60
        if domains.total_s > 0 and above_min < LEAST_ABOVE_MIN:
            return code("easier than meant")
    return None


def _felt(told: JudgedRecording | DiaryRow, meant: str | None) -> Code | None:
    """An easy day that felt hard."""
    if meant in EASY_KINDS and ((told.rpe is not None and told.rpe >= HARD_RPE) or told.talk == "not"):
        return code("harder than meant")
    return None


def _length(row: DiaryRow, minutes: float) -> Code | None:
    """A length that differs from what was planned."""
    planned = row.planned_min
    if planned is None or abs(minutes - planned) <= max(AS_LONG_MIN, AS_LONG_FRAC * planned):
        return None
    name = "longer than planned" if minutes > planned else "shorter than planned"
    return code(name, planned_min=planned, done_min=minutes)


def _says(days: Sequence[PlanCheck]) -> Code | None:
    """The week in one code: how many as planned, and on which days what differed, the first difference of each."""
    planned = [d for d in days if d.row is not None and d.row.is_planned and meant_as(d.row) != "rest"]
    if not planned:
        return None
    odd = [d for d in days if d.differences]
    added = [d.on for d in days if d.row is None or not d.row.is_planned]
    return code(
        "week as planned",
        n_as_planned=sum(not d.differences for d in planned),
        n_planned=len(planned),
        odd=tuple(f"{d.on.isoformat()} {d.differences[0].name}" for d in odd),
        added=tuple(on.isoformat() for on in added),
    )
