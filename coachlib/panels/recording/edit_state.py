"""The state behind the trace editor: a draft of the decisions, undo and redo, and what was saved.

No widgets, no files, no clock: the screen sends edits by name, this class keeps the truth.
"""

from typing import Any

from coachlib.errors import DecisionProblem
from coachlib.panels.recording.changes import changes_between
from coachlib.panels.recording.draft import Draft, Frame, exclusion_of
from coachlib.panels.recording.edits import EDITS, first_draft
from coachlib.records.decisions import Decisions

#: How many steps can be undone.
LONGEST_MEMORY = 500


class EditState:
    """A draft of the decisions about one recording.

    Parameters
    ----------
    saved : Decisions
        What the file holds (an empty ``Decisions`` where nothing was saved).
    frame : Frame
        The recording's length, its laps and the suggestions.

    Notes
    -----
    One gesture is one step, and each step is a whole, immutable draft, so that
    an undo restores exactly what was there.

    Examples
    --------
    >>> from coachlib.measures.common.spans import Span
    >>> frame = Frame(length_s=3600.0, suggested_window=Span(start_s=900.0, stop_s=3600.0))
    >>> state = EditState(Decisions(fit_sha256="9f2c" * 16), frame)
    >>> state.apply("nudge_window", edge="start", by_s=60.0)
    >>> state.decisions.windows[0].start_s
    960.0
    >>> state.undo()
    >>> state.decisions.windows[0].start_s
    900.0
    """

    def __init__(self, saved: Decisions, frame: Frame) -> None:
        self.frame = frame
        self._saved = saved
        self._draft = first_draft(saved, frame)
        self._undo: list[Draft] = []
        self._redo: list[Draft] = []
        self._gesture: str | None = None

    @property
    def draft(self) -> Draft:
        """The draft as it stands."""
        return self._draft

    @property
    def decisions(self) -> Decisions:
        """The decisions as they stand, saved or not."""
        return self._draft.decisions

    @property
    def saved(self) -> Decisions:
        """What the file held when it was last read or written."""
        return self._saved

    @property
    def is_dirty(self) -> bool:
        """Whether anything would be different in the file after a save."""
        return self.decisions != self._saved

    @property
    def can_undo(self) -> bool:
        """Whether there is a step to take back."""
        return bool(self._undo)

    @property
    def has_steps(self) -> bool:
        """Whether the coach did something that a save would write."""
        return self.is_dirty and self.can_undo

    @property
    def can_redo(self) -> bool:
        """Whether a step that was taken back can be done again."""
        return bool(self._redo)

    def apply(self, edit: str, /, *, gesture: str | None = None, **values: Any) -> None:
        """Do one edit of ``edits.EDITS`` by its name.

        Parameters
        ----------
        edit : str
            Name of the edit.
        gesture : str, optional
            Edits of one gesture in a row (a held arrow key) make one step to undo.
        **values
            What the edit needs, by name.

        Raises
        ------
        DecisionProblem
            When the edit is unknown or does not fit; the draft then stays as it was.
        """
        if edit not in EDITS:
            raise DecisionProblem(f"“{edit}” is no edit; the edits are {', '.join(EDITS)}.")
        try:
            changed = EDITS[edit](self._draft, self.frame, **values)
        except TypeError as problem:
            raise DecisionProblem(
                f"“{edit}” was asked for with values it cannot use: {problem}."
            ) from problem
        goes_on = gesture is not None and gesture == self._gesture and bool(self._undo)
        self._gesture = gesture
        if changed == self._draft:
            return
        if not goes_on:
            self._undo = [*self._undo, self._draft][-LONGEST_MEMORY:]
        self._redo = []
        self._draft = changed

    def undo(self) -> None:
        """Take the last step back."""
        if not self._undo:
            raise DecisionProblem("there is nothing to undo.")
        self._redo.append(self._draft)
        self._draft = self._undo.pop()
        self._gesture = None

    def redo(self) -> None:
        """Do again what was taken back."""
        if not self._redo:
            raise DecisionProblem("there is nothing to do again.")
        self._undo.append(self._draft)
        self._draft = self._redo.pop()
        self._gesture = None

    def take_up(self, draft: Draft) -> None:
        """Go on from a draft that was kept elsewhere; it can be undone."""
        if draft != self._draft:
            self._undo = [*self._undo, self._draft][-LONGEST_MEMORY:]
            self._redo, self._draft, self._gesture = [], draft, None

    def note_saved(self, written: Decisions) -> None:
        """Remember what the file holds now; the steps before the save can still be undone."""
        self._saved = written
        self._gesture = None

    def changes(self) -> tuple[str, ...]:
        """What is different from the saved decisions, in words; empty where nothing is."""
        return changes_between(self._saved, self.decisions)

    def suggestion_states(self) -> tuple[str, ...]:
        """For each suggestion: "accepted", "rejected" or "open"."""
        left_out = {(e.start_s, e.stop_s) for e in self.decisions.exclusions if e.quantity == "hr_bpm"}
        return tuple(
            "accepted"
            if (made.start_s, made.stop_s) in left_out
            else ("rejected" if number in self._draft.rejected else "open")
            for number, made in enumerate(exclusion_of(s) for s in self.frame.suggestions)
        )
