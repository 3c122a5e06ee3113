"""A recording filed away with the wrong athlete, given to whom it belongs."""

import shlex
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from coachlib.errors import RosterProblem, refused_by_system
from coachlib.files.atomic import write_bytes, write_together
from coachlib.files.roster.athlete_folder import DIARY_FILE, AthleteFolder, decisions_path
from coachlib.files.roster.diary_edit import DiaryTable
from coachlib.files.roster.folder import RosterFolder
from coachlib.files.roster.forms import in_words
from coachlib.files.roster.places import DERIVED_FOLDER
from coachlib.files.store.drafts import Drafts
from coachlib.files.store.index import Entry
from coachlib.jobs.adding import free_name, refuse_same_session
from coachlib.jobs.clearing import MADE_FOLDER
from coachlib.jobs.recordings import Recordings, session_name, sessions_of
from coachlib.records.diary import DiaryRow, recording_name
from coachlib.report.words import wording


def move(
    roster: RosterFolder,
    giver: AthleteFolder,
    named: str,
    taker: AthleteFolder,
    *,
    with_row: bool = False,
    anyway: bool = False,
    today: date | None = None,
) -> list[str]:
    """Give a recording to another athlete, with what was decided about it, edits not saved and its diary row.

    Parameters
    ----------
    roster : RosterFolder
        The roster.
    giver, taker : AthleteFolder
        With whom it lies, and whose it is.
    named : str
        The recording's file name, with its ending or without.
    with_row : bool
        Take the diary row of the session along also where it does not name the recording.
    anyway : bool
        Also where the taker has another recording of the same time.
    today : date, optional
        The day by which a recording's date is told odd; without it the computer's.

    Returns
    -------
    list of str
        What was done, and what the coach should see to.

    Raises
    ------
    RosterProblem
        When there is no such recording, the taker has the session already, or a window with changes of it that are
        not saved is open; nothing is changed then.
    FileProblem
        When something cannot be written.

    Source
    ------
    This project's own choice.  Everything is written with the taker before anything goes from the giver: a run that
    was stopped is finished by the same command.
    """
    if giver.slug == taker.slug:
        raise RosterProblem(f"{named} lies with {giver.slug} already; name another athlete to give it to")
    entry = _entry(roster, giver, named)
    today = today or date.today()
    recordings = Recordings(folder=roster, own=giver, today=today)
    names = [session_name(entry, part) for part in sessions_of(entry)]
    rows = [row for name in names if (row := recordings.matched.rows.get(name)) is not None]
    drafts = _drafts(roster, giver, entry)
    if any(draft.is_open_elsewhere() for draft in drafts.values()):
        raise RosterProblem(
            f"{entry.path.stem} is open with changes that are not saved; save them, then try again"
        )
    taker.recordings_dir.mkdir(exist_ok=True)
    with giver.held(giver.recordings_dir), taker.held(taker.recordings_dir):
        target = _place(roster, entry, taker, anyway=anyway, today=today)
        files = {target: entry.path.read_bytes()}
        decided = decisions_path(entry.path)
        if decided.is_file():
            files[decisions_path(target)] = decided.read_bytes()
        write_together(files)
        _hand_over_drafts(roster, drafts, taker, target, entry)
        going = [row for row in rows if _names(row, names) or with_row]
        _hand_over_rows(giver, taker, going, target.stem)
        made = tuple(_made_with(roster, giver, entry))
        _remove(roster, giver, entry)
    staying = [row for row in rows if row not in going]
    return list(_told(roster, giver, taker, entry, target, going=going, staying=staying, made=made))


def _entry(roster: RosterFolder, giver: AthleteFolder, named: str) -> Entry:
    """The recording that is meant."""
    wanted = recording_name(Path(named).name)
    entries = roster.index.entries(giver.recordings_dir)
    found = [entry for entry in entries if entry.path.stem.casefold() == wanted]
    if not found:
        days = [entry.path.stem for entry in entries if entry.path.stem[:10] == wanted[:10]]
        near = f"; of that day there is {in_words(days)}" if days else ""
        raise RosterProblem(f'{giver.slug} has no recording called "{named}"{near}')
    if found[0].problem:
        raise RosterProblem(found[0].problem)
    return found[0]


def _place(roster: RosterFolder, entry: Entry, taker: AthleteFolder, *, anyway: bool, today: date) -> Path:
    """Where the recording will lie; where a former run brought it already, if one did."""
    for there in roster.index.entries(taker.recordings_dir):
        if there.sha256 == entry.sha256:
            return there.path
    parts = roster.store.parts(entry.path, sha256=entry.sha256)
    refuse_same_session(roster, taker, entry.path, parts, index=roster.index, anyway=anyway, today=today)
    return free_name(taker.recordings_dir, entry.path.stem, ending=entry.path.suffix.lower())


def _drafts(
    roster: RosterFolder, own: AthleteFolder, entry: Entry, stem: str = ""
) -> dict[int | None, Drafts]:
    """Edits of each session of a recording that are not saved."""
    folder = roster.path / DERIVED_FOLDER / "drafts" / own.slug
    numbers = [None, *(part.number for part in entry.parts)]
    return {number: Drafts(folder, stem or entry.path.stem, entry.sha256, number) for number in numbers}


def _hand_over_drafts(
    roster: RosterFolder, drafts: dict[int | None, Drafts], taker: AthleteFolder, target: Path, entry: Entry
) -> None:
    theirs = _drafts(roster, taker, entry, target.stem)
    for number, draft in drafts.items():
        if (left := draft.left_behind()) is not None:
            theirs[number].keep(
                left.decisions, rejected=left.rejected, based_on=left.based_on, kept_at=left.kept_at
            )
            theirs[number].release()
            left.path.unlink(missing_ok=True)


def _names(row: DiaryRow, names: list[str]) -> bool:
    """Whether a row itself says that it belongs to one of these recordings."""
    return recording_name(row.recording) in {name.casefold() for name in names}


def _hand_over_rows(giver: AthleteFolder, taker: AthleteFolder, rows: list[DiaryRow], stem: str) -> None:
    """Write rows into the taker's diary, then take them from the giver's."""
    if not rows:
        return
    old, new = giver.path / DIARY_FILE, taker.path / DIARY_FILE
    with giver.held(old), taker.held(new):
        table = DiaryTable.of(old.read_bytes(), day_first=giver.day_first)
        theirs = DiaryTable.of(new.read_bytes() if new.is_file() else b"", day_first=taker.day_first)
        known = set(map(_cells, map(theirs.row, range(len(theirs.rows)))))
        meant = [at for at in range(len(table.rows)) if table.record(at) in rows]
        for at in meant:
            cells = {**table.row(at), "date": table.day(at)}
            if "recording" in cells:
                session = cells["recording"].partition(":")[2]
                cells["recording"] = f"{stem}:{session}" if session else stem
            if _cells(cells) not in known:
                theirs = theirs.with_cells(None, cells)
        write_bytes(new, theirs.to_bytes())
        write_bytes(old, table.without(meant).to_bytes())


def _cells(row: dict[str, str]) -> frozenset[tuple[str, str]]:
    return frozenset((column, cell) for column, cell in row.items() if cell)


def _made_with(roster: RosterFolder, giver: AthleteFolder, entry: Entry) -> Iterator[str]:
    """The weeks whose letter to the giver was made with the recording, as far as that is known."""
    inside = entry.path.relative_to(roster.path).as_posix()
    for record in sorted((roster.path / DERIVED_FOLDER / MADE_FOLDER / giver.slug).glob("*.json")):
        if (
            inside in record.read_text("utf-8", "replace")
            and (giver.reports_dir / f"{record.stem}.html").is_file()
        ):
            yield record.stem


def _remove(roster: RosterFolder, giver: AthleteFolder, entry: Entry) -> None:
    """Take the recording from the giver, with what was derived from it."""
    judged = roster.path / DERIVED_FOLDER / "judged" / giver.slug
    kept = [judged / f"{entry.path.stem}.{part.number}.json" for part in entry.parts]
    for path in (*kept, decisions_path(entry.path), entry.path):
        try:
            path.unlink(missing_ok=True)
        except OSError as problem:
            raise RosterProblem(
                f"{path.name} lies with both now and cannot be taken from {giver.slug}: {refused_by_system(problem)}"
            ) from problem


def _told(
    roster: RosterFolder,
    giver: AthleteFolder,
    taker: AthleteFolder,
    entry: Entry,
    target: Path,
    *,
    going: list[DiaryRow],
    staying: list[DiaryRow],
    made: tuple[str, ...],
) -> Iterator[str]:
    """What was done, and what is left to do."""
    decided = ", with its decisions" if decisions_path(target).is_file() else ""
    row = f"{' and' if decided else ', with'} its diary row" if going else ""
    yield f"{entry.path.name} of {giver.slug} is {target.relative_to(roster.path).as_posix()} now{decided}{row}."
    if staying:
        yield (
            f"The row of {wording.full_date(staying[0].on)} in {giver.slug}'s diary does not name the recording and stays; is "
            f"it {taker.slug}'s, it belongs into {taker.slug}/{DIARY_FILE}."
        )
    for threshold in giver.athlete().thresholds:
        if entry.sha256 in threshold.tests and not threshold.withdrawn:
            yield (
                f"{giver.slug}'s {threshold.which} threshold of {wording.full_date(threshold.on)} was found with this recording; "
                "withdraw it at the desk if it does not hold without."
            )
    if made:
        weeks = " ".join(
            dict.fromkeys(("--from", made[0], "--to", made[-1]) if len(made) > 1 else ("--week", made[0]))
        )
        yield (
            f"{giver.slug}'s pages hold this session: {', '.join(made)}. Make them anew before anybody gets them: "
            f"coachlib week {shlex.quote(str(roster.path))} {weeks} --athlete {giver.slug} {taker.slug} --again"
        )
