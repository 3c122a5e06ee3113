"""The thresholds of one kind that stand in an athlete's file, one of them to withdraw."""

from datetime import date

from coachlib.errors import RosterProblem
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.withdrawn import pages_showing
from coachlib.records.athlete import Athlete, Which
from coachlib.report.words import wording

#: A standing threshold: its day, and its sport or None for all that have none of their own.
Standing = tuple[date, str | None]


def standing_options(athlete: Athlete, which: Which) -> list[tuple[str, Standing]]:
    """Standing thresholds as a list shows them, the newest first: words, and day with sport."""
    standing = [t for t in athlete.thresholds if t.which == which and not t.withdrawn]
    return [
        (
            f"{wording.full_date(t.on)}{f', {t.sport}' if t.sport else ''}: {wording.threshold(t)}",
            (t.on, t.sport),
        )
        for t in sorted(standing, key=lambda t: t.on, reverse=True)
    ]


def withdraw_chosen(roster: RosterFolder, own: AthleteFolder, which: Which, chosen: Standing | None) -> str:
    """Withdraw a threshold; it stays in the file for the record.

    Returns
    -------
    str
        What was done, and which pages still show it.

    Raises
    ------
    RosterProblem
        When none is chosen.
    """
    if chosen is None:
        raise RosterProblem(f"no {which} threshold is accepted, so there is none to withdraw.")
    on, sport = chosen
    own.withdraw_threshold(which, on, sport=sport or "")
    [gone, *_] = [
        t
        for t in own.athlete().thresholds
        if (t.which, t.on, t.sport, t.withdrawn) == (which, on, sport or None, True)
    ]
    pages = pages_showing(roster, own, gone)
    shown = (
        f" {wording.listed(list(pages))} still {'shows' if len(pages) == 1 else 'show'} it; make anew what still matters."
        if pages
        else ""
    )
    return f"Withdrawn: the {which} threshold of {wording.full_date(on)}. It stays in the file for the record.{shown}"
