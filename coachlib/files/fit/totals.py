"""The device's own totals of a session held against what its records hold."""

import numpy as np
import pandas as pd

from coachlib.measures.common.codes import Code, code
from coachlib.records.activity import Totals

#: From this difference on it is told.  Own choice: devices round, and drop the ends; damage takes more.
TOLD_FRAC = 0.05
#: Smaller differences are never told, whatever their share.  Own choice.
TOLD_S, TOLD_M = 60.0, 200.0


def totals_caveat(samples: pd.DataFrame, pauses: pd.DataFrame, totals: Totals) -> Code | None:
    """A code where records and totals differ by more than ``TOLD_FRAC``; None where they agree or say nothing.

    The device may count its pauses or leave them out: either is taken as agreement.
    """
    known_s = [t for t in (totals.timer_s, totals.elapsed_s) if t is not None]
    elapsed_s = float(samples["time_s"].iloc[-1])
    recorded_s = elapsed_s - float((pauses["stop_s"] - pauses["start_s"]).sum())
    distance_m = samples["distance_m"].to_numpy()
    distance_m = distance_m[np.isfinite(distance_m)]
    covered_m = float(distance_m.max() - distance_m.min()) if distance_m.size else None
    differs = bool(known_s) and (
        _is_short(elapsed_s, min(known_s), TOLD_S) or _is_short(max(known_s), recorded_s, TOLD_S)
    )
    if totals.distance_m is not None and covered_m:
        differs |= _is_short(min(covered_m, totals.distance_m), max(covered_m, totals.distance_m), TOLD_M)
    if not differs:
        return None
    return code(
        "totals differ",
        device_s=known_s[0] if known_s else None,
        recorded_s=recorded_s,
        device_m=totals.distance_m,
        recorded_m=covered_m,
    )


def _is_short(less: float, more: float, at_least: float) -> bool:
    """Whether the first falls short of the second by a share and an amount that are told."""
    return more - less > max(TOLD_FRAC * more, at_least)
