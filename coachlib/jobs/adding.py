"""Recordings filed away: checked, named by day and sport, copied whole, never twice."""

import re
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import product
from pathlib import Path

from coachlib.analysis.recording.dating import has_true_date, is_utc_taken, odd_date
from coachlib.analysis.recording.duplicates import Duplicate, duplicate_of
from coachlib.errors import FileProblem, KnownAlready, RosterProblem
from coachlib.files.atomic import write_bytes
from coachlib.files.fit.parts import chosen
from coachlib.files.fit.reading import fit_bytes
from coachlib.files.formats import format_of, is_recording
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.files.store.index import Index
from coachlib.files.store.store import sha256_of
from coachlib.measures.common.codes import Code, code
from coachlib.records.activity import Activity
from coachlib.report.words.sports import NOT_NAMED, sport_in_words

#: What says that a file is not whole, though what is there was read.
NOT_WHOLE = frozenset({"file damaged", "file cut", "header mended", "checksum wrong", "totals differ"})
_ODD_CLOCK = frozenset({"counted from power-on", "local time odd"})
#: Told of each session of a file; of a new file once is enough.
_SEVERAL = "several sessions"


@dataclass(frozen=True, kw_only=True)
class Added:
    """A recording that was filed away: whose it is, where it lies, what it holds, and what is to be told of it."""

    athlete: str
    path: Path
    activity: Activity
    told: tuple[Code, ...] = ()


def add_recording(
    roster: RosterFolder,
    folder: AthleteFolder,
    source: Path,
    *,
    anyway: bool = False,
    index: Index | None = None,
    today: date | None = None,
) -> Added:
    """Copy a FIT file into an athlete's recordings under a dated name; the original stays as it is.

    Parameters
    ----------
    roster, folder
        Whose recording it is.
    source : Path
        The FIT file.
    anyway : bool
        File it also when another recording of the same time is there.  The same file, or the same values,
        are never filed twice.
    index : Index, optional
        What lies there already, where several files are added one after another.
    today : date, optional
        The day by which a recording's date is told odd; without it the computer's.

    Raises
    ------
    FileProblem
        When the file cannot be read as an activity.
    RosterProblem
        When the session is there already.
    """
    today = today or date.today()
    index = index or Index.of(roster.store.folder)
    if not source.is_file():
        found = "is a folder" if source.is_dir() else "is not there"
        raise FileProblem(f"{source} {found}; name the FIT files one by one")
    try:
        folder.recordings_dir.mkdir(exist_ok=True)
    except OSError as error:
        raise RosterProblem(
            f"the folder {folder.recordings_dir} cannot be made: {error.strerror or error}"
        ) from None
    with folder.held(folder.recordings_dir):
        refuse_same_bytes(roster, source, index=index)
        parts = roster.store.parts(source)
        refuse_same_session(roster, folder, source, parts, index=index, anyway=anyway, today=today)
        activity = chosen(parts, None)
        zone = folder.athlete().time_zone or roster.settings.time_zone
        data = fit_bytes(source)
        stem = f"{activity.started_on(zone)}_{_noun(activity)}"
        path = free_name(folder.recordings_dir, stem, ending=format_of(data).ending)
        write_bytes(path, data)
    return Added(athlete=folder.slug, path=path, activity=activity, told=_told(parts, activity, zone, today))


def _told(parts: tuple[Activity, ...], main: Activity, zone: str | None, today: date) -> tuple[Code, ...]:
    """What the coach should know of a new recording at once: not whole, a wrong date, no zone, several sessions."""
    odd = odd_date(main.started_on(zone), today=today)
    found = [odd] if odd is not None else []
    found += dict.fromkeys(c for part in parts for c in part.caveats if c.name in NOT_WHOLE | _ODD_CLOCK)
    found += [c for c in main.caveats if c.name == _SEVERAL]
    return (*found, *([code("utc taken")] if is_utc_taken(main, zone) else []))


def refuse_same_bytes(roster: RosterFolder, source: Path, *, index: Index) -> None:
    """Refuse a file that lies with any athlete already.

    Raises
    ------
    RosterProblem
        Naming the athlete and the recording.
    """
    checksum = sha256_of(source)
    roster = roster.fresh()
    for slug in roster.athletes():
        for entry in index.entries(roster.athlete(slug).recordings_dir):
            if entry.sha256 == checksum:
                raise KnownAlready(f"{source.name} lies with {slug} already, as {entry.path.name}")


def refuse_same_session(
    roster: RosterFolder,
    folder: AthleteFolder,
    source: Path,
    parts: tuple[Activity, ...],
    *,
    index: Index,
    anyway: bool,
    today: date,
) -> None:
    """Refuse a session that an athlete has under other bytes; only what ran at the same time is opened.

    Two that are dated by a clock that was not set did not run at the same time because both say so.
    """
    for entry in index.entries(folder.recordings_dir):
        for known, new in product(entry.parts, parts):
            stopped_at = new.started_at + timedelta(seconds=new.elapsed_s)
            if known.stopped_at < new.started_at or stopped_at < known.started_at:
                continue
            there = roster.store.parts(entry.path, sha256=entry.sha256)
            other = chosen(there, known.number)
            likeness = duplicate_of(other, new)
            if likeness is None:
                continue
            if likeness.sameness in ("same bytes", "same values"):
                raise KnownAlready(
                    f"{source.name} holds the same values as {entry.path.name}, exported again"
                )
            if not anyway and all(has_true_date(each, today=today) for each in (other, new)):
                raise RosterProblem(_refusal(source, entry.path, likeness))


def _refusal(source: Path, path: Path, likeness: Duplicate) -> str:
    """Why a session is not added, and what can be done."""
    shared = f"they share {100 * likeness.overlap_frac:.0f} % of the shorter one's time"
    if likeness.sameness == "two devices":
        return (
            f"{source.name} is probably the session {path.name} on another device: {shared}, and heart rate "
            f"agrees (correlation {likeness.hr_correlation:.3f}). Keep one, or add it with --anyway"
        )
    return (
        f"{source.name} ran at the same time as {path.name}: {shared}. "
        "Is it another person's? If both belong here, add it with --anyway"
    )


def _noun(activity: Activity) -> str:
    """What a recording is called after its date: the machine indoors, else the sport."""
    words = sport_in_words(activity.sport, activity.sub_sport if activity.is_indoor else "")
    return "session" if words == NOT_NAMED else re.sub(r"[^a-z0-9]+", "-", words.lower()).strip("-")


def free_name(folder: Path, stem: str, *, ending: str) -> Path:
    """The name, numbered from 2 where it is taken."""
    taken = {path.stem.casefold() for path in folder.iterdir() if is_recording(path.name)}
    number = 1
    while (stem if number == 1 else f"{stem}-{number}").casefold() in taken:
        number += 1
    return folder / f"{stem if number == 1 else f'{stem}-{number}'}{ending}"
