"""Pages that stand and show a threshold that was withdrawn since."""

from collections.abc import Iterator, Mapping
from typing import Any

from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.files.roster.places import listed
from coachlib.jobs.publishing import Standing, standing
from coachlib.records.athlete import Athlete
from coachlib.records.thresholds import Threshold


def pages_showing(roster: RosterFolder, own: AthleteFolder, threshold: Threshold) -> tuple[str, ...]:
    """The names of an athlete's pages that show a threshold, as far as is known what they show."""
    names = [
        path.stem
        for path in listed(own.reports_dir)
        if path.suffix == ".html" and ".former-" not in path.name
    ]
    found = ((name, standing(name, own, roster)) for name in names)
    return tuple(name for name, page in found if page is not None and _shows(page, threshold))


def withdrawn_on(page: Standing, athlete: Athlete) -> tuple[Threshold, ...]:
    """The thresholds that a page shows and that were withdrawn."""
    return tuple(t for t in athlete.thresholds if t.withdrawn and _shows(page, t))


def _shows(page: Standing, threshold: Threshold) -> bool:
    wanted = threshold.which, str(threshold.on), threshold.hr_bpm
    return any((t.get("which"), t.get("on"), t.get("hr_bpm")) == wanted for t in _thresholds(page))


def _thresholds(page: Standing) -> Iterator[Mapping[str, Any]]:
    """The thresholds that a page shows, a letter by its numbers, a sheet by what it was made from."""
    for numbers in (page.numbers, page.made_from or {}):
        shown = numbers.get("thresholds")
        for entry in shown if isinstance(shown, list) else ():
            told = entry.get("threshold", entry) if isinstance(entry, dict) else {}
            if isinstance(told, dict):
                yield told
