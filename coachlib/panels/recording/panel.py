"""The panel of ``workbooks/recording.ipynb``: choose a recording, edit its decisions, see what they do."""

import os
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ipywidgets

from coachlib.errors import CoachError, RosterProblem
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder, open_roster
from coachlib.files.roster.places import DERIVED_FOLDER
from coachlib.files.store.drafts import Drafts
from coachlib.panels.choosing.choosing import athlete_names
from coachlib.panels.desk.page_keeper import PageKeeper
from coachlib.panels.recording.subject import RecordingSubject
from coachlib.panels.recording.trace_editor import TraceEditor
from coachlib.panels.recording.unsaved import Unsaved
from coachlib.records.activity import Part
from coachlib.report.words import wording
from coachlib.report.words.sports import sport_in_words


class RecordingPanel(ipywidgets.VBox):
    """Lists to choose an athlete, a recording and its session, and the trace editor under them.

    Drafts are kept while the panel lives: going to another recording and back loses nothing.
    """

    def __init__(self, roster: RosterFolder, athlete: str, recording: str | None) -> None:
        self._roster = roster
        self._is_listing = False
        self._subjects: dict[tuple[Path, int | None], RecordingSubject] = {}
        self._unsaved: dict[int, Unsaved] = {}
        self._shown: RecordingSubject | None = None
        self.editor = TraceEditor(read_again=self._read_again)
        self.athlete = ipywidgets.Dropdown(
            description="Athlete", options=athlete_names(roster), value=athlete
        )
        self.recording = ipywidgets.Dropdown(description="Recording", layout={"width": "26em"})
        self.part = ipywidgets.Dropdown(description="Session", layout={"width": "20em", "display": "none"})
        self.athlete.observe(self._guarded(lambda: self._list_recordings(None)), "value")
        self.recording.observe(self._guarded(self._open), "value")
        self.part.observe(self._guarded(lambda: self._open(self.part.value)), "value")
        lists = ipywidgets.HBox([self.athlete, self.recording, self.part], layout={"flex_flow": "row wrap"})
        keeper = PageKeeper(athlete=self.athlete, recording=self.recording)
        super().__init__([lists, self.editor, keeper])
        self._list_recordings(recording)

    def __repr__(self) -> str:
        """A name that is the same in every run."""
        return f"the panel for {self.recording.label or 'no recording'} of {self.athlete.value}"

    @property
    def subject(self) -> RecordingSubject:
        """The recording on the screen, with its decisions as they stand."""
        if self._shown is None:
            raise RosterProblem("no recording is open. Choose one in the list above the trace.")
        return self._shown

    def _list_recordings(self, wanted: str | None) -> None:
        """Offer the athlete's recordings, the newest first, and open the wanted one (else the newest)."""
        paths = recordings_of(self._folder())
        chosen = chosen_recording(self._folder(), wanted)
        self._is_listing = True
        self.recording.options = [(path.stem, path) for path in paths]
        self.recording.value = chosen
        self._is_listing = False
        self._open()

    def _open(self, part: int | None = None) -> None:
        """Show the chosen recording, and of several sessions the one asked for or else decided about."""
        if self._is_listing:
            return
        path = self.recording.value
        self._shown = None
        try:
            if path is None:
                raise RosterProblem(f"{self.athlete.label} has no recording yet.")
            subject = self._subject_of(path, part)
        except CoachError as refusal:
            if part is None:
                self._offer_parts(())
            self.editor.show_nothing(f"{path.name} cannot be shown: {refusal}" if path else str(refusal))
            return
        self._shown = subject
        self._offer_parts(subject.activity.parts, subject.activity.part)
        name = f"{self.athlete.value}/{path.stem}/{subject.activity.part}"
        self.editor.show(subject, said=self._to_know(subject), kept=self._unsaved[id(subject)], name=name)

    def _subject_of(self, path: Path, part: int | None) -> RecordingSubject:
        if (path, part) not in self._subjects:
            subject = RecordingSubject(self._roster, self._folder(), path, part=part)
            folder = self._roster.path / DERIVED_FOLDER / "drafts" / self.athlete.value
            drafts = Drafts(folder, path.stem, subject.activity.sha256, subject.activity.part)
            self._unsaved[id(subject)] = Unsaved(subject, drafts)
            self._subjects[path, part] = self._subjects[path, subject.activity.part] = subject
        return self._subjects[path, part]

    def _offer_parts(self, parts: tuple[Part, ...], shown: int | None = None) -> None:
        """List the sessions of a file that holds several; a file with one is not asked about."""
        self._is_listing = True
        self.part.options = [(_name_of_part(part), part.number) for part in parts]
        self.part.value = shown
        self.part.layout.display = None if len(parts) > 1 else "none"
        self._is_listing = False

    def _to_know(self, subject: RecordingSubject) -> str:
        """What else the coach should know: drafts that are not saved, decisions that a save would replace."""
        unsaved = sorted(
            {p.stem for (p, _), s in self._subjects.items() if s is not subject and s.state.has_steps}
        )
        said = [f"Not saved yet: {', '.join(unsaved)}."] if unsaved else []
        if self._unsaved[id(subject)].is_open_elsewhere:
            said.append("Another window has changes of this recording that are not saved.")
        return " ".join(said)

    def _read_again(self) -> None:
        """Take what the file says now; what was not saved stays on offer."""
        for (path, _), subject in self._subjects.items():
            if path == self.recording.value:
                self._unsaved[id(subject)].release()
        self._subjects = {k: s for k, s in self._subjects.items() if k[0] != self.recording.value}
        self._open()

    def _folder(self) -> AthleteFolder:
        return self._roster.athlete(self.athlete.value).fresh()

    def _guarded(self, act: Callable[[], None]) -> Callable[[Any], None]:
        """A callback whose failure is said on the panel: a notebook would swallow it."""

        def callback(_: Any) -> None:
            with self.editor.lock:
                try:
                    wording.speak(self._folder().athlete().units)
                    act()
                except CoachError as refusal:
                    self.editor.show_nothing(str(refusal))
                except Exception:
                    self.editor.errors.append(traceback.format_exc())
                    self.editor.show_nothing(f"Not done: {self.editor.errors[-1].strip().splitlines()[-1]}")

        return callback


class StillPanel:
    """The panel without a screen: the trace as it is decided, and what it shows."""

    def __init__(self, subject: RecordingSubject) -> None:
        self.subject = subject

    def _repr_mimebundle_(self, **options: Any) -> dict[str, Any]:
        """Give Jupyter the picture."""
        # charts take two seconds to import, and the interactive panel does without them
        from coachlib.panels.recording.still import still_picture

        return still_picture(self.subject)._repr_mimebundle_(**options)


def recording_panel(
    roster: str | os.PathLike[str] | None,
    athlete: str | None = None,
    recording: str | None = None,
    *,
    interactive: bool = True,
) -> "RecordingPanel | StillPanel":
    """Open one recording for editing, or, without a screen, as a still picture.

    Parameters
    ----------
    roster : path or None
        The roster's folder; None takes the one that ``COACHLIB_ROSTER`` names.
    athlete : str
        An athlete's folder name or name; None takes the first.
    recording : str
        A recording's file name with or without its ending; None takes the newest.
    interactive : bool
        False gives the picture with what it shows, for a run without a browser.

    Raises
    ------
    RosterProblem
        When there is no such roster, athlete or recording.

    Examples
    --------
    ``workbooks/recording.ipynb`` is this function and two sentences.
    """
    folder = open_roster(roster)
    owner = chosen_athlete(folder, athlete)
    fit_path = chosen_recording(owner, recording)
    if interactive:
        return RecordingPanel(folder, owner.slug, recording)
    if fit_path is None:
        raise RosterProblem(f"{owner.slug} has no recording to show. Add one with: coachlib add.")
    return StillPanel(RecordingSubject(folder, owner, fit_path))


def chosen_athlete(roster: RosterFolder, named: str | None) -> AthleteFolder:
    """The athlete of that name, the first one where no name is given; from here on its units are spoken in."""
    slugs = roster.athletes()
    if not slugs:
        raise RosterProblem(
            f"the roster {roster.settings.name} has no athlete yet. Add a folder with an athlete.toml."
        )
    own = roster.athlete(named or slugs[0])
    wording.speak(own.athlete().units)
    return own


def _name_of_part(part: Part) -> str:
    return f"{part.number + 1}: {sport_in_words(part.sport)}, {wording.duration(part.stop_s - part.start_s)}"


def recordings_of(athlete: AthleteFolder) -> tuple[Path, ...]:
    """The athlete's recordings, the last by name first (names begin with the date)."""
    return tuple(reversed(athlete.recordings()))


def chosen_recording(athlete: AthleteFolder, named: str | None) -> Path | None:
    """The recording of that name, else the newest; None where there is none at all."""
    paths = recordings_of(athlete)
    found = [p for p in paths if named in (p.name, p.stem)] if named else list(paths[:1])
    if named and not found:
        raise RosterProblem(f"{athlete.slug} has no recording “{named}”; there are {len(paths)} others.")
    return found[0] if found else None
