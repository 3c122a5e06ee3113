"""One recording of a roster as the trace editor works on it."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np

from coachlib.analysis.output import output_of
from coachlib.errors import CoachError
from coachlib.files.athlete_folder import AthleteFolder
from coachlib.files.folder import RosterFolder
from coachlib.measures import artefacts, drift, steady
from coachlib.measures.spans import Span
from coachlib.panels.edit_state import EditState
from coachlib.panels.edits import Frame, Suggestion
from coachlib.panels.lanes import Lane, lanes_of
from coachlib.panels.reading import Reading, drift_in, read, used_for_drift
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions, Window

#: Cells of the window map along each side, at most.  This project's own choice: each is still seen.
MAP_CELLS = 40


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
        self.criterion_pct = roster.settings.criterion_pct
        self._seen = athlete.decisions_seen(fit_path)
        whole = roster.store.activity(fit_path)
        saved = athlete.decisions(fit_path, whole.sha256) or Decisions(fit_sha256=whole.sha256)
        self.activity = whole if saved.part is None else roster.store.activity(fit_path, part=saved.part)
        self.state = EditState(saved, frame_of(self.activity, saved, hr_max_bpm=athlete.athlete().hr_max_bpm))

    def lanes(self) -> tuple[Lane, ...]:
        """Lanes as the present stages make them."""
        return lanes_of(self.activity, self.state.decisions)

    def note_stages(self) -> None:
        """Suggest the window that the present stages ask for."""
        changes_s = setting_changes(self.activity, self.state.decisions)
        self.state.frame = replace(
            self.state.frame, suggested_window=suggested_window(self.activity, changes_s)
        )

    def read(self) -> Reading:
        """What the present decisions show."""
        return read(
            self.activity,
            self.state.decisions,
            self.state.frame.suggestions,
            criterion_pct=self.criterion_pct,
        )

    def peek(self, start_s: float, stop_s: float) -> tuple[float, float] | None:
        """The two half means, were the window there; None where that cannot be told."""
        try:
            found = drift_in(self.activity, self.state.decisions, Window(start_s=start_s, stop_s=stop_s))
        except (CoachError, ValueError):
            return None
        return found.first_half_bpm, found.second_half_bpm

    @property
    def is_saved(self) -> bool:
        """Whether the file holds any decisions about the recording."""
        return self._seen is not None

    def window_map(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Starts and ends [s], and the drift of every window between them [%], for the window map."""
        samples = self.activity.samples
        last_s = length_of(self.activity)
        step_s = max(60.0, float(np.ceil(last_s / MAP_CELLS / 60)) * 60)
        starts_s = np.arange(0.0, last_s - drift.MIN_MAP_WINDOW_S + 1, step_s)
        stops_s = np.arange(drift.MIN_MAP_WINDOW_S, last_s + 1, step_s)
        used = used_for_drift(self.activity, self.state.decisions.exclusions)
        columns = samples["time_s"].to_numpy(), samples["hr_bpm"].to_numpy()
        return starts_s, stops_s, drift.drift_map(*columns, used, starts_s=starts_s, stops_s=stops_s)

    def save(self) -> Decisions:
        """Write the decisions beside the recording, unless somebody else did so in the meantime."""
        decisions = self.state.decisions
        self._seen = self._athlete.save_decisions(self.fit_path, decisions, based_on=self._seen)
        return decisions


def frame_of(activity: Activity, decisions: Decisions, *, hr_max_bpm: float | None) -> Frame:
    """The recording's length, its laps, and what is suggested for it."""
    changes_s = setting_changes(activity, decisions)
    return Frame(
        length_s=length_of(activity),
        suggestions=suggestions_for(activity, changes_s, hr_max_bpm=hr_max_bpm),
        suggested_window=suggested_window(activity, changes_s),
        laps=tuple(Span(start_s=a, stop_s=b) for a, b in activity.laps[["start_s", "stop_s"]].to_numpy()),
    )


def length_of(activity: Activity) -> float:
    """Seconds to the end of the last record, which stands for a second of its own."""
    return float(np.floor(activity.elapsed_s)) + 1.0


def setting_changes(activity: Activity, decisions: Decisions) -> tuple[float, ...]:
    """When the settings changed: where typed-in stages begin, else what output shows."""
    if decisions.stages:
        return tuple(stage.start_s for stage in decisions.stages)
    output = output_of(activity, decisions)
    if output is None:
        return ()
    floor = steady.POWER_FLOOR_W if output.kind == "power" else steady.SPEED_FLOOR_MPS
    return steady.setting_changes(activity.samples["time_s"].to_numpy(), output.values, floor=floor)


def suggested_window(activity: Activity, changes_s: tuple[float, ...]) -> Span:
    """The window to begin with."""
    samples = activity.samples
    return steady.suggest_window(
        samples["time_s"].to_numpy(),
        samples["hr_bpm"].to_numpy(),
        pauses=_pauses(activity),
        changes_s=changes_s,
    )


def suggestions_for(
    activity: Activity, changes_s: tuple[float, ...], *, hr_max_bpm: float | None
) -> tuple[Suggestion, ...]:
    """Artefacts where settings were constant, and pauses with the time heart rate takes to come back."""
    samples = activity.samples
    pauses = _pauses(activity)
    edges = sorted({0.0, length_of(activity), *changes_s, *(p.stop_s for p in pauses)})
    artefact_spans = artefacts.suggest_exclusions(
        samples["time_s"].to_numpy(),
        samples["hr_bpm"].to_numpy(),
        cadence_rpm=samples["cadence_rpm"].to_numpy(),
        hr_max_bpm=hr_max_bpm,
        constant=tuple(Span(start_s=a, stop_s=b) for a, b in pairwise(edges)),
    )
    found = [(span, artefacts.METHOD) for span in artefact_spans]
    found += [(span, steady.METHOD) for span in steady.pauses_with_settling(pauses)]
    return tuple(
        Suggestion(
            start_s=span.start_s,
            stop_s=min(span.stop_s, length_of(activity)),
            reason=span.reason,
            found_by=found_by,
        )
        for span, found_by in sorted(found, key=lambda pair: pair[0].start_s)
    )


def _pauses(activity: Activity) -> tuple[Span, ...]:
    return tuple(Span(start_s=a, stop_s=b) for a, b in activity.pauses[["start_s", "stop_s"]].to_numpy())
