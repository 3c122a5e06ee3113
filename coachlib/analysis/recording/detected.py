"""What a recording and its typed-in stages show before any window is chosen: slow, and done once."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from coachlib.analysis.recording.believed import believed
from coachlib.analysis.recording.output import OutputSeries, output_of
from coachlib.measures.common.codes import Code, code
from coachlib.measures.common.spans import Span, spans_of
from coachlib.measures.recording import artefacts, steady
from coachlib.measures.recording.odd_signals import OddSignal
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions, Stage

#: Settings of touching stages that differ by less are one setting. [m/s], [rise over run], [W]
SAME_SETTING = {"speed_mps": 0.01, "grade": 0.0005, "power_w": 0.5}
#: Standing: slower than this share of the usual speed for so long. [s]  Own choice.
STANDING_FRAC, STANDING_S = 0.2, 10.0


@dataclass(frozen=True, kw_only=True, eq=False)
class Detected:
    """What stands out in a recording.

    ``activity`` is the recording without the signals that cannot be facts, ``odd`` what they are.
    ``window`` is the stretch to begin with, None without heart rate; ``not_steady`` says why it tells no drift,
    None where it does.  ``suggestions`` are artefact spans, and pauses with their settling; ``changes_s`` changes of
    setting, ``changes_sure`` whether they are typed in or from indoors.
    """

    activity: Activity
    odd: tuple[OddSignal, ...]
    time_s: np.ndarray
    output: OutputSeries | None
    changes_s: tuple[float, ...]
    changes_sure: bool
    pauses: tuple[Span, ...]
    suggestions: tuple[Span, ...]
    window: Span | None
    not_steady: Code | None
    like_cadence: bool


def detect(
    activity: Activity, decisions: Decisions | None = None, *, hr_max_bpm: float | None = None
) -> Detected:
    """Find changes of setting, pauses, artefacts and a window to begin with.

    Parameters
    ----------
    activity : Activity
        The recording.
    decisions : Decisions, optional
        Only stages matter, which tell the changes of setting, and which signals are trusted.
    hr_max_bpm : float, optional
        The athlete's maximum. [1/min]

    Source
    ------
    See ``measures.recording.artefacts`` and ``measures.recording.steady``.
    """
    activity, odd = believed(activity, decisions)
    samples = activity.samples
    time_s, hr_bpm = samples["time_s"].to_numpy(), samples["hr_bpm"].to_numpy()
    cadence = samples["cadence_rpm"].to_numpy()
    stages = decisions.stages if decisions else ()
    output = output_of(activity, decisions)
    changes = _changes_of_setting(time_s, output, stages, is_indoor=activity.is_indoor)
    pauses = pauses_of(activity)
    has_heart_rate = bool(np.isfinite(hr_bpm).any())
    window = (
        steady.suggest_window(time_s, hr_bpm, pauses=pauses, changes_s=changes) if has_heart_rate else None
    )
    return Detected(
        activity=activity,
        odd=odd,
        time_s=time_s,
        output=output,
        changes_s=changes,
        changes_sure=activity.is_indoor or bool(stages),
        pauses=pauses,
        suggestions=_suggestions(activity, changes, pauses, hr_max_bpm) if has_heart_rate else (),
        window=window,
        not_steady=code("no heart rate")
        if window is None
        else steady.why_not_steady(
            time_s,
            None if output is None else output.values,
            window=window,
            pauses=pauses,
            is_power=output is not None and output.unit == "W",
        ),
        like_cadence=bool(np.isfinite(cadence).any())
        and artefacts.cannot_be_told_from_cadence(time_s, hr_bpm, cadence),
    )


def pauses_of(activity: Activity) -> tuple[Span, ...]:
    """Pauses of the timer, gaps, and stretches of standing still outdoors, in order."""
    stretches = activity.pauses[["start_s", "stop_s"]].to_numpy()
    pauses = [Span(start_s=float(a), stop_s=float(b), reason="pause") for a, b in stretches]
    speed = activity.samples["speed_mps"].to_numpy()
    if not activity.is_indoor and (np.nan_to_num(speed) > 0).any():
        usual = float(np.median(speed[np.nan_to_num(speed) > 0]))
        still = np.nan_to_num(speed, nan=np.inf) < STANDING_FRAC * usual
        spans = spans_of(activity.samples["time_s"].to_numpy(), still, step_s=1.0, reason="pause")
        pauses += [s for s in spans if s.length_s >= STANDING_S and not _meets_any(s, pauses)]
    return tuple(sorted(pauses))


def _meets_any(span: Span, others: Iterable[Span]) -> bool:
    return any(span.start_s < other.stop_s and other.start_s < span.stop_s for other in others)


def _suggestions(
    activity: Activity, changes_s: tuple[float, ...], pauses: tuple[Span, ...], hr_max_bpm: float | None
) -> tuple[Span, ...]:
    """Artefacts, looked for between changes of setting, and pauses with what follows them."""
    samples = activity.samples
    time_s = samples["time_s"].to_numpy()
    edges = sorted({float(time_s[0]), *changes_s, *(p.stop_s for p in pauses), float(time_s[-1]) + 1.0})
    found = artefacts.suggest_exclusions(
        time_s,
        samples["hr_bpm"].to_numpy(),
        cadence_rpm=samples["cadence_rpm"].to_numpy(),
        hr_max_bpm=hr_max_bpm,
        constant=tuple(Span(start_s=a, stop_s=b) for a, b in pairwise(edges)),
    )
    return tuple(sorted((*found, *steady.pauses_with_settling(pauses)), key=lambda s: s.start_s))


def _changes_of_setting(
    time_s: np.ndarray, output: OutputSeries | None, stages: Iterable[Stage], *, is_indoor: bool
) -> tuple[float, ...]:
    """Instants at which the setting changed: ends of typed-in stages, else what speed or power shows.

    Touching stages with equal settings count as one; out of doors output wanders, and only larger changes count.
    """
    in_order = sorted(stages, key=lambda s: s.start_s)
    if in_order:
        edges = {in_order[0].start_s, in_order[-1].stop_s}
        for one, following in pairwise(in_order):
            if following.start_s - one.stop_s > 1.0 or not _same_setting(one, following):
                edges |= {one.stop_s, following.start_s}
        return tuple(sorted(e for e in edges if time_s[0] < e < time_s[-1]))
    if output is None:
        return ()
    if output.unit == "W":
        floor = steady.POWER_FLOOR_W * (1.0 if is_indoor else steady.ROAD_POWER_TIMES)
    else:
        floor = steady.SPEED_FLOOR_MPS * (1.0 if is_indoor else steady.ROAD_SPEED_TIMES)
    return steady.setting_changes(time_s, output.values, floor=floor)


def _same_setting(one: Stage, other: Stage) -> bool:
    pairs = [(getattr(one, name), getattr(other, name), least) for name, least in SAME_SETTING.items()]
    return all(a is b if a is None or b is None else abs(a - b) < least for a, b, least in pairs)
