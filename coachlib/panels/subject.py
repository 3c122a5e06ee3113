"""One recording of a roster as the trace editor works on it."""

from pathlib import Path

import numpy as np

from coachlib.errors import CoachError
from coachlib.files.folder import AthleteFolder, RosterFolder
from coachlib.measures import artefacts, steady
from coachlib.measures.spans import Span
from coachlib.panels.edit_state import EditState
from coachlib.panels.edits import Frame
from coachlib.panels.lanes import Lane, lanes_of
from coachlib.panels.reading import Reading, drift_in, read
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions, Window


class RecordingSubject:
    """A recording with its decisions: what the editor shows, and the way back to the file.

    Parameters
    ----------
    roster : RosterFolder
        Gives the store of decoded recordings and the criterion.
    athlete : AthleteFolder
        Whose recording it is.
    fit_path : Path
        The recording.
    """

    def __init__(self, roster: RosterFolder, athlete: AthleteFolder, fit_path: Path) -> None:
        self.fit_path = fit_path
        self._athlete = athlete
        self._criterion_pct = roster.settings.criterion_pct
        self._seen = athlete.decisions_seen(fit_path)
        whole = roster.store.activity(fit_path)
        saved = athlete.decisions(fit_path, whole.sha256) or Decisions(fit_sha256=whole.sha256)
        self.activity = whole if saved.part is None else roster.store.activity(fit_path, part=saved.part)
        self.state = EditState(saved, frame_of(self.activity, saved, hr_max_bpm=athlete.athlete().hr_max_bpm))

    def lanes(self) -> tuple[Lane, ...]:
        """Lanes as the present stages make them."""
        return lanes_of(self.activity, self.state.decisions)

    def read(self) -> Reading:
        """What the present decisions show."""
        return read(
            self.activity,
            self.state.decisions,
            self.state.frame.suggestions,
            criterion_pct=self._criterion_pct,
        )

    def peek(self, start_s: float, stop_s: float) -> tuple[float, float] | None:
        """The two half means, were the window there; None where that cannot be told."""
        try:
            drift = drift_in(self.activity, self.state.decisions, Window(start_s=start_s, stop_s=stop_s))
        except (CoachError, ValueError):
            return None
        return drift.first_half_bpm, drift.second_half_bpm

    def save(self) -> Decisions:
        """Write the decisions beside the recording, unless somebody else did so in the meantime."""
        decisions = self.state.decisions
        self._seen = self._athlete.save_decisions(self.fit_path, decisions, based_on=self._seen)
        return decisions


def frame_of(activity: Activity, decisions: Decisions, *, hr_max_bpm: float | None) -> Frame:
    """The recording's length, its laps, and what is suggested for it."""
    raise NotImplementedError
