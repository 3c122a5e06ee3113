"""What is different between two decisions about one recording, in words."""

from coachlib.analysis.recording.judge import main_window
from coachlib.panels.recording.clock import clock
from coachlib.records.decisions import Decisions, Exclusion, Stage
from coachlib.report.words import wording


def changes_between(old: Decisions, new: Decisions) -> tuple[str, ...]:
    """Say in short sentences what ``new`` has that ``old`` has not, and the other way round.

    Parameters
    ----------
    old, new : Decisions
        Decisions about the same recording.

    Returns
    -------
    tuple of str
        One sentence a difference; empty where there is none.

    Notes
    -----
    A coach who is asked to save must be able to read what.

    Examples
    --------
    >>> nothing = Decisions(fit_sha256="9f2c" * 16)
    >>> changes_between(nothing, nothing.model_copy(update={"kind": "easy"}))
    ('Kind: easy (was: not said).',)
    """
    return (*_kind(old, new), *_window(old, new), *_exclusions(old, new), *_stages(old, new))


def _kind(old: Decisions, new: Decisions) -> tuple[str, ...]:
    if old.kind == new.kind:
        return ()
    return (f"Kind: {new.kind or 'not said'} (was: {old.kind or 'not said'}).",)


def _window(old: Decisions, new: Decisions) -> tuple[str, ...]:
    was, now = main_window(old), main_window(new)
    if now is None:
        return () if was is None else (f"Window {clock(was.start_s)} to {clock(was.stop_s)} taken away.",)
    where = f"{clock(now.start_s)} to {clock(now.stop_s)}"
    if was is None:
        return (f"Window: {where} (none saved yet).",)
    if (was.start_s, was.stop_s) != (now.start_s, now.stop_s):
        return (f"Window: {where} (was {clock(was.start_s)} to {clock(was.stop_s)}).",)
    return () if was == now else (f"Window {where} is now for: {now.purpose}.",)


def _exclusions(old: Decisions, new: Decisions) -> tuple[str, ...]:
    added = [e for e in new.exclusions if e not in old.exclusions]
    gone = [e for e in old.exclusions if e not in new.exclusions]
    return (
        *(f"Left out: {_stretch(e)}." for e in added),
        *(f"Counts again: {_stretch(e)}." for e in gone),
    )


def _stages(old: Decisions, new: Decisions) -> tuple[str, ...]:
    if old.stages == new.stages:
        return ()
    if not new.stages:
        return ("All stages taken away.",)
    return (f"Stages: {'; '.join(_settings(s) for s in new.stages)}.",)


def _stretch(exclusion: Exclusion) -> str:
    reason = f" ({exclusion.reason})" if exclusion.reason else ""
    return f"{clock(exclusion.start_s)} to {clock(exclusion.stop_s)}{reason}"


def _settings(stage: Stage) -> str:
    """A stage as "from 0:15:00 10 km/h at 6 %"."""
    speed = (
        ""
        if stage.speed_mps is None
        else f" {wording.in_speed_unit(stage.speed_mps):.4g} {wording.speed_unit()}"
    )
    power = "" if stage.power_w is None else f" {stage.power_w:.4g} W"
    grade = "" if stage.grade is None else f" at {stage.grade * 100:.3g} %"
    lactate = "" if stage.lactate_mmol_l is None else f" with {stage.lactate_mmol_l:.3g} mmol/l"
    given = f"{speed}{power}{grade}{lactate}"
    return f"from {clock(stage.start_s)}{given or ' not filled in'}"
