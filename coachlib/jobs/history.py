"""From a roster's folder to results: one athlete's week and season, or everybody's Monday."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from urllib.parse import quote

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.first_threshold.series import Series
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.call_sheet import CallEntry, CallSheet, Unread, call_entry, in_order_of_need
from coachlib.analysis.season.reading import SessionReading
from coachlib.analysis.season.readings import readings_of_season
from coachlib.analysis.season.season import N_WEEKS, Season, analyse_season
from coachlib.analysis.week.calendar import first_day, week_of
from coachlib.analysis.week.week import Unreadable, WeekResult, analyse_week
from coachlib.errors import CoachError, RosterProblem
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder, open_roster
from coachlib.files.state import state_of_program
from coachlib.files.store.kept import key_of
from coachlib.files.store.kept_entries import KeptEntries
from coachlib.jobs.field_tests.drift_tests import read_drift_tests, series_of_tests
from coachlib.jobs.fingerprint import fingerprint
from coachlib.jobs.recordings import Recordings
from coachlib.records.athlete import Athlete
from coachlib.records.diary import DiaryRow
from coachlib.records.roster import RosterSettings
from coachlib.records.sports import sport_family
from coachlib.report.words import wording

#: The workbook that shows an athlete's week.
_LETTER = "weekly_report"


@dataclass(frozen=True, kw_only=True)
class History:
    """Everything readable of one athlete's season; ``written`` is the diary from its first row on.

    ``coming`` are the rows of the week after the last one; ``as_of`` is today where the last week is not over.
    """

    athlete: Athlete
    sessions: tuple[JudgedRecording, ...]
    readings: tuple[SessionReading, ...]
    tests: tuple[SeriesTest, ...]
    diary: tuple[DiaryRow, ...]
    unmatched: tuple[DiaryRow, ...]
    written: tuple[DiaryRow, ...]
    unreadable: tuple[Unreadable, ...]
    diary_problems: tuple[str, ...]
    coming: tuple[DiaryRow, ...] = ()
    as_of: date | None = None


def read_athlete_week(
    roster: str | Path | None, athlete: str | None = None, week: str | None = None
) -> AthleteWeek:
    """Read one athlete's week and the season that leads to it; from here on the athlete's units are spoken in.

    Parameters
    ----------
    roster : path or None
        The roster's folder; None takes the one the environment names.
    athlete : str or None
        Folder name or person's name; None takes the first of the roster.
    week : str or None
        ISO name such as "2026-W41"; None takes the roster's latest that is over and holds a recording.

    Raises
    ------
    RosterProblem
        When roster, athlete or week cannot be found or read.
    """
    folder = open_roster(roster)
    slugs = _slugs(folder)
    own, week = folder.athlete(athlete or slugs[0]), week or latest_week(folder)
    found, _ = _read_and_kept(folder, own, week, key=_entry_key(folder, own, week))
    wording.speak(found.week.athlete.units)
    return found


@dataclass(frozen=True, kw_only=True)
class RosterMonday:
    """The roster's call sheet for one week, with the settings it was made by, and where its page may link to."""

    week: str
    settings: RosterSettings
    sheet: CallSheet
    links: dict[tuple[str, str], str]


def read_call_sheet(roster: str | Path | None, week: str | None = None) -> RosterMonday:
    """Read everybody's week and season and order them by need.

    An athlete whose folder cannot be read stands on the sheet with the reason, and stops nobody else.

    Parameters
    ----------
    roster : path or None
        The roster's folder; None takes the one the environment names.
    week : str or None
        ISO name such as "2026-W41"; None takes the roster's latest that is over and holds a recording.

    Raises
    ------
    RosterProblem
        When the roster or its settings cannot be read, or nobody is on it.
    """
    folder = open_roster(roster)
    slugs = _slugs(folder)
    week = week or latest_week(folder)
    wording.speak("metric")  # whatever athlete's letter was made before in the same process
    read, unread = [], []
    for slug in slugs:
        try:
            read.append(entry_of_athlete(folder, folder.athlete(slug), week))
        except CoachError as problem:
            unread.append(Unread(slug=slug, sentence=str(problem)))
    sheet = in_order_of_need(read, folder.settings.call_sheet, unread=unread)
    return RosterMonday(
        week=week, settings=folder.settings, sheet=sheet, links=links_of_sheet(folder, slugs, week)
    )


def entry_of_athlete(folder: RosterFolder, own: AthleteFolder, week: str) -> CallEntry:
    """One athlete's place on the call sheet of a week, kept from the letter where it was made from the same.

    Raises
    ------
    CoachError
        When the athlete's folder cannot be read.
    """
    key = _entry_key(folder, own, week)
    kept = None if key is None else _kept_entries(folder, own).get(week, key)
    return kept or _read_and_kept(folder, own, week, key=key)[1]


def _read_and_kept(
    folder: RosterFolder, own: AthleteFolder, week: str, *, key: str | None
) -> tuple[AthleteWeek, CallEntry]:
    """One athlete's week, and the entry on the call sheet that it gives, which is kept."""
    found = week_of_athlete(folder, own, week)
    entry = call_entry(found, folder.settings.call_sheet)
    if key is not None:
        _kept_entries(folder, own).keep(week, key, entry)
    return found, entry


def _kept_entries(folder: RosterFolder, own: AthleteFolder) -> KeptEntries:
    return KeptEntries(folder.store.folder / "entries" / own.slug)


def _entry_key(folder: RosterFolder, own: AthleteFolder, week: str) -> str | None:
    """A key of everything that an athlete's week is made from, made before it is read; None where that cannot be."""
    try:
        return key_of((fingerprint(folder, [own], _LETTER, week), state_of_program()))
    except CoachError:
        return None


def links_of_sheet(folder: RosterFolder, slugs: Iterable[str], week: str) -> dict[tuple[str, str], str]:
    """What the call sheet's page can lead to, by athlete's folder and place: only what is there.

    Addresses are relative to the roster's reports, with every odd letter of a folder's name written as a number.
    """
    found = {}
    for slug in slugs:
        own = folder.path / slug
        places = {
            "weekly letter": own / "reports" / f"{week}.html",
            "diary": own / "diary.csv",
            "plan": own / "diary.csv",
            "recordings": own / "recordings",
            "athlete.toml": own / "athlete.toml",
            "roster folder": own,
        }
        for place, path in places.items():
            if path.exists():
                found[slug, place] = "../" + quote(path.relative_to(folder.path).as_posix())
    return found


def week_of_athlete(folder: RosterFolder, own: AthleteFolder, week: str) -> AthleteWeek:
    """One athlete's week and season, from open folders."""
    history = read_history(folder, own, week)
    result = analyse_week(
        week,
        history.sessions,
        history.athlete,
        settings=folder.settings,
        diary=history.unmatched,
        note=own.note(week).words,
        unreadable=history.unreadable,
        diary_problems=history.diary_problems,
        as_of=history.as_of,
    )
    series = _series(history, result, folder.settings)
    return AthleteWeek(
        week=result,
        season=_season(history, folder, week),
        last_recording_on=max((s.on for s in history.sessions), default=None),
        diary=history.written,
        history=tuple(s for s in history.sessions if s.on < result.stop_on),
        next_test=None if series is None else series.next_test,
        next_not_before=None if series is None else series.next_not_before,
        coming=history.coming,
    )


def _series(history: History, week: WeekResult, settings: RosterSettings) -> Series | None:
    """The series of tests, where the week's first threshold is of its sport or not known."""
    first = next((t.threshold for t in week.thresholds if t.threshold.which == "first"), None)
    series = series_of_tests(history.tests, history.athlete, criterion_pct=settings.criterion_pct)
    if series is None:
        return None
    fits = first is None or first.sport is None or sport_family(first.sport) == series.sport
    return series if fits else None


def _slugs(folder: RosterFolder) -> tuple[str, ...]:
    """The athletes' folder names; a roster without any is refused."""
    slugs = folder.athletes()
    if not slugs:
        raise RosterProblem(f"{folder.path} has no athletes; each is a sub-folder with athlete.toml in it")
    return slugs


def _season(history: History, folder: RosterFolder, week: str) -> Season:
    return analyse_season(
        week,
        history.sessions,
        history.readings,
        history.athlete,
        settings=folder.settings,
        diary=history.diary,
        unrecorded=history.unmatched,
    )


def read_history(
    folder: RosterFolder, own: AthleteFolder, last_week: str, *, n_weeks: int = N_WEEKS
) -> History:
    """Judge an athlete's recordings of the weeks up to and with ``last_week``."""
    recordings = Recordings(folder=folder, own=own)
    athlete = recordings.athlete
    stop = first_day(last_week, starts=folder.settings.week_starts) + timedelta(days=7)
    start = stop - timedelta(weeks=n_weeks)
    # a season is compared with weeks that may lie far back, so that everything before is judged too
    judged = list(recordings.judged_until(stop))
    tests = [t for t in read_drift_tests(folder, own, recordings=recordings).tests if t.on < stop]
    unreadable = {u.recording: u for u in recordings.unreadable.values()}
    return History(
        athlete=athlete,
        sessions=tuple(sorted((s for s in judged if s.on >= start), key=lambda s: s.started_at)),
        readings=readings_of_season(judged, athlete, tests, climate=folder.settings.climate),
        tests=tuple(tests),
        diary=tuple(row for row in recordings.diary.rows if start <= row.on < stop),
        written=tuple(row for row in recordings.diary.rows if row.on < stop),
        unmatched=tuple(row for row in recordings.matched.unmatched if start <= row.on < stop),
        unreadable=tuple(unreadable.values()),
        diary_problems=recordings.diary.problems,
        coming=tuple(row for row in recordings.diary.rows if stop <= row.on < stop + timedelta(days=7)),
        as_of=None if recordings.day >= stop else recordings.day,
    )


def latest_week(folder: RosterFolder, *, today: date | None = None) -> str:
    """The roster's latest week that is over and holds a recording; the present one where there is no other.

    A recording whose date cannot be moves nobody's week.

    Parameters
    ----------
    folder : RosterFolder
        The roster.
    today : date, optional
        The day on which this is asked; by default as the computer's clock says.

    Raises
    ------
    RosterProblem
        When there is no readable recording with a date that can be.
    """
    today = today or date.today()
    starts = folder.settings.week_starts
    days: set[date] = set()
    for slug in folder.athletes():
        try:
            days |= Recordings(folder=folder, own=folder.athlete(slug), today=today).days
        except CoachError:
            continue
    if not days:
        raise RosterProblem(
            f"{folder.path} has no readable recording yet; file some away with `coachlib add ROSTER FILES`"
        )
    present = first_day(week_of(today, starts=starts), starts=starts)
    return week_of(max((on for on in days if on < present), default=max(days)), starts=starts)
