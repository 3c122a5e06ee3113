"""From a roster's folder to results: one athlete's week and season, or everybody's Monday."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from urllib.parse import quote

from coachlib.analysis.recording.diary import match
from coachlib.analysis.recording.session import SessionResult, analyse_session
from coachlib.analysis.roster.call_sheet import CallSheet, Unread, call_sheet
from coachlib.analysis.roster.reasons import AthleteWeek
from coachlib.analysis.season.from_activity import season_session
from coachlib.analysis.season.reading import SessionReading
from coachlib.analysis.season.readings import readings_of_season
from coachlib.analysis.season.season import N_WEEKS, Season, analyse_season
from coachlib.analysis.week.calendar import first_day, week_of
from coachlib.analysis.week.week import Unreadable, analyse_week
from coachlib.errors import CoachError, RosterProblem
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder, open_roster
from coachlib.jobs.field_tests.drift_tests import read_drift_tests
from coachlib.records.activity import Activity
from coachlib.records.athlete import Athlete
from coachlib.records.decisions import Decisions
from coachlib.records.diary import DiaryRow
from coachlib.records.roster import RosterSettings


@dataclass(frozen=True, kw_only=True)
class History:
    """Everything readable of one athlete's season."""

    athlete: Athlete
    sessions: tuple[SessionResult, ...]
    readings: tuple[SessionReading, ...]
    diary: tuple[DiaryRow, ...]
    unmatched: tuple[DiaryRow, ...]
    unreadable: tuple[Unreadable, ...]
    diary_problems: tuple[str, ...]


def read_athlete_week(
    roster: str | Path | None, athlete: str | None = None, week: str | None = None
) -> AthleteWeek:
    """Read one athlete's week and the season that leads to it.

    Parameters
    ----------
    roster : path or None
        The roster's folder; None takes the one the environment names.
    athlete : str or None
        Folder name or person's name; None takes the first of the roster.
    week : str or None
        ISO name such as "2026-W41"; None takes the week of the roster's last recording.

    Raises
    ------
    RosterProblem
        When roster, athlete or week cannot be found or read.
    """
    folder = open_roster(roster)
    slugs = _slugs(folder)
    return week_of_athlete(folder, folder.athlete(athlete or slugs[0]), week or latest_week(folder))


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
        ISO name such as "2026-W41"; None takes the week of the roster's last recording.

    Raises
    ------
    RosterProblem
        When the roster or its settings cannot be read, or nobody is on it.
    """
    folder = open_roster(roster)
    slugs = _slugs(folder)
    week = week or latest_week(folder)
    read, unread = [], []
    for slug in slugs:
        try:
            read.append(week_of_athlete(folder, folder.athlete(slug), week))
        except CoachError as problem:
            unread.append(Unread(slug=slug, sentence=str(problem)))
    sheet = call_sheet(read, folder.settings.call_sheet, unread=unread)
    return RosterMonday(
        week=week, settings=folder.settings, sheet=sheet, links=links_of_sheet(folder, slugs, week)
    )


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
        note=own.note(week),
        unreadable=history.unreadable,
        diary_problems=history.diary_problems,
    )
    return AthleteWeek(
        week=result,
        season=_season(history, folder, week),
        last_recording_on=max((s.on for s in history.sessions), default=None),
    )


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
    )


def read_history(
    folder: RosterFolder, own: AthleteFolder, last_week: str, *, n_weeks: int = N_WEEKS
) -> History:
    """Analyse an athlete's recordings of the weeks up to and with ``last_week``."""
    athlete = own.athlete()
    stop = first_day(last_week, starts=folder.settings.week_starts) + timedelta(days=7)
    start = stop - timedelta(weeks=n_weeks)
    zone = athlete.time_zone or folder.settings.time_zone
    # a season is compared with weeks that may lie far back, so that everything before is read too
    loaded, unreadable = _recordings(folder, own, zone, date.min, stop)
    diary = own.read_diary()
    matched = match(diary.rows, [(name, a.local_start(zone)) for name, a, _ in loaded])
    everything = [
        (analyse_session(name, a, d, athlete, matched.rows.get(name), time_zone=zone), a, d) for name, a, d in loaded
    ]
    recorded = [
        season_session(s, a, d, equipment=_equipment(matched.rows.get(s.recording))) for s, a, d in everything
    ]
    sessions = tuple(s for s, _, _ in everything if start <= s.on)
    tests = [t for t in read_drift_tests(folder, own).tests if t.on < stop]
    return History(
        athlete=athlete,
        sessions=tuple(sorted(sessions, key=lambda s: s.started_at)),
        readings=readings_of_season(
            recorded, athlete, tests, climate=getattr(folder.settings, "climate", None)
        ),
        diary=tuple(row for row in diary.rows if start <= row.on < stop),
        unmatched=tuple(row for row in matched.unmatched if start <= row.on < stop),
        unreadable=unreadable,
        diary_problems=diary.problems,
    )


def _equipment(row: DiaryRow | None) -> str:
    """What the diary says about a session's equipment."""
    return (row.equipment or "") if row is not None else ""


def _recordings(
    folder: RosterFolder, own: AthleteFolder, zone: str | None, start: date, stop: date
) -> tuple[list[tuple[str, Activity, Decisions | None]], tuple[Unreadable, ...]]:
    """The recordings of the days with their decisions, and those that cannot be used as they should."""
    loaded, unreadable = [], []
    for path in own.recordings():
        try:
            activity = folder.store.activity(path)
        except CoachError as problem:
            unreadable.append(Unreadable(recording=path.stem, sentence=str(problem)))
            continue
        if not start <= activity.started_on(zone) < stop:
            continue
        decisions = None
        try:
            decisions = own.decisions(path, activity.sha256)
            if decisions is not None and decisions.part not in (None, activity.part):
                activity = folder.store.activity(path, part=decisions.part)
        except CoachError as problem:
            unreadable.append(
                Unreadable(recording=path.stem, sentence=f"taken without its decisions, since {problem}")
            )
        loaded.append((path.stem, activity, decisions))
    return loaded, tuple(unreadable)


def latest_week(folder: RosterFolder) -> str:
    """The week of the roster's last readable recording.

    Raises
    ------
    RosterProblem
        When there is no readable recording at all.
    """
    last = None
    for slug in folder.athletes():
        own = folder.athlete(slug)
        try:
            zone = own.athlete().time_zone or folder.settings.time_zone
        except CoachError:
            zone = folder.settings.time_zone
        for path in own.recordings():
            try:
                day = folder.store.activity(path).started_on(zone)
            except CoachError:
                continue
            last = day if last is None or day > last else last
    if last is None:
        raise RosterProblem(
            f"{folder.path} has no readable recording yet; file some away with "
            "`coachlib add ROSTER ATHLETE FILE.fit`"
        )
    return week_of(last, starts=folder.settings.week_starts)


def names_of_others(folder: RosterFolder, own: AthleteFolder) -> tuple[str, ...]:
    """The names of everybody else on the roster, first names too, which no page for this athlete may hold."""
    mine = own.athlete().name.casefold()
    names: set[str] = set()
    for slug in folder.athletes():
        if slug != own.slug:
            try:
                other = folder.athlete(slug).athlete().name
            except CoachError:
                other = slug
            names |= {other, other.split()[0]}
    return tuple(sorted(n for n in names if n.casefold() not in mine))
