"""The thresholds of one kind that stand in an athlete's file, one of them to withdraw."""

from datetime import date

from coachlib.errors import RosterProblem
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.records.athlete import Athlete, Which
from coachlib.report.words import wording


def standing_options(athlete: Athlete, which: Which) -> list[tuple[str, date]]:
    """Standing thresholds as a list shows them, the newest first: words and day."""
    standing = [t for t in athlete.thresholds if t.which == which and not t.withdrawn]
    return [
        (f"{wording.full_date(t.on)}: {wording.threshold(t)}", t.on)
        for t in sorted(standing, key=lambda t: t.on, reverse=True)
    ]


def withdraw_chosen(own: AthleteFolder, which: Which, on: date | None) -> str:
    """Withdraw the threshold of a day; it stays in the file for the record.

    Returns
    -------
    str
        What was done, in a sentence.

    Raises
    ------
    RosterProblem
        When none is chosen.
    """
    if on is None:
        raise RosterProblem(f"no {which} threshold is accepted, so there is none to withdraw.")
    own.withdraw_threshold(which, on)
    return (
        f"Withdrawn: the {which} threshold of {wording.full_date(on)}. It stays in the file for the record."
    )
