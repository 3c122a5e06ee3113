"""What an address names, held against the roster: refused in words where there is no such thing."""

from datetime import date

from coachlib.analysis.week.calendar import first_day, week_of
from coachlib.errors import CoachError, RosterProblem
from coachlib.files.roster.folder import RosterFolder


def checked(roster: RosterFolder, subject: dict[str, str]) -> dict[str, str]:
    """The same subject, the athlete by folder name.

    Parameters
    ----------
    roster : RosterFolder
        The roster of the desk.
    subject : dict
        What `coachlib.report.page.places.subject_of` read.

    Raises
    ------
    RosterProblem
        When the roster has no such athlete, or the athlete no such recording.
    """
    found = dict(subject)
    if "athlete" in found:
        found["athlete"] = roster.athlete(found["athlete"]).slug
    if "recording" in found:
        if "athlete" not in found:
            raise RosterProblem(
                "the address names a recording but no athlete. Go back, or choose on the recording page."
            )
        names = {path.stem for path in roster.athlete(found["athlete"]).recordings()}
        if found["recording"] not in names:
            raise RosterProblem(
                f"{found['athlete']} has no recording “{found['recording']}”; it may have been renamed or removed. "
                "Go back, or choose on the recording page."
            )
    return found


def newest_week(roster: RosterFolder, today: date) -> str | None:
    """The last complete week with recordings, by their names' dates; None where no name has one.

    Parameters
    ----------
    roster : RosterFolder
        The roster of the desk.
    today : date
        The local day.

    Notes
    -----
    Names are read in no time, and a recording dated in the future moves nothing.
    """
    starts = roster.settings.week_starts
    this_week = first_day(week_of(today, starts=starts), starts=starts)
    days = [day for slug in roster.athletes() for day in _days(roster, slug) if day < this_week]
    if not days:
        return None
    return week_of(max(days), starts=starts)


def _days(roster: RosterFolder, slug: str) -> list[date]:
    """Days that the names of an athlete's recordings begin with."""
    try:
        recordings = roster.athlete(slug).recordings()
    except CoachError:
        return []
    found = []
    for path in recordings:
        try:
            day = date.fromisoformat(path.name[:10])
        except ValueError:
            continue
        found.append(day)
    return found
