"""One recording of a roster as the trace editor works on it."""

from dataclasses import replace
from pathlib import Path

import numpy as np

from coachlib.analysis.recording.detected import Detected, detect
from coachlib.analysis.recording.judge import judge, suggested_pauses, suggested_window
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.recording.steady_stretch import drift_of_windows
from coachlib.errors import DecisionProblem
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.recordings import Recordings, named
from coachlib.measures.common.spans import Span
from coachlib.measures.recording import artefacts, steady
from coachlib.panels.recording.draft import Frame, Suggestion
from coachlib.panels.recording.edit_state import EditState
from coachlib.panels.recording.edits import set_window
from coachlib.panels.recording.lanes import Lane, lanes_of
from coachlib.panels.recording.verdict import Reading, read
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions
from coachlib.records.diary import DiaryRow


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
    part : int, optional
        Which session of a file that holds several; None takes the one decided about, else the longest.
    """

    def __init__(
        self, roster: RosterFolder, athlete: AthleteFolder, fit_path: Path, *, part: int | None = None
    ) -> None:
        self.fit_path = fit_path
        self._athlete = athlete
        self.criterion_pct = roster.settings.criterion_pct
        self._profile = athlete.athlete()
        self._zone = self._profile.time_zone or roster.settings.time_zone
        self._seen = athlete.decisions_seen(fit_path)
        whole = roster.store.activity(fit_path)
        decided = athlete.decisions_of_parts(fit_path, whole.sha256).by_part(whole.part)
        if part is None:
            part = whole.part if whole.part in decided else next(iter(decided), whole.part)
        self._main_part = whole.part
        is_main = part == whole.part
        self.activity = whole if is_main else roster.store.activity(fit_path, part=part)
        # times of one session mean nothing in another: each has its own decisions
        own_part = part if len(whole.parts) > 1 else None
        saved = decided.get(part) or Decisions(fit_sha256=whole.sha256, part=own_part)
        self.is_saved = part in decided
        self._detected = self._detect(saved)
        self.state = EditState(saved, frame_of(self.activity, self._detected))
        self.diary_row = self._diary_row(roster)

    def lanes(self) -> tuple[Lane, ...]:
        """Lanes as the present stages make them."""
        return lanes_of(self.activity, self.state.decisions)

    def note_stages(self) -> None:
        """Suggest the window that the present stages ask for; the stretches found stay as they are."""
        self._detected = self._detect(self.state.decisions)
        self.state.frame = replace(
            self.state.frame,
            suggested_window=suggested_window(self._detected),
            suggested_pauses=suggested_pauses(self._detected),
        )

    def read(self) -> Reading:
        """What the present decisions show."""
        return self._read(self.state.decisions, suggestions=self.state.frame.suggestions)

    def _read(self, decisions: Decisions, *, suggestions: tuple[Suggestion, ...]) -> Reading:
        return read(self.judged(decisions), self._detected, decisions, suggestions=suggestions)

    def judged(self, decisions: Decisions) -> JudgedRecording:
        """The recording under some decisions."""
        return judge(
            self.fit_path.stem,
            self.activity,
            decisions,
            self._profile,
            self.diary_row,
            detected=self._detected,
            criterion_pct=self.criterion_pct,
            time_zone=self._zone,
        )

    def _detect(self, decisions: Decisions) -> Detected:
        return detect(self.activity, decisions, hr_max_bpm=self._profile.hr_max_bpm)

    def _diary_row(self, roster: RosterFolder) -> DiaryRow | None:
        """What the athlete wrote about this session; None where it is not certain which row that is."""
        known = Recordings(folder=roster, own=self._athlete)
        part = self.activity.part
        name = named(self.fit_path, part, is_main=part == self._main_part)
        return known.matched.rows.get(name)

    def peek(self, start_s: float, stop_s: float) -> Reading:
        """What would be shown, were the window there; stretches are not weighed."""
        try:
            moved = set_window(self.state.draft, self.state.frame, start_s=start_s, stop_s=stop_s)
        except DecisionProblem as refusal:
            return Reading(sentence=str(refusal))
        return self._read(moved.decisions, suggestions=())

    @property
    def seen(self) -> str | None:
        """Checksum of the decisions as they were read; None where there were none."""
        return self._seen

    def window_map(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Starts and ends [s], and the drift of every window between them [%], for the window map."""
        return drift_of_windows(self._detected, self.state.decisions)

    def save(self) -> Decisions:
        """Write the decisions beside the recording, unless somebody else did so in the meantime."""
        decisions = self.state.decisions
        self._seen = self._athlete.save_decisions(
            self.fit_path, decisions, based_on=self._seen, main_part=self._main_part
        )
        self.is_saved = True
        return decisions


def frame_of(activity: Activity, detected: Detected) -> Frame:
    """The recording's length, its laps, and what was found in it as suggestions."""
    length_s = length_of(activity)
    return Frame(
        length_s=length_s,
        suggestions=tuple(
            Suggestion(
                start_s=span.start_s,
                stop_s=min(span.stop_s, length_s),
                reason=span.reason,
                found_by=steady.METHOD if span.reason == "pause" else artefacts.METHOD,
            )
            for span in detected.suggestions
        ),
        suggested_window=suggested_window(detected),
        suggested_pauses=suggested_pauses(detected),
        laps=tuple(Span(start_s=a, stop_s=b) for a, b in activity.laps[["start_s", "stop_s"]].to_numpy()),
    )


def length_of(activity: Activity) -> float:
    """Seconds to the end of the last record, which stands for a second of its own."""
    return float(np.floor(activity.elapsed_s)) + 1.0
