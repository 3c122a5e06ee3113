"""What is wrong with the weeks a coach wants seasons to be compared with, in words."""

from collections import Counter
from datetime import date, timedelta

from coachlib.analysis.roster.findings import Finding, Severity
from coachlib.analysis.season.reference import MOVED
from coachlib.analysis.season.season import N_WEEKS
from coachlib.measures.season.trend import N_REFERENCE_WEEKS
from coachlib.records.athlete import Athlete, Reference


def check_references(athlete: Athlete, *, latest_on: date | None) -> tuple[Finding, ...]:
    """Reference weeks written twice, out of reach, not reached yet, or without a reading left in them.

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
    >>> check_references(mira, latest_on=date(2026, 11, 22))[0].sentence
    'the [[reference]] from 2026-12-07 lies after the latest recording, so nothing is compared with it yet'
    """
    twice = Counter((r.start_on, r.because) for r in athlete.references)
    found = [
        _finding(
            athlete,
            "problem",
            f'two [[reference]] from {start_on} are both "{because}"',
            "keep the one that holds and remove the other",
        )
        for (start_on, because), n in twice.items()
        if n > 1
    ]
    for reference in athlete.references:
        if latest_on is not None and reference.start_on > latest_on:
            found.append(
                _finding(
                    athlete,
                    "advice",
                    f"the [[reference]] from {reference.start_on} lies after the latest recording, so nothing is "
                    "compared with it yet",
                    "correct the day, or leave it until the first recording",
                )
            )
        if reference.because == MOVED:
            found += _moved(athlete, reference, latest_on)
    return tuple(found)


def _moved(athlete: Athlete, reference: Reference, latest_on: date | None) -> list[Finding]:
    """Reference weeks the coach set that cannot be compared with."""
    length = timedelta(weeks=N_REFERENCE_WEEKS)
    stop_on = reference.stop_on or reference.start_on + length - timedelta(days=1)
    found = []
    if latest_on is not None and stop_on < latest_on - timedelta(weeks=N_WEEKS):
        found.append(
            _finding(
                athlete,
                "advice",
                f"the [[reference]] from {reference.start_on} ended more than {N_WEEKS} weeks before the latest "
                "recording, which is as far as a season looks back; the season's first weeks are taken",
                "set later weeks, or remove it",
            )
        )
    days = [reference.start_on + timedelta(days=d) for d in range((stop_on - reference.start_on).days + 1)]
    kinds = {block.kind for block in map(athlete.block_on, days) if block is not None}
    if all(athlete.block_on(day) for day in days):
        found.append(
            _finding(
                athlete,
                "problem",
                f"every day of the [[reference]] from {reference.start_on} lies in a [[block]] "
                f"({', '.join(sorted(kinds))}), so no reading is left to compare with",
                "set weeks in which training was usual",
            )
        )
    return found


def _finding(athlete: Athlete, severity: Severity, sentence: str, way_out: str) -> Finding:
    return Finding(
        athlete=athlete.slug, file="athlete.toml", severity=severity, sentence=sentence, way_out=way_out
    )
