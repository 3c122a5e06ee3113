"""Two of an athlete's steady tests, read with their recordings and published as a page."""

from pathlib import Path

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.first_threshold.two_tests import two_tests
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.errors import RosterProblem
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.field_tests.drift_tests import read_drift_tests
from coachlib.jobs.publishing import Page, publish
from coachlib.jobs.recordings import Recordings
from coachlib.records.sports import sport_family
from coachlib.report.two_tests.page import Shown, blocks
from coachlib.report.words import wording


def name_of(test: SeriesTest) -> str:
    """What a test is called where one is chosen: its recording, or its day where it was typed in."""
    return test.source if test.sha256 else f"typed in, {test.on.isoformat()}"


def read_pair(
    folder: RosterFolder, own: AthleteFolder, one: str | None = None, other: str | None = None
) -> Shown:
    """Two tests of an athlete.

    Parameters
    ----------
    folder, own : RosterFolder, AthleteFolder
        Whose.
    one, other : str, optional
        As ``name_of`` calls them; where one is not named it is the newest test of the same sport that is not the other.

    Raises
    ------
    RosterProblem
        When there is no such test, or fewer than two of one sport.
    BadArgument
        When both are the same, or of different sports.
    """
    recordings = Recordings(folder=folder, own=own)
    tests = list(read_drift_tests(folder, own, recordings=recordings).tests)
    first = _named(tests, one, own) if one else None
    second = _named(tests, other, own) if other else None
    if first is None or second is None:
        first, second = _completed(tests, first or second, own)
    found = two_tests(first, second, recordings.athlete)
    return Shown(
        athlete=recordings.athlete.name,
        found=found,
        earlier=_judged(recordings, found.earlier),
        later=_judged(recordings, found.later),
    )


def save_pair(folder: RosterFolder, own: AthleteFolder, shown: Shown) -> Path:
    """Publish two tests side by side into the athlete's reports.

    Raises
    ------
    ReportProblem
        When the page holds what no page for an athlete may hold.
    """
    days = [t.on.isoformat() for t in (shown.found.earlier, shown.found.later)]
    with wording.spoken_in(own.athlete().units):
        page = Page(
            name=f"tests_{days[0]}_and_{days[1]}",
            title=f"{shown.athlete}, tests of {days[0]} and {days[1]}",
            blocks=blocks(shown),
        )
    return publish(page, own, folder)


def _named(tests: list[SeriesTest], name: str, own: AthleteFolder) -> SeriesTest:
    found = next((t for t in tests if name_of(t) == name.removesuffix(".fit")), None)
    if found is None:
        known = wording.listed([name_of(t) for t in tests]) or "none"
        raise RosterProblem(f"{own.slug} has no steady test “{name}”; there are: {known}")
    return found


def _completed(
    tests: list[SeriesTest], chosen: SeriesTest | None, own: AthleteFolder
) -> tuple[SeriesTest, SeriesTest]:
    """The chosen test and the newest other one of its sport; else the two newest of the sport tested last."""
    newest = sorted(tests, key=lambda t: t.on, reverse=True)
    begin = [chosen] if chosen is not None else newest
    for one in begin:
        for other in newest:
            if other is not one and sport_family(other.sport) == sport_family(one.sport):
                return one, other
    raise RosterProblem(
        f"{own.slug} has {wording.count(len(tests), 'steady test')}; two of one sport are needed to be put side by side. "
        "Decide on a second one, or type one in."
    )


def _judged(recordings: Recordings, test: SeriesTest) -> JudgedRecording | None:
    """The recording behind a test; None for a typed one."""
    if not test.sha256:
        return None
    for each in recordings.open(test.on, None):
        if each.sha256 == test.sha256 and each.decisions is not None and each.decisions.kind == "drift test":
            return recordings.judged(each)
    return None
