"""A roster cleared of what runs that were killed left in it."""

from coachlib.files.leftovers import remove_leftovers
from coachlib.files.roster.folder import RosterFolder
from coachlib.files.roster.places import DERIVED_FOLDER

#: What was made from what; inside the roster's derived folder.
MADE_FOLDER = "made"


def clear_leftovers(roster: RosterFolder) -> None:
    """Remove what runs that were killed left in a roster."""
    derived = roster.path / DERIVED_FOLDER
    folders = [roster.path, roster.reports_dir, derived, derived / MADE_FOLDER]
    for athlete in roster.folders():
        folders += [
            athlete,
            athlete / "recordings",
            athlete / "reports",
            derived / MADE_FOLDER / athlete.name,
        ]
    remove_leftovers(folders, locks=derived / "locks")
