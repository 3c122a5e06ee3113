"""The trace editor's two ends: what the screen asks for, and what it is told to show.

The kernel holds the truth in an ``EditState``; the screen sends small edits and draws what comes back.
There is one way: message in, one change of ``view`` out, so nothing can echo.
"""

import threading
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import Any, Protocol

import anywidget
import numpy as np
import traitlets

from coachlib.analysis.recording.judge import main_window
from coachlib.analysis.recording.steady_stretch import INFORMATION
from coachlib.errors import CoachError
from coachlib.panels.recording.clock import clock
from coachlib.panels.recording.edit_state import EditState
from coachlib.panels.recording.lanes import Lane
from coachlib.panels.recording.stage_edits import PER_TYPED, SETTINGS
from coachlib.panels.recording.verdict import Reading
from coachlib.records.decisions import KINDS, Decisions, Stage
from coachlib.report.words import wording

_SCREEN = Path(__file__).parent / "screen"

#: What the screen is told before a recording is open, or where one cannot be.
_NOTHING: dict[str, Any] = {
    "version": 0,
    "window": None,
    "halves": None,
    "exclusions": [],
    "suggestions": [],
    "stages": [],
    "kind": None,
    "sentence": "",
    "detail": "",
    "findings": [],
    "refused_save": False,
    "changes": [],
    "status": "",
    "failed": False,
    "is_dirty": False,
    "can_undo": False,
    "can_redo": False,
    "kept": None,
    "answered": 0,
    "subject": "",
}


class Kept(Protocol):
    """Where edits go at once, and what of them was found on return."""

    def note(self) -> None:
        """Keep what is not saved now."""

    def offer(self) -> dict[str, Any] | None:
        """What was left behind, in words."""

    def take_up(self) -> None:
        """Go on from what was left behind."""

    def drop(self) -> None:
        """Forget what was left behind."""


class Subject(Protocol):
    """What the editor needs to know and do about the recording it shows."""

    state: EditState

    def lanes(self) -> tuple[Lane, ...]:
        """Lanes as the present stages make them."""

    def note_stages(self) -> None:
        """Stages were typed in: suggest anew what depends on them."""

    def read(self) -> Reading:
        """What the present decisions show."""

    def peek(self, start_s: float, stop_s: float) -> Reading:
        """What would be shown, were the window there."""

    def save(self) -> Decisions:
        """Write the decisions; what the file holds afterwards."""


class TraceEditor(anywidget.AnyWidget):
    """The trace of one recording with its window, exclusions and suggestions, to be edited by hand.

    Parameters
    ----------
    read_again : callable, optional
        Called when the coach wants to see what the file says now, after a save was refused.

    Notes
    -----
    No ready-made chart can drag one edge of a brush, zoom to a one-second
    spike and keep the window through a reload of the page.

    Examples
    --------
    >>> TraceEditor().errors
    []
    """

    # one script for the page, read from short files in the order of their names
    _esm = "\n".join(part.read_text(encoding="utf-8") for part in sorted(_SCREEN.glob("*.js")))
    _css = (_SCREEN / "editor.css").read_text(encoding="utf-8")
    scene = traitlets.Dict({"n": 0, "lanes": [], "laps": [], "kinds": []}).tag(sync=True)
    trace = traitlets.Bytes(b"").tag(sync=True)
    view = traitlets.Dict(_NOTHING).tag(sync=True)

    def __init__(self, read_again: Callable[[], None] | None = None) -> None:
        super().__init__()
        self.errors: list[str] = []
        self.lock = threading.RLock()
        self._read_again = read_again
        self._subject: Subject | None = None
        self._drawn_stages: object = None
        self._refused_save = False
        self._kept: Kept | None = None
        self._name = ""
        self._answered = 0
        self.on_msg(lambda _, message, __: self._answer(message))

    def __repr__(self) -> str:
        """A name that is the same in every run."""
        return "the trace editor"

    def show(self, subject: Subject, *, said: str = "", kept: Kept | None = None, name: str = "") -> None:
        """Show a recording, and say something about it; ``kept`` keeps its edits, ``name`` tells it from others."""
        with self.lock, self.hold_sync():
            self._subject = subject
            self._kept = kept
            self._name = name
            self._drawn_stages = None
            self._refused_save = False
            self._show(said)

    def show_nothing(self, sentence: str) -> None:
        """Show no recording, and say why."""
        with self.lock, self.hold_sync():
            self._subject = None
            self.scene = {"n": 0, "lanes": [], "laps": [], "kinds": []}
            self.trace = b""
            self.view = {**_NOTHING, "version": self.view["version"] + 1, "sentence": sentence}

    def do(self, edit: str, /, **values: Any) -> None:
        """Do one edit from a notebook cell, as a click would; a refusal is raised, not shown."""
        with self.lock:
            self._open_subject().state.apply(edit, **values)
            self._keep()
            self._show("")

    def _answer(self, message: dict[str, Any]) -> None:
        """Answer one message of the screen: whatever goes wrong is said in the status, never lost."""
        with self.lock:
            self._answered = message.get("number", self._answered)
            try:
                self._act(message)
            except CoachError as refusal:
                self._show(f"Not done: {refusal}", failed=True)
            except Exception:
                self.errors.append(traceback.format_exc())
                last = self.errors[-1].strip().splitlines()[-1]
                self._show(f"Not done: something in the program is wrong ({last}).", failed=True)

    def _act(self, message: dict[str, Any]) -> None:
        subject = self._open_subject()
        if "peek" in message:
            start_s, stop_s = message["peek"]
            reading = subject.peek(float(start_s), float(stop_s))
            self.send({"live": {"halves": reading.halves_bpm, "sentence": reading.sentence}})
            return
        said = ""
        if "edit" in message:
            subject.state.apply(message["edit"], gesture=message.get("gesture"), **message.get("values", {}))
        elif message.get("act") == "save":
            self._save(subject)
            said = "Saved beside the recording."
        elif message.get("act") == "read again" and self._read_again is not None:
            self._read_again()
            return
        elif message.get("act") in ("undo", "redo"):
            getattr(subject.state, message["act"])()
            said = "Undone." if message["act"] == "undo" else "Done again."
        elif message.get("act") == "take up" and self._kept is not None:
            self._kept.take_up()
            said = "Taken up."
        elif message.get("act") == "drop" and self._kept is not None:
            self._kept.drop()
            said = "Dropped."
        self._keep()
        self._show(said)

    def _keep(self) -> None:
        """Keep what is not saved; where that fails the coach is told, and the edit stands."""
        if self._kept is not None:
            self._kept.note()

    def _save(self, subject: Subject) -> None:
        """Save, and remember a refusal: only then is the file worth reading again."""
        self._refused_save = True
        subject.state.note_saved(subject.save())
        self._refused_save = False

    def _open_subject(self) -> Subject:
        if self._subject is None:
            raise CoachError("no recording is open.")
        return self._subject

    def _show(self, status: str, *, failed: bool = False) -> None:
        """Tell the screen how things stand; the rising version makes every answer arrive."""
        subject = self._subject
        if subject is None:
            more = {"status": status, "failed": failed, "answered": self._answered}
            self.view = {**self.view, **more, "version": self.view["version"] + 1}
            return
        with self.hold_sync():
            if self._drawn_stages != subject.state.decisions.stages:
                self._drawn_stages = subject.state.decisions.stages
                subject.note_stages()
                self._draw(subject.lanes(), subject.state)
            reading = subject.read()
            version = self.view["version"] + 1
            self.view = {
                **view_of(subject.state, reading),
                "version": version,
                "status": status,
                "failed": failed,
                "refused_save": self._refused_save,
                "kept": None if self._kept is None else self._kept.offer(),
                "answered": self._answered,
                "subject": self._name,
            }

    def _draw(self, lanes: tuple[Lane, ...], state: EditState) -> None:
        self.scene = {
            "n": int(lanes[0].values.size),
            "length_s": state.frame.length_s,
            "lanes": [_lane(lane, above_px=0 if k == 0 else 30) for k, lane in enumerate(lanes)],
            "laps": [{"start_s": lap.start_s, "stop_s": lap.stop_s} for lap in state.frame.laps],
            "kinds": list(KINDS),
            "speed_unit": wording.speed_unit(),
        }
        self.trace = np.concatenate([lane.values for lane in lanes]).astype(np.float32).tobytes()


def _lane(lane: Lane, *, above_px: int) -> dict[str, Any]:
    return {
        "label": lane.label,
        "unit": lane.unit,
        "digits": lane.digits,
        "height": lane.height_px,
        "above": above_px,
        "least_span": lane.least_span,
        "steps": lane.is_setting,
    }


def view_of(state: EditState, reading: Reading) -> dict[str, Any]:
    """Everything the screen shows that an edit can change, as plain values."""
    window = main_window(state.decisions)
    suggested = {(span.start_s, span.stop_s) for span in state.frame.suggestions}
    return {
        "window": [window.start_s, window.stop_s] if window else None,
        "halves": reading.halves_bpm,
        "exclusions": [
            {
                "start_s": exclusion.start_s,
                "stop_s": exclusion.stop_s,
                "reason": exclusion.reason,
                "effect": effect,
                "is_heart_rate": exclusion.quantity == "hr_bpm",
                "is_suggestion": (exclusion.start_s, exclusion.stop_s) in suggested,
            }
            for exclusion, effect in zip(state.decisions.exclusions, reading.exclusion_effects, strict=True)
        ],
        "suggestions": [
            {
                "start_s": span.start_s,
                "stop_s": span.stop_s,
                "reason": span.reason,
                "state": answer,
                "is_information": span.reason in INFORMATION,
                "effect": effect,
            }
            for span, answer, effect in zip(
                state.frame.suggestions, state.suggestion_states(), reading.suggestion_effects, strict=True
            )
        ],
        "stages": [stage_texts(stage) for stage in state.decisions.stages],
        "kind": state.decisions.kind,
        "sentence": reading.sentence,
        "detail": reading.detail,
        "findings": list(reading.findings),
        "changes": list(state.changes()),
        "is_dirty": state.is_dirty,
        "can_undo": state.can_undo,
        "can_redo": state.can_redo,
    }


def stage_texts(stage: Stage) -> list[str]:
    """A stage as its row in the table is typed: times, then speed, %, W, mmol/l; empty where not known."""
    per_typed = {"speed_mps": wording.mps_of_unit(), **PER_TYPED}
    settings = ((name, getattr(stage, name)) for name in SETTINGS)
    return [
        clock(stage.start_s),
        clock(stage.stop_s),
        *("" if value is None else f"{value / per_typed[name]:.4g}" for name, value in settings),
    ]
