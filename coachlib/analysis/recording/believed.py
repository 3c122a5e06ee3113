"""A recording without the signals that cannot be facts, until the coach says that they count."""

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from coachlib.measures.common.spans import inside
from coachlib.measures.recording.odd_signals import OddSignal, odd_signals
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions, Trusted


def believed(activity: Activity, decisions: Decisions | None) -> tuple[Activity, tuple[OddSignal, ...]]:
    """The recording with impossible stretches of a quantity taken as missing, and what they are.

    Parameters
    ----------
    activity : Activity
        The recording; it is not changed.
    decisions : Decisions or None
        ``trusted`` names the signals that count all the same.

    Source
    ------
    ``measures.recording.odd_signals``.
    """
    samples = activity.samples
    time_s = samples["time_s"].to_numpy()
    columns = ("hr_bpm", "speed_mps", "cadence_rpm", "power_w", "altitude_m", "distance_m")
    odd = odd_signals(
        time_s, **{name: samples[name].to_numpy() for name in columns}, is_indoor=activity.is_indoor
    )
    odd = tuple(o for o in odd if not _is_trusted(o, decisions.trusted if decisions else ()))
    if not odd:
        return activity, ()
    kept = {
        quantity: np.where(
            inside(time_s, [o.span for o in odd if o.quantity == quantity]), np.nan, samples[quantity]
        )
        for quantity in {o.quantity for o in odd}
    }
    return replace(activity, samples=samples.assign(**kept)), odd


def _is_trusted(odd: OddSignal, trusted: Iterable[Trusted]) -> bool:
    return any(
        t.quantity == odd.quantity
        and (
            t.start_s is None
            or t.stop_s is None
            or (t.start_s < odd.span.stop_s and odd.span.start_s < t.stop_s)
        )
        for t in trusted
    )
