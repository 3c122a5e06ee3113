"""Edits of the stage table: settings of a treadmill or an ergometer that are not in the file."""

from dataclasses import replace
from itertools import pairwise

from coachlib.analysis.recording.judge import main_window
from coachlib.errors import DecisionProblem
from coachlib.panels.recording.clock import clock, seconds_of
from coachlib.panels.recording.draft import Draft, Frame, numbered
from coachlib.records.decisions import Stage
from coachlib.records.units import typed_value
from coachlib.report.words import wording

#: What a stage can be given beside speed: what one typed unit (%, W, mmol/l) is in the unit that is kept.
PER_TYPED = {"grade": 0.01, "power_w": 1.0, "lactate_mmol_l": 1.0}
#: All of it, in the order of the table's columns.
SETTINGS = ("speed_mps", *PER_TYPED)


def add_stage(draft: Draft, frame: Frame) -> Draft:
    """Add a stage: from the end of the last one (or the window's start) to the end of the recording."""
    stages, window = draft.decisions.stages, main_window(draft.decisions)
    start_s = stages[-1].stop_s if stages else (window.start_s if window else 0.0)
    stop_s = window.stop_s if window and window.stop_s > start_s else frame.length_s
    if stop_s <= start_s:
        raise DecisionProblem(
            f"a further stage was asked for, but the last one ends with the recording at {clock(start_s)}. "
            f"Shorten that one first."
        )
    return _with_stages(draft, (*stages, Stage(start_s=start_s, stop_s=stop_s)))


def type_stage(draft: Draft, frame: Frame, *, stage: int, name: str, text: str) -> Draft:
    """Change one cell of the stage table: a time, or a setting (empty: not known)."""
    old = numbered(draft.decisions.stages, stage, "stage")
    if name in ("start_s", "stop_s"):
        value: float | None = min(seconds_of(text), frame.length_s)
    elif name in SETTINGS:
        value = _setting(name, text)
    else:
        raise DecisionProblem(
            f"a stage has no “{name}”; it has a start, a stop, a speed, a grade, a power and lactate."
        )
    changed = old.model_copy(update={name: value})
    if changed.stop_s <= changed.start_s:
        raise DecisionProblem(
            f"the stage would start at {clock(changed.start_s)} and end at {clock(changed.stop_s)}. "
            f"It must end after it starts."
        )
    return _with_stages(draft, tuple(changed if s is old else s for s in draft.decisions.stages))


def remove_stage(draft: Draft, frame: Frame, *, stage: int) -> Draft:
    """Take a stage out of the table."""
    gone = numbered(draft.decisions.stages, stage, "stage")
    return _with_stages(draft, tuple(s for s in draft.decisions.stages if s is not gone))


def _with_stages(draft: Draft, stages: tuple[Stage, ...]) -> Draft:
    ordered = tuple(sorted(stages, key=lambda s: s.start_s))
    for one, following in pairwise(ordered):
        if following.start_s < one.stop_s:
            raise DecisionProblem(
                f"two stages overlap: {clock(one.start_s)} to {clock(one.stop_s)} and "
                f"{clock(following.start_s)} to {clock(following.stop_s)}. They may touch, not overlap."
            )
    return replace(draft, decisions=draft.decisions.model_copy(update={"stages": ordered}))


def _setting(name: str, text: str) -> float | None:
    """A typed setting in the unit that is kept; None where the cell was emptied."""
    typed = text.strip().replace(",", ".")
    if not typed:
        return None
    try:
        if name == "speed_mps":
            value = typed_value(typed, "speed", units=wording.units())
        else:
            value = float(typed) * PER_TYPED[name]
        Stage.model_validate({"start_s": 0.0, "stop_s": 1.0, name: value})
    except ValueError:
        needed = Stage.model_fields[name].description
        raise DecisionProblem(f"“{text.strip()}” was typed; needed is {needed}.") from None
    return value
