"""What is wrong between a diary and the recordings, in words."""

from coachlib.analysis.recording.diary import Matched
from coachlib.analysis.roster.findings import Finding, Severity
from coachlib.records.decisions import KINDS
from coachlib.records.diary import DiaryRow


def check_diary(slug: str, matched: Matched, *, has_diary: bool) -> tuple[Finding, ...]:
    """Diary rows without a recording, recordings without a row, kinds of session nobody knows.

    Examples
    --------
    >>> alone = Matched(rows={}, unmatched=(), rowless=("2026-10-05_running",))
    >>> check_diary("mira", alone, has_diary=True)[0].sentence
    'no row belongs to the recording 2026-10-05_running'
    """
    if not has_diary:
        return (
            _of_diary(
                slug,
                "advice",
                "there is no diary, so effort, talk test and remarks are missing from the letters",
                "start one with a line of columns such as date,start,rpe,talk,health,remarks",
            ),
        )
    found = [finding for row in matched.unmatched for finding in _alone(slug, row)]
    found += [
        _of_diary(
            slug,
            "advice",
            f"no row belongs to the recording {recording}",
            "add a row for its day; with several sessions on a day, also the start",
        )
        for recording in matched.rowless
    ]
    found += [
        _of_diary(
            slug,
            "advice",
            f'the kind of session on {row.on} is "{row.kind}"',
            f"known kinds are {', '.join(KINDS)}",
        )
        for row in (*matched.rows.values(), *matched.unmatched)
        if row.kind is not None and row.kind not in KINDS
    ]
    return tuple(found)


def _alone(slug: str, row: DiaryRow) -> list[Finding]:
    """A row without a recording; a day of rest needs none."""
    if row.recording is not None:
        return [
            _of_diary(
                slug,
                "problem",
                f'the row of {row.on} names the recording "{row.recording}", which is not there '
                "or belongs to another row",
                "correct the name, or add the recording",
            )
        ]
    if row.rpe is None and row.talk is None and row.start is None:
        return []
    return [
        _of_diary(
            slug,
            "advice",
            f"no recording belongs to the row of {row.on}" + (f", {row.start:%H:%M}" if row.start else ""),
            "add the recording, or correct the date and start; a session without one stays a row",
        )
    ]


def _of_diary(slug: str, severity: Severity, sentence: str, way_out: str) -> Finding:
    return Finding(athlete=slug, file="diary.csv", severity=severity, sentence=sentence, way_out=way_out)
