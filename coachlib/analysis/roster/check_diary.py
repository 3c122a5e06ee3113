"""What is wrong between a diary and the recordings."""

from coachlib.analysis.recording.diary import Matched
from coachlib.analysis.roster.check_finding import CheckFinding, Weight
from coachlib.measures.common.codes import Code, code
from coachlib.records.decisions import KINDS
from coachlib.records.diary import DiaryRow


def check_diary(slug: str, matched: Matched, *, has_diary: bool) -> tuple[CheckFinding, ...]:
    """Diary rows without a recording, recordings without a row, kinds of session nobody knows.

    Examples
    --------
    >>> alone = Matched(rows={}, unmatched=(), rowless=("2026-10-05_running",))
    >>> check_diary("mira", alone, has_diary=True)[0].code["latest"]
    '2026-10-05_running'
    """
    if not has_diary:
        return (_of_diary(slug, "advice", code("no diary")),)
    found = [finding for row in matched.unmatched for finding in _alone(slug, row)]
    if matched.rowless:
        n = len(matched.rowless)
        without = code(
            "recordings without a row",
            n=n,
            latest=max(matched.rowless),
            has_rows=bool(matched.rows or matched.unmatched),
        )
        found.append(_of_diary(slug, "advice", without))
    found += [
        _of_diary(slug, "advice", code("kind of session not known", on=row.on, kind=row.kind, known=KINDS))
        for row in (*matched.rows.values(), *matched.unmatched)
        if row.kind is not None and row.kind not in KINDS
    ]
    return tuple(found)


def _alone(slug: str, row: DiaryRow) -> list[CheckFinding]:
    """A row without a recording; a day of rest needs none, nor a plan, nor what was done without one."""
    if row.recording is not None:
        named = code("row names a recording that is not there", on=row.on, recording=row.recording)
        return [_of_diary(slug, "problem", named)]
    is_only_planned = not row.was_done and (row.is_planned or row.start is None)
    if is_only_planned or row.done_min:
        return []
    start = f"{row.start:%H:%M}" if row.start else ""
    return [_of_diary(slug, "advice", code("row without a recording", on=row.on, start=start))]


def _of_diary(slug: str, severity: Weight, found: Code) -> CheckFinding:
    return CheckFinding(athlete=slug, file="diary.csv", severity=severity, code=found)
