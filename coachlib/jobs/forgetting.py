"""A person taken off a roster with everything that was made of what they recorded and said."""

import re
import shutil
import tomllib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from coachlib.errors import CoachError, FileProblem, RosterProblem, refused_by_system
from coachlib.files.atomic import write_bytes
from coachlib.files.roster.athlete_folder import ATHLETE_FILE, AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.files.roster.places import DERIVED_FOLDER, SETTINGS_FILE, listed
from coachlib.files.store.drafts import is_open_in
from coachlib.jobs.publishing import reworded
from coachlib.jobs.questions import Keyboard
from coachlib.jobs.terminal import tell
from coachlib.records.note import without_allowed
from coachlib.report.page.names import LookOut, Passage
from coachlib.report.words import wording

#: What stands where a person who shall be forgotten was named.
REMOVED = "[removed]"

_TEXTS = frozenset({".md", ".csv", ".toml", ".txt", ".json", ".html", ".ics", ".ipynb"})
#: Parts of the derived folder that hold one folder or one file an athlete.
_BY_ATHLETE = ("drafts", "made", "judged", "index")


@dataclass(kw_only=True)
class _Person:
    """Who shall be forgotten, and what of theirs is looked for."""

    own: AthleteFolder
    name: str
    address: str | None
    others: tuple[str, ...]
    coach: str
    slug: re.Pattern[str] = field(init=False)

    def __post_init__(self) -> None:
        self.slug = re.compile(rf"(?<![\w-]){re.escape(self.own.slug)}(?![\w-])", re.IGNORECASE)

    def look_out(self, whose: str = "") -> LookOut:
        """What names this person in a text of one athlete, or of the whole roster; parts that are theirs too do not."""
        return LookOut(
            others=[self.name],
            own=whose,
            allowed=(self.coach,) if whose else (*self.others, self.coach),
            addresses=[self.address] if self.address else [],
        )

    def is_in(self, text: str, whose: str = "") -> bool:
        """Whether a text says this person's name or folder."""
        return bool(self.slug.search(text)) or bool(
            self.look_out(whose).found([Passage(text, is_typed=True)])
        )


def forget(roster: RosterFolder, own: AthleteFolder, *, ask: Keyboard | None) -> int:
    """Ask twice, then remove a person and everything derived, and say what is left.

    Parameters
    ----------
    roster : RosterFolder
        The roster.
    own : AthleteFolder
        Who.
    ask : callable, optional
        Who answers; where nobody does nothing is removed.

    Returns
    -------
    int
        0 when nothing of the person is left; 1 when it was not wanted, or something is left, which is told.

    Raises
    ------
    RosterProblem
        When nobody can be asked, or a window with unsaved changes of theirs is open.

    Source
    ------
    This project's own choice.  The athlete's profile goes last, so that a run that was killed can be repeated.
    """
    person = _person(roster, own)
    if ask is None:
        raise RosterProblem(
            f"forgetting {person.name} is asked twice, and nobody sits at a keyboard; nothing is removed"
        )
    if is_open_in(roster.path / DERIVED_FOLDER / "drafts" / own.slug):
        raise RosterProblem(
            f"a window with unsaved changes of {person.name} is open; close it, then try again"
        )
    texts = tuple(_texts_of_others(roster, person))
    sheets = tuple(
        path for path in listed(roster.reports_dir) if path.is_file() and person.is_in(_said(path))
    )
    for line in _told(person, roster, texts, sheets):
        tell(line)
    if not _is_sure(person, ask):
        tell(f"Nothing was removed; {person.name} stays.")
        return 1
    left = _remove(roster, person, texts, sheets)
    for line in left:
        tell(f"left: {line}")
    tell(
        f"{'Else nothing' if left else 'Nothing'} of {person.name} is left in {roster.path}. Copies elsewhere, such as backups, "
        "mails, a cloud drive's bin and the originals of the recordings, are yours to remove."
    )
    return int(bool(left))


def _person(roster: RosterFolder, own: AthleteFolder) -> _Person:
    others = []
    for slug in roster.athletes():
        if slug != own.slug:
            try:
                others.append(roster.athlete(slug).athlete().name)
            except CoachError:
                others.append(slug)
    athlete = own.athlete()
    return _Person(
        own=own, name=athlete.name, address=athlete.email, others=tuple(others), coach=roster.settings.coach
    )


def _is_sure(person: _Person, ask: Keyboard) -> bool:
    try:
        if ask("Remove all this for good? (yes; anything else keeps it) ").strip().casefold() != "yes":
            return False
        return (
            ask(f"It cannot be undone. To go on, type the folder's name, {person.own.slug}: ").strip()
            == person.own.slug
        )
    except EOFError:
        return False


def _told(
    person: _Person, roster: RosterFolder, texts: Sequence[Path], sheets: Sequence[Path]
) -> Iterator[str]:
    """What will go, before anybody is asked."""
    n = len(person.own.recordings())
    yield f"Forgetting {person.name} removes:"
    yield (
        f"  {person.own.path.name}/ with profile, diary, notes, letters and {wording.count(n, 'recording')}, and what was derived "
        "from them"
    )
    pages = sorted(path.relative_to(roster.path).as_posix() for path in sheets if path.suffix == ".html")
    if pages:
        yield f"  call sheets, which name everybody: {', '.join(pages)}; coachlib week makes them anew"
    for path in (path for path in texts if DERIVED_FOLDER not in path.parts):
        yield f"  the name in {path.relative_to(roster.path).as_posix()}; there it becomes {REMOVED}"


def _texts_of_others(roster: RosterFolder, person: _Person) -> Iterator[Path]:
    """Texts of other athletes, and the roster's own, that name the person."""
    for path in _files_of_others(roster, person):
        look_out = person.look_out(_whose(roster, path))
        if path.suffix in _TEXTS and look_out.found([Passage(_said(path), is_typed=True)]):
            yield path


def _files_of_others(roster: RosterFolder, person: _Person) -> Iterator[Path]:
    yield roster.path / SETTINGS_FILE
    folders = [folder for folder in roster.folders() if folder not in (person.own.path, roster.reports_dir)]
    derived = roster.path / DERIVED_FOLDER
    folders += [derived / part / folder.name for folder in tuple(folders) for part in ("drafts", "made")]
    for folder in folders:
        yield from sorted(path for path in folder.rglob("*") if path.is_file() and not path.is_symlink())


def _slug_of(roster: RosterFolder, path: Path) -> str:
    """Whose folder a file lies in, also within the derived one; "" where it is the roster's."""
    parts = path.relative_to(roster.path).parts
    slug = parts[2] if parts[0] == DERIVED_FOLDER and len(parts) > 3 else parts[0]
    return slug if slug in roster.athletes() else ""


def _whose(roster: RosterFolder, path: Path) -> str:
    """The name of whose folder a file lies in; "" where it is the roster's."""
    slug = _slug_of(roster, path)
    if not slug:
        return ""
    try:
        return roster.athlete(slug).athlete().name
    except CoachError:
        return slug


def _remove(
    roster: RosterFolder, person: _Person, texts: Sequence[Path], sheets: Sequence[Path]
) -> list[str]:
    """Remove everything, the profile last; what could not be removed comes back in words."""
    left: list[str] = []
    for path in texts:
        left += _tried(path, partial(_reword, roster, person, path))
    for path in sheets:
        left += _tried(path, path.unlink)
    for path in tuple(_derived(roster, person)):
        left += _tried(path, partial(_delete, path))
    for path in listed(person.own.path):
        if path.name != ATHLETE_FILE:
            left += _tried(path, partial(_delete, path))
    left += _named_still(roster, person)
    if not any(True for path in listed(person.own.path) if path.name != ATHLETE_FILE):
        left += _tried(person.own.path, partial(_delete, person.own.path))
    return left


def _tried(path: Path, do: Callable[[], object]) -> list[str]:
    try:
        do()
    except CoachError as problem:
        return [str(problem)]
    except OSError as problem:
        return [f"{path} cannot be removed: {refused_by_system(problem)}"]
    return []


def _delete(path: Path) -> None:
    """Remove a file or a folder; a link goes, not what it leads to."""
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path)
    else:
        path.unlink(missing_ok=True)


def _reword(roster: RosterFolder, person: _Person, path: Path) -> None:
    """Take the person's name out of somebody else's text; nothing else in it changes."""
    whose = _whose(roster, path)
    look_out = person.look_out(whose)

    def change(text: str) -> str:
        return look_out.replaced(text, REMOVED)

    if path.parent.name == "reports" and path.suffix in (".html", ".json"):
        reworded(path.stem, roster.athlete(_slug_of(roster, path)), roster, change)
        return
    data = path.read_bytes()
    encoding = _encoding(data)
    text = data.decode(encoding)
    if path.suffix == ".md":
        text = without_allowed(text, lambda name: bool(look_out.found([Passage(name, is_typed=True)])))
    new = change(text)
    if path.suffix == ".toml" and _keys(new) != _keys(text):
        raise FileProblem(
            f"{path} names {person.name} where its keys stand; take the name out there yourself"
        )
    write_bytes(path, new.encode(encoding))


def _encoding(data: bytes) -> str:
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return "utf-16"
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return "latin-1"
    return "utf-8"


def _keys(text: str) -> object:
    """The keys of a TOML text in their order, its values left aside."""

    def of(value: object) -> object:
        if isinstance(value, dict):
            return [(key, of(each)) for key, each in value.items()]
        return [of(each) for each in value] if isinstance(value, list) else type(value).__name__

    try:
        return of(tomllib.loads(text))
    except (ValueError, RecursionError):
        return None


def _derived(roster: RosterFolder, person: _Person) -> Iterator[Path]:
    """What was derived from the person's files, or names them."""
    derived = roster.path / DERIVED_FOLDER
    slug = person.own.slug
    for part in _BY_ATHLETE:
        yield from (derived / part / slug, derived / part / f"{slug}.json")
    kept = {
        entry.sha256
        for other in roster.athletes()
        if other != slug
        for entry in roster.index.entries(roster.athlete(other).recordings_dir)
    }
    for path in sorted(derived.rglob("*")):
        if path.suffix == ".recording":
            if path.name[:64] not in kept:
                yield path
        elif (
            path.is_file()
            and path.parent.parent.name not in ("drafts", "made")
            and person.is_in(_said(path), _whose(roster, path))
        ):
            yield path


def _named_still(roster: RosterFolder, person: _Person) -> list[str]:
    """Where the person is named for all that; files that are no text are searched byte for byte."""
    found = []
    for path in sorted(roster.path.rglob("*")):
        if person.own.path in (path, *path.parents) or path.is_symlink():
            continue
        whose = _whose(roster, path)
        look_out = person.look_out(whose)
        if look_out.found([Passage(path.name, is_typed=True)]):
            found.append(f"{path} names {person.name} in its own name; rename it")
        elif path.is_file() and (
            look_out.found([Passage(_said(path), is_typed=True)])
            if path.suffix in _TEXTS
            else person.name.encode() in path.read_bytes()
        ):
            found.append(f"{path} names {person.name}; take the name out there")
    return found


def _said(path: Path) -> str:
    """A file's text, as far as it is one."""
    try:
        data = path.read_bytes()
    except OSError:
        return ""
    return data.decode(_encoding(data), "replace")
