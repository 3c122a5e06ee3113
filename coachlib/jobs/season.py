"""A season review: any range of weeks of one athlete, read and published as a page."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import TextIO

from coachlib.analysis.season.readings import readings_of_season
from coachlib.analysis.season.review import Review, review
from coachlib.analysis.season.season import analyse_season
from coachlib.analysis.week.calendar import first_day, week_of
from coachlib.errors import BadArgument, CoachError, RosterProblem
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder, open_roster
from coachlib.jobs.field_tests.drift_tests import read_drift_tests
from coachlib.jobs.history import latest_week
from coachlib.jobs.publishing import Page, publish
from coachlib.jobs.recordings import Recordings
from coachlib.jobs.terminal import progress, tell
from coachlib.report.season.page import blocks
from coachlib.report.words import wording

#: A review holds so many weeks at least, below which nothing can be told, and at most, beyond which a slip is likelier.
#: Own choice.
LEAST_WEEKS, MOST_WEEKS = 4, 160
#: Where no first week is named: so many weeks, as far as there are recordings.  Own choice: half a year.
USUAL_WEEKS = 26


@dataclass(frozen=True, kw_only=True)
class Reviewed:
    """A review with whose it is, and which weeks."""

    review: Review
    first: str
    last: str
    coach: str


def read_review(
    folder: RosterFolder, own: AthleteFolder, *, first: str | None = None, last: str | None = None
) -> Reviewed:
    """Read a range of weeks.

    Parameters
    ----------
    folder, own : RosterFolder, AthleteFolder
        Whose.
    first, last : str, optional
        ISO names.  Without a last one it is the roster's latest week that is over and holds a recording; without a first
        one the half year before it, as far as there are recordings.

    Raises
    ------
    BadArgument
        When the range is too short, too long, or runs backwards.
    RosterProblem
        When nothing was recorded in it.
    """
    starts = folder.settings.week_starts
    last = last or latest_week(folder)
    stop = first_day(last, starts=starts) + timedelta(days=7)
    recordings = Recordings(folder=folder, own=own)
    judged = sorted(recordings.judged_until(stop), key=lambda s: s.started_at)
    begin = first_day(first, starts=starts) if first else _usual_begin([s.on for s in judged], stop, starts)
    n_weeks = (stop - begin).days // 7
    if n_weeks < 1:
        raise BadArgument(
            f"the last week, {last}, lies before the first, {first}; give the earlier one first"
        )
    if not LEAST_WEEKS <= n_weeks <= MOST_WEEKS:
        raise BadArgument(
            f"{wording.count(n_weeks, 'week')} {'is' if n_weeks == 1 else 'are'} asked for; a review needs "
            f"{LEAST_WEEKS} to {MOST_WEEKS}. Give another first week with --from"
        )
    if not any(s.on >= begin for s in judged):
        raise RosterProblem(f"{own.slug} recorded nothing in these weeks; give others with --from and --to")
    tests = [t for t in read_drift_tests(folder, own, recordings=recordings).tests if t.on < stop]
    season = analyse_season(
        last,
        judged,
        readings_of_season(judged, recordings.athlete, tests, climate=folder.settings.climate),
        recordings.athlete,
        settings=folder.settings,
        diary=[row for row in recordings.diary.rows if row.on < stop],
        n_weeks=n_weeks,
        n_shown=n_weeks,
    )
    found = review(season, judged, recordings.athlete, alone=recordings.matched.unmatched, tests=tests)
    return Reviewed(review=found, first=week_of(begin, starts=starts), last=last, coach=folder.settings.coach)


def _usual_begin(days: Sequence[date], stop: date, starts: str) -> date:
    """The first day of the half year before a day, or of the first week with a recording in it."""
    begin = stop - timedelta(weeks=USUAL_WEEKS)
    within = [day for day in days if day >= begin]
    return first_day(week_of(min(within), starts=starts), starts=starts) if within else begin


def open_review(
    roster: str | Path | None, athlete: str | None = None, first: str | None = None, last: str | None = None
) -> Reviewed:
    """The same by the roster's folder and the athlete's name, for a workbook; the athlete's units are spoken from here on.

    Raises
    ------
    RosterProblem, BadArgument
        As ``read_review``.
    """
    folder = open_roster(roster)
    slugs = folder.athletes()
    if not slugs:
        raise RosterProblem(f"{folder.path} has no athletes; each is a sub-folder with athlete.toml in it")
    found = read_review(folder, folder.athlete(athlete or slugs[0]), first=first, last=last)
    wording.speak(found.review.athlete.units)
    return found


def save_review(folder: RosterFolder, own: AthleteFolder, found: Reviewed) -> Path:
    """Publish a review into the athlete's reports.

    Raises
    ------
    ReportProblem
        When the page holds what no page for an athlete may hold.
    """
    name = found.review.athlete.name
    with wording.spoken_in(found.review.athlete.units):
        page = Page(
            name=f"season_{found.first}_to_{found.last}",
            title=f"{name}, {found.first} to {found.last}",
            blocks=blocks(found.review, coach=found.coach),
        )
    return publish(page, own, folder)


def write_reviews(
    folder: RosterFolder,
    *,
    athletes: Sequence[str] = (),
    first: str | None = None,
    last: str | None = None,
    out: TextIO | None = None,
) -> int:
    """Write the reviews of some athletes, and tell where they lie; who gets none is told with why.

    Returns
    -------
    int
        0, or 1 when somebody got none.

    Raises
    ------
    RosterProblem
        When nobody is on the roster.
    """
    owns = [folder.athlete(name) for name in athletes or folder.athletes()]
    if not owns:
        raise RosterProblem(f"{folder.path} has no athletes, so there is nothing to review")
    failed = False
    with progress("Looking back", len(owns)) as step:
        for own in owns:
            step(own.slug)
            try:
                tell(f"{save_review(folder, own, read_review(folder, own, first=first, last=last))}", to=out)
            except CoachError as problem:
                failed = True
                tell(f"{own.slug} has no review: {problem}", to=out)
    return int(failed)
