"""A coaching workbook for endurance coaches.

What a person would call from a notebook stands here; the README's "From Python" shows it.  Names are looked up when
they are used, so that importing the package costs nothing.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from coachlib.late import keep_out

if TYPE_CHECKING:
    from coachlib.analysis.first_threshold.series import analyse_series as analyse_series
    from coachlib.analysis.recording.judge import judge as judge
    from coachlib.files.fit.reading import read_fit as read_fit
    from coachlib.files.roster.folder import open_roster as open_roster
    from coachlib.jobs.export.writing import export as export
    from coachlib.jobs.field_tests.drift_tests import read_drift_tests as read_drift_tests
    from coachlib.jobs.history import read_athlete_week as read_athlete_week
    from coachlib.jobs.history import read_call_sheet as read_call_sheet
    from coachlib.jobs.recordings import Recordings as Recordings
    from coachlib.report.words.catalogue import whole as sentence  # noqa: F401
    from coachlib.report.words.recording import verdict as verdict

__version__ = "0.1.0"

keep_out()

#: Name -> module and name there.
_FACE = {
    "Recordings": ("coachlib.jobs.recordings", "Recordings"),
    "analyse_series": ("coachlib.analysis.first_threshold.series", "analyse_series"),
    "export": ("coachlib.jobs.export.writing", "export"),
    "judge": ("coachlib.analysis.recording.judge", "judge"),
    "open_roster": ("coachlib.files.roster.folder", "open_roster"),
    "read_athlete_week": ("coachlib.jobs.history", "read_athlete_week"),
    "read_call_sheet": ("coachlib.jobs.history", "read_call_sheet"),
    "read_drift_tests": ("coachlib.jobs.field_tests.drift_tests", "read_drift_tests"),
    "read_fit": ("coachlib.files.fit.reading", "read_fit"),
    "sentence": ("coachlib.report.words.catalogue", "whole"),
    "verdict": ("coachlib.report.words.recording", "verdict"),
}

__all__ = ["__version__", *_FACE]  # pyright: ignore[reportUnsupportedDunderAll]


def __getattr__(name: str) -> Any:
    """One of the names of the public face."""
    if name not in _FACE:
        raise AttributeError(f"module 'coachlib' has no attribute {name!r}")
    module, there = _FACE[name]
    return getattr(import_module(module), there)


def __dir__() -> list[str]:
    """The public face, for completion."""
    return sorted(__all__)
