"""What is wrong with the weeks a coach wants seasons to be compared with."""

from collections import Counter
from datetime import date, timedelta

from coachlib.analysis.roster.check_finding import CheckFinding, Weight
from coachlib.analysis.season.reference import MOVED
from coachlib.measures.common.codes import Code, code
from coachlib.measures.season.trend import N_REFERENCE_WEEKS
from coachlib.records.athlete import Athlete, Reference


def check_references(athlete: Athlete, *, latest_on: date | None) -> tuple[CheckFinding, ...]:
    """Reference weeks written twice, not reached yet, or without a reading left in them.

    Parameters
    ----------
    athlete : Athlete
        Whose profile.
    latest_on : date or None
        Day of the latest recording.

    Examples
    --------
    >>> later = Reference(start_on=date(2026, 12, 7))
    >>> mira = Athlete(slug="mira", name="Mira", references=(later,))
    >>> check_references(mira, latest_on=date(2026, 11, 22))[0].code.name
    'reference weeks ahead'
    """
    twice = Counter((r.start_on, r.because, r.sport, r.where, r.output) for r in athlete.references)
    found = [
        _finding(athlete, "problem", code("reference weeks twice", start_on=start_on, because=because))
        for (start_on, because, *_), n in twice.items()
        if n > 1
    ]
    for reference in athlete.references:
        if latest_on is not None and reference.start_on > latest_on:
            found.append(
                _finding(athlete, "advice", code("reference weeks ahead", start_on=reference.start_on))
            )
        if reference.because == MOVED:
            found += _moved(athlete, reference)
    return tuple(found)


def _moved(athlete: Athlete, reference: Reference) -> list[CheckFinding]:
    """Reference weeks the coach set that cannot be compared with."""
    length = timedelta(weeks=N_REFERENCE_WEEKS)
    stop_on = reference.stop_on or reference.start_on + length - timedelta(days=1)
    found = []
    days = [reference.start_on + timedelta(days=d) for d in range((stop_on - reference.start_on).days + 1)]
    blocks = [athlete.block_on(day) for day in days]
    kinds = tuple(sorted({block.kind for block in blocks if block is not None}))
    if all(blocks):
        apart = code("reference weeks apart", start_on=reference.start_on, kinds=kinds)
        found.append(_finding(athlete, "problem", apart))
    return found


def _finding(athlete: Athlete, severity: Weight, found: Code) -> CheckFinding:
    return CheckFinding(athlete=athlete.slug, file="athlete.toml", severity=severity, code=found)
