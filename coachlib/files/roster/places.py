"""What lies where in a roster's folder: links that lead out of it, and copies beside the file they were made from."""

import os
import re
from collections.abc import Iterable
from pathlib import Path

from coachlib.errors import RosterProblem

#: Beside the athletes, not theirs: decoded recordings and locks, which may be deleted.
DERIVED_FOLDER = ".coachlib"
#: Decisions stand beside their recording; an ending that is one, although it holds a point.
DECISIONS_SUFFIX = ".decisions.toml"
#: Where the roster is when no folder is named.
ROSTER_VARIABLE = "COACHLIB_ROSTER"

SETTINGS_FILE = "roster.toml"


def named_roster(path: str | os.PathLike[str] | None = None) -> Path:
    """A roster's folder, its links followed.

    Parameters
    ----------
    path : path, optional
        The folder that holds ``roster.toml``; else the environment variable ``COACHLIB_ROSTER`` names it.

    Raises
    ------
    RosterProblem
        When no folder is named, or it is no roster.
    """
    named = path or os.environ.get(ROSTER_VARIABLE)
    if not named:
        raise RosterProblem(
            f"no roster is named; give the folder that holds roster.toml, or set {ROSTER_VARIABLE} to it"
        )
    folder = Path(named).expanduser()
    if not folder.is_dir():
        raise RosterProblem(f"there is no folder {folder}; a roster is a folder with roster.toml in it")
    if not (folder / SETTINGS_FILE).is_file():
        raise RosterProblem(
            f'{folder} has no roster.toml; make one with at least name = "..." or name another folder'
        )
    return Path(os.path.realpath(folder))


def is_inside(path: Path, folder: Path) -> bool:
    """Whether a path leads to a place in a folder, its links followed; ``folder`` is a real one.

    Examples
    --------
    >>> is_inside(Path("/roster/mira/../tom/diary.csv"), Path("/roster/mira"))
    False
    """
    return Path(os.path.realpath(path)).is_relative_to(folder)


def outside_links(roster: Path) -> tuple[Path, ...]:
    """The links in a roster that lead out of it, or out of the athlete's folder they lie in; none is followed.

    Parameters
    ----------
    roster : Path
        The roster's folder.

    Returns
    -------
    tuple of Path
        As they lie in the roster, in order.
    """
    root = Path(os.path.realpath(roster))
    found = []
    for here, folders, files in os.walk(root):
        for name in (*folders, *files):
            path = Path(here) / name
            own = root / path.relative_to(root).parts[0]
            if path.is_symlink() and not is_inside(path, own if own != path or name in folders else root):
                found.append(path)
        folders[:] = sorted(name for name in folders if not name.startswith("."))
    return tuple(sorted(found))


def listed(folder: Path) -> list[Path]:
    """What lies in a folder, by name; nothing where there is none.

    Raises
    ------
    RosterProblem
        When the folder may not be read.
    """
    try:
        return sorted(folder.iterdir())
    except FileNotFoundError:
        return []
    except OSError as error:
        raise RosterProblem(
            f"the folder {folder} cannot be listed: {error.strerror or error}. See to its permissions"
        ) from None


def copied_from(name: str, names: Iterable[str]) -> str | None:
    """The file beside which a name is a copy, as cloud drives and file managers make them; None: it is none.

    Examples
    --------
    >>> copied_from("athlete (conflicted copy 2026-10-05).toml", ["athlete.toml", "diary.csv"])
    'athlete.toml'
    >>> copied_from("2026-W41.md", ["2026-W4.md"])
    """
    for other in names:
        for suffix in (Path(other).suffix, DECISIONS_SUFFIX):
            if name.lower().endswith(suffix) and other.endswith(suffix):
                stem = other.removesuffix(suffix)
                rest = name[: -len(suffix)].removeprefix(stem)
                if name.startswith(stem) and re.match(r"[\s._~(\[-]", rest):
                    return other
    return None
