"""What a warm process has done before a page takes it: everything imported, one recording judged and drawn."""

import contextlib
import importlib

from coachlib.errors import CoachError

#: What the pages need between them; scipy's parts load when used.
WANTED = (
    "scipy.ndimage",
    "scipy.optimize",
    "scipy.special",
    "scipy.stats",
    "coachlib.jobs.history",
    "coachlib.panels.drift_test.page",
    "coachlib.panels.first_threshold.panel",
    "coachlib.panels.letter.panel",
    "coachlib.panels.recording.window_map",
    "coachlib.panels.second_threshold.panel",
    "coachlib.panels.zones.panel",
    "coachlib.report.roster.call_sheet",
)


def heat() -> None:
    """Import what any workbook needs and judge one recording of the roster, since the first time costs a second.

    Nothing of it is kept but what Python keeps by itself.
    """
    for name in WANTED:
        importlib.import_module(name)
    with contextlib.suppress(CoachError, OSError):
        _judge_one()


def _judge_one() -> None:
    """Open the newest recording of the first athlete who has one, as the recording page does."""
    from coachlib.files.roster.folder import open_roster
    from coachlib.panels.recording.panel import recordings_of
    from coachlib.panels.recording.still import map_with_key
    from coachlib.panels.recording.subject import RecordingSubject

    roster = open_roster()
    for slug in roster.athletes():
        own = roster.athlete(slug)
        if recordings := recordings_of(own):
            subject = RecordingSubject(roster, own, recordings[0])
            subject.read()
            subject.lanes()
            map_with_key(subject)
            return
