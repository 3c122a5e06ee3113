"""A new roster, or one more athlete in it: folders and files that explain themselves, made whole or not at all."""

import errno
import os
import re
import shutil
import tempfile
import unicodedata
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from coachlib.errors import CoachError, RosterProblem
from coachlib.files.roster.athlete_folder import ATHLETE_FILE, DIARY_FILE
from coachlib.files.roster.diarytext import COLUMNS
from coachlib.files.roster.folder import RosterFolder, open_roster
from coachlib.files.roster.forms import in_words
from coachlib.files.roster.places import SETTINGS_FILE
from coachlib.files.roster.templates import OF_ATHLETE, OF_ROSTER, athlete_text, diary_text, roster_text
from coachlib.jobs.questions import Keyboard, filled_in, zone_of_computer
from coachlib.jobs.terminal import in_command, tell
from coachlib.records.athlete import Athlete
from coachlib.records.roster import RosterSettings

#: Folders of a roster that are no athlete's, and names that some systems keep for themselves.
_TAKEN = frozenset(
    {"reports", "con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))}
)
#: As long as a folder's name may become.  Own choice: all file systems take four times as many.
_LONGEST_NAME = 60


def make_new(
    folder: Path, *, roster: Mapping[str, str | None], athlete: Mapping[str, str | None], ask: Keyboard | None
) -> tuple[RosterFolder, tuple[str, ...]]:
    """Make a roster with its first athletes, or add one athlete to a roster.

    Parameters
    ----------
    folder : Path
        The roster's folder; where there is none it is made.
    roster, athlete : mapping
        What came with the command, by key of ``OF_ROSTER`` and ``OF_ATHLETE``; None or absent where nothing did.
    ask : callable, optional
        Who answers the rest; None leaves it empty.

    Returns
    -------
    RosterFolder
        The roster.
    tuple of str
        The new athletes' folder names.

    Raises
    ------
    RosterProblem
        When there are files already where new ones belong, or the folder cannot be written to.
    BadArgument
        When an answer that came with the command is not allowed.
    """
    folder = folder.expanduser()
    known = open_roster(folder) if (folder / SETTINGS_FILE).exists() else None
    if known is None:
        _refuse_full(folder)
        settings = _settings(folder, roster, ask)
    elif typed := [blank.key for blank in OF_ROSTER if roster.get(blank.key)]:
        raise RosterProblem(
            f"{folder} is a roster already, whose {in_words(typed)} stands in {SETTINGS_FILE}; change it there"
        )
    elif not athlete.get("name"):
        raise RosterProblem(
            f"{folder} is a roster already; add somebody with: coachlib new {folder} --athlete NAME"
        )
    people = _people(known, athlete, ask)
    if known is None:
        _make_roster(folder, settings)
    made = [new_athlete(open_roster(folder), answers) for answers in people]
    return open_roster(folder), tuple(made)


def _settings(folder: Path, typed: Mapping[str, str | None], ask: Keyboard | None) -> dict[str, Any]:
    """What the roster's settings shall be; where nobody says it, it is called as its folder is."""
    called = re.sub(r"[\W_]+", " ", folder.absolute().name).strip() or "My roster"
    zone = zone_of_computer()
    proposed = {"name": called, "week_starts": "monday"} | ({"time_zone": zone} if zone else {})
    values = filled_in(OF_ROSTER, typed, model=RosterSettings, given={}, ask=ask, proposed=proposed)
    return {"name": called, **values}


def _make_roster(folder: Path, settings: Mapping[str, Any]) -> None:
    """Write the settings into a folder that is empty or not yet there."""
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        _write_new(folder / SETTINGS_FILE, roster_text(settings))
    except OSError as problem:
        raise RosterProblem(
            f"{folder} cannot be made: {problem.strerror or problem}. Name a folder that you may write to"
        ) from None


def _refuse_full(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise RosterProblem(f"{folder} is a file; name a folder for the roster")
    try:
        names = (
            sorted(e.name for e in folder.iterdir() if not e.name.startswith(".")) if folder.exists() else []
        )
    except OSError as problem:
        raise RosterProblem(f"{folder} cannot be read: {problem.strerror or problem}") from None
    if names:
        more = f" and {len(names) - 3} more" if len(names) > 3 else ""
        raise RosterProblem(
            f"{folder} holds files already ({', '.join(names[:3])}{more}), and nothing is written among them; name a new "
            f"folder, and take recordings from this one afterwards: coachlib add NEW_FOLDER {folder}"
        )


def _people(
    roster: RosterFolder | None, typed: Mapping[str, str | None], ask: Keyboard | None
) -> list[dict[str, Any]]:
    """Everybody's answers: of the one named with the command, or of one after the other."""
    if typed.get("name"):
        return [_answers(roster, typed, ask)]
    if given := [key for key, value in typed.items() if value]:
        raise RosterProblem(f"{in_words(given)} cannot be kept without a name; give it with --athlete")
    people: list[dict[str, Any]] = []
    while ask is not None:
        who = (
            "The next athlete; Enter at the name ends" if people else "Now the athletes, one after the other"
        )
        tell(f"\n{who}.")
        answers = _answers(roster, {}, ask)
        if not answers:
            break
        people.append(answers)
    return people


def _answers(
    roster: RosterFolder | None, typed: Mapping[str, str | None], ask: Keyboard | None
) -> dict[str, Any]:
    """One person's answers, the name first; none where no name is given."""
    name, *rest = OF_ATHLETE
    first = filled_in([name], typed, model=Athlete, given={}, ask=ask)
    if not first:
        return {}
    if roster is not None:
        _refuse_twice(roster, first["name"], folder_name(first["name"]))
    return {**first, **filled_in(rest, typed, model=Athlete, given=first, ask=ask)}


def new_athlete(roster: RosterFolder, values: Mapping[str, Any]) -> str:
    """Add an athlete to a roster: profile, empty diary, folders for recordings and notes.

    Parameters
    ----------
    roster : RosterFolder
        The roster.
    values : mapping
        By key of ``OF_ATHLETE``; at least the name.

    Returns
    -------
    str
        The name of the athlete's folder.

    Raises
    ------
    RosterProblem
        When the roster has somebody of that name, or the folder cannot be written to.
    """
    slug = folder_name(str(values["name"]))
    text = athlete_text(values)
    _refuse_twice(roster, str(values["name"]), slug)
    made = None
    try:
        made = Path(tempfile.mkdtemp(prefix=f".{slug}.", dir=roster.path))
        _write_new(made / ATHLETE_FILE, text)
        _write_new(made / DIARY_FILE, diary_text(COLUMNS))
        for name in ("recordings", "notes"):
            (made / name).mkdir(mode=0o700)
        made.rename(roster.path / slug)
    except OSError as problem:
        if made is not None:
            shutil.rmtree(made, ignore_errors=True)
        raise RosterProblem(
            f"{roster.path / slug} cannot be made: {problem.strerror or problem}. See to the permissions of {roster.path}"
        ) from None
    return slug


def _refuse_twice(roster: RosterFolder, name: str, slug: str) -> None:
    if os.path.lexists(roster.path / slug):
        raise RosterProblem(
            f"{roster.path} holds {slug} already, and nothing is written into it; if this is another person, give a "
            "name that tells the two apart"
        )
    for other in roster.athletes():
        try:
            known = roster.athlete(other).athlete().name
        except CoachError:
            continue
        if known.casefold() == name.casefold():
            raise RosterProblem(
                f"{known} is on the roster already, in the folder {other}; if this is another person, give a name "
                "that tells the two apart"
            )


def folder_name(name: str) -> str:
    """What an athlete's folder is called: the name in small letters, without accents where it can do without.

    Examples
    --------
    >>> folder_name("Anna-Lena Müller"), folder_name("Łukasz O'Neill"), folder_name("李娜"), folder_name("Con")
    ('anna-lena-muller', 'łukasz-o-neill', '李娜', 'con-1')
    """
    letters = unicodedata.normalize("NFKD", name.strip().lower())
    plain = "".join(s for s in letters if not unicodedata.combining(s))
    slug = re.sub(r"[\W_]+", "-", unicodedata.normalize("NFC", plain)).strip("-")[:_LONGEST_NAME].strip("-")
    return f"{slug}-1" if slug in _TAKEN else slug


def _write_new(path: Path, text: str) -> None:
    """Write a file that only its owner may read, whole or not at all; none is ever replaced."""
    handle, temporary = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        if os.path.lexists(path):
            raise FileExistsError(errno.EEXIST, "it is there already", str(path))
        Path(temporary).rename(path)
    finally:
        Path(temporary).unlink(missing_ok=True)


def next_steps(folder: RosterFolder, made: Sequence[str], *, named: Path) -> str:
    """What was made, what is still empty that matters, and what to type next."""
    lines = [f"{slug} is on the roster: {named / slug}" for slug in made] or [
        f"{named} is a roster without athletes."
    ]
    athletes = folder.athletes()
    roster = in_command(named)
    if not folder.settings.time_zone:
        lines.append(
            f"No time zone is set, so hours may be in UTC: fill in time_zone in {named / SETTINGS_FILE}."
        )
    if not athletes:
        return "\n".join([*lines, f"Next: coachlib new {roster} --athlete NAME"])
    who = "" if len(athletes) == 1 else f" {made[-1] if made else 'ATHLETE'}"
    lines += [
        f"Next: coachlib add {roster}{who} FILES   (recordings, folders or .zip files of them)",
        f"then: coachlib week {roster}",
    ]
    return "\n".join(lines)
