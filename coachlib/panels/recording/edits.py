"""What a coach can do to the decisions about one recording: each edit makes a new draft from an old one.

Plain functions without a screen.  Every one takes the draft, the frame it must fit, and named values as
they come from a person; each refuses in a sentence what does not fit.
"""

import math
from collections.abc import Callable
from dataclasses import replace

from coachlib.analysis.recording.judge import begun, main_window
from coachlib.errors import DecisionProblem
from coachlib.measures.common.spans import Stretch
from coachlib.panels.recording.clock import clock, seconds_of
from coachlib.panels.recording.draft import Draft, Frame, exclusion_of, numbered
from coachlib.panels.recording.stage_edits import add_stage, remove_stage, type_stage
from coachlib.records.decisions import KINDS, Decisions, Exclusion, Purpose, Window

#: The shortest window and the shortest exclusion that can be set by hand.  This project's own choice: a
#: slip of the pointer makes neither.
MIN_WINDOW_S = 60.0
MIN_EXCLUSION_S = 1.0

_TRIALS = ("time trial", "critical trial")


def first_draft(decisions: Decisions, frame: Frame) -> Draft:
    """Where editing begins: what was saved, with the suggested window where no window was."""
    return Draft(decisions=begun(decisions, frame.suggested_window, frame.suggested_pauses))


def set_window(draft: Draft, frame: Frame, *, start_s: float, stop_s: float) -> Draft:
    """Put the window somewhere; its ends go to whole seconds inside the recording."""
    start_s, stop_s = _ordered(start_s, stop_s, frame)
    if stop_s - start_s < MIN_WINDOW_S:
        raise DecisionProblem(
            f"a window of {stop_s - start_s:.0f} s was asked for; it needs at least {MIN_WINDOW_S:.0f} s. "
            f"Move one end outwards."
        )
    return replace(draft, decisions=_with_window(draft.decisions, start_s, stop_s))


def type_window(draft: Draft, frame: Frame, *, edge: str, text: str) -> Draft:
    """Put one end of the window where a typed time says."""
    return _with_edge(draft, frame, edge, seconds_of(text))


def nudge_window(draft: Draft, frame: Frame, *, edge: str, by_s: float) -> Draft:
    """Move one end, or both, by some seconds; moved whole, the window keeps its length."""
    window = _window_or_refuse(draft)
    if edge == "both":
        by_s = min(max(by_s, -window.start_s), frame.length_s - window.stop_s)
        return set_window(draft, frame, start_s=window.start_s + by_s, stop_s=window.stop_s + by_s)
    stands_s = window.start_s if edge == "start" else window.stop_s
    return _with_edge(draft, frame, edge, min(max(stands_s + by_s, 0.0), frame.length_s))


def window_from_lap(draft: Draft, frame: Frame, *, lap: int) -> Draft:
    """Take one lap as the window."""
    span = numbered(frame.laps, lap, "lap")
    return set_window(draft, frame, start_s=span.start_s, stop_s=span.stop_s)


def window_at(draft: Draft, frame: Frame, *, at_s: float) -> Draft:
    """Take the stretch around a moment as the window: a typed stage, else a lap."""
    stretches: tuple[Stretch, ...] = (*draft.decisions.stages, *(frame.laps if len(frame.laps) > 1 else ()))
    for stretch in stretches:
        if stretch.start_s <= at_s < stretch.stop_s:
            return set_window(draft, frame, start_s=stretch.start_s, stop_s=stretch.stop_s)
    raise DecisionProblem(
        f"at {clock(at_s)} there is neither a stage nor a lap to take as the window. Draw one on the trace."
    )


def halves_from_laps(draft: Draft, frame: Frame, *, lap: int) -> Draft:
    """Take a lap and the next one as the two halves.

    The window's middle is the moment the lap was pressed; both halves are as long as the shorter lap.
    """
    first, second = numbered(frame.laps, lap, "lap"), numbered(frame.laps, lap + 1, "lap")
    half_s = min(first.length_s, second.length_s)
    return set_window(draft, frame, start_s=first.stop_s - half_s, stop_s=first.stop_s + half_s)


def accept(draft: Draft, frame: Frame, *, suggestion: int) -> Draft:
    """Leave out a suggested stretch."""
    made = exclusion_of(numbered(frame.suggestions, suggestion, "suggestion"))
    kept = tuple(e for e in draft.decisions.exclusions if not _same_stretch(e, made))
    return Draft(
        decisions=_with_exclusions(draft.decisions, (*kept, made)), rejected=draft.rejected - {suggestion}
    )


def reject(draft: Draft, frame: Frame, *, suggestion: int) -> Draft:
    """Turn a suggestion down; where it was accepted before, its stretch counts again."""
    reopened = reopen(draft, frame, suggestion=suggestion)
    return replace(reopened, rejected=reopened.rejected | {suggestion})


def reopen(draft: Draft, frame: Frame, *, suggestion: int) -> Draft:
    """Make a suggestion one that was not answered yet."""
    made = exclusion_of(numbered(frame.suggestions, suggestion, "suggestion"))
    kept = tuple(e for e in draft.decisions.exclusions if not _same_stretch(e, made))
    return Draft(decisions=_with_exclusions(draft.decisions, kept), rejected=draft.rejected - {suggestion})


def exclude(draft: Draft, frame: Frame, *, start_s: float, stop_s: float, reason: str = "") -> Draft:
    """Leave out a stretch of heart rate that the coach points at."""
    start_s, stop_s = _ordered(start_s, stop_s, frame)
    if stop_s - start_s < MIN_EXCLUSION_S:
        raise DecisionProblem(
            f"a stretch of {stop_s - start_s:.0f} s was to be left out; it needs at least "
            f"{MIN_EXCLUSION_S:.0f} s. Draw or type a longer one."
        )
    made = Exclusion(start_s=start_s, stop_s=stop_s, reason=reason.strip() or "by hand")
    return replace(draft, decisions=_with_exclusions(draft.decisions, (*draft.decisions.exclusions, made)))


def type_exclusion(draft: Draft, frame: Frame, *, start: str, stop: str, reason: str = "") -> Draft:
    """Leave out a stretch between two typed times."""
    return exclude(draft, frame, start_s=seconds_of(start), stop_s=seconds_of(stop), reason=reason)


def count_again(draft: Draft, frame: Frame, *, exclusion: int) -> Draft:
    """Take an exclusion back: its stretch counts again."""
    gone = numbered(draft.decisions.exclusions, exclusion, "exclusion")
    kept = tuple(e for e in draft.decisions.exclusions if e is not gone)
    return replace(draft, decisions=_with_exclusions(draft.decisions, kept))


def set_kind(draft: Draft, frame: Frame, *, kind: str | None) -> Draft:
    """Say what kind of session this was; the main window becomes a trial's or a steady one to match."""
    if kind is not None and kind not in KINDS:
        raise DecisionProblem(f"“{kind}” is no kind of session; the kinds are {', '.join(KINDS)}.")
    decisions = draft.decisions.model_copy(update={"kind": kind})
    if window := main_window(decisions):
        decisions = _with_window(decisions, window.start_s, window.stop_s)
    return replace(draft, decisions=decisions)


def back_to_suggestions(draft: Draft, frame: Frame) -> Draft:
    """The suggested window, no exclusions, every suggestion unanswered; kind and stages stay."""
    others = tuple(w for w in draft.decisions.windows if w is not main_window(draft.decisions))
    bare = draft.decisions.model_copy(update={"windows": others, "exclusions": ()})
    return first_draft(bare, frame)


#: What the screen may ask for: name -> edit.
EDITS: dict[str, Callable[..., Draft]] = {
    edit.__name__: edit
    for edit in (
        set_window, type_window, nudge_window, window_from_lap, window_at, halves_from_laps, accept, reject, reopen,
        exclude, type_exclusion, count_again, add_stage, type_stage, remove_stage, set_kind,
        back_to_suggestions,
    )
}  # fmt: skip


def _window_or_refuse(draft: Draft) -> Window:
    window = main_window(draft.decisions)
    if window is None:
        raise DecisionProblem("there is no window yet. Draw one on the trace, or type its start and its end.")
    return window


def _with_edge(draft: Draft, frame: Frame, edge: str, to_s: float) -> Draft:
    """The window with one end put elsewhere; it never turns inside out."""
    if edge not in ("start", "stop"):
        raise DecisionProblem(f"a window has a start and a stop, but no “{edge}”.")
    window = main_window(draft.decisions) or Window(start_s=0.0, stop_s=frame.length_s)
    start_s, stop_s = (to_s, window.stop_s) if edge == "start" else (window.start_s, to_s)
    if stop_s <= start_s:
        raise DecisionProblem(
            f"the window would start at {clock(start_s)} and end at {clock(stop_s)}. "
            f"It must end after it starts."
        )
    return set_window(draft, frame, start_s=start_s, stop_s=stop_s)


def _with_window(decisions: Decisions, start_s: float, stop_s: float) -> Decisions:
    """Decisions whose main window lies there; note and place in the list stay."""
    purpose: Purpose = "trial" if decisions.kind in _TRIALS else "steady"
    old = main_window(decisions)
    for other in decisions.windows:
        if (
            other is not old
            and other.purpose == purpose
            and start_s < other.stop_s
            and other.start_s < stop_s
        ):
            raise DecisionProblem(
                f"the window would overlap another one, {clock(other.start_s)} to {clock(other.stop_s)}. "
                f"They may touch, not overlap."
            )
    if old is None:
        windows: tuple[Window, ...] = (
            *decisions.windows,
            Window(start_s=start_s, stop_s=stop_s, purpose=purpose),
        )
    else:
        new = old.model_copy(update={"start_s": start_s, "stop_s": stop_s, "purpose": purpose})
        windows = tuple(new if w is old else w for w in decisions.windows)
    return decisions.model_copy(update={"windows": windows})


def _with_exclusions(decisions: Decisions, exclusions: tuple[Exclusion, ...]) -> Decisions:
    ordered = tuple(sorted(exclusions, key=lambda e: (e.start_s, e.stop_s)))
    return decisions.model_copy(update={"exclusions": ordered})


def _same_stretch(one: Exclusion, other: Exclusion) -> bool:
    return (one.start_s, one.stop_s, one.quantity) == (other.start_s, other.stop_s, other.quantity)


def _ordered(start_s: float, stop_s: float, frame: Frame) -> tuple[float, float]:
    """Two ends in order, on whole seconds, inside the recording."""
    if not (math.isfinite(start_s) and math.isfinite(stop_s)):
        raise DecisionProblem("a stretch needs a start and an end in seconds; one of them is no number.")
    low_s, high_s = sorted((float(start_s), float(stop_s)))
    if low_s >= frame.length_s or high_s <= 0.0:
        raise DecisionProblem(
            f"{clock(max(low_s, 0.0))} lies outside the recording, which ends at {clock(frame.length_s)}."
        )
    return max(float(round(low_s)), 0.0), min(float(round(high_s)), frame.length_s)
