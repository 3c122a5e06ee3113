"""A week's load against the range of the athlete's own recent weeks.

It says "outside your usual range" and nothing more: no ratio of loads was found that tells about injury.

Source
------
This project's own choice: a prediction interval for the next value on logarithms, its spread drawn
towards what is usual for training weeks.  Criticism of load ratios: Impellizzeri et al. (2021), Sports Med,
doi 10.1007/s40279-020-01378-6; Lolli et al. (2017), Br J Sports Med.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy

from coachlib.measures.common.codes import Code, code

METHOD = "own range of weekly load 1"
#: The range comes from so many completed weeks before the one that is judged, and needs so many with a load.
N_WEEKS, LEAST_WEEKS = 8, 4
#: Usual spread of log weekly load, and how many weeks' worth it counts.  Own choice: 30 % week to week.
USUAL_LOG_SD, USUAL_WEIGHT = 0.30, 6.0
#: A week outside the first is unusual, outside the second flagged.
UNUSUAL_LEVEL, FLAG_LEVEL = 0.95, 0.98


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadRange:
    """Where one completed week lies in the athlete's own range.

    ``verdict`` is "usual", "unusual", "flag" or "cannot tell"; ``side`` "high", "low" or "".  Limits are
    those of "unusual"; they are None where fewer than four weeks had a load.
    """

    load: float
    usual: float | None
    low: float | None
    high: float | None
    flag_low: float | None
    flag_high: float | None
    verdict: str
    side: str
    n_weeks: int
    method: str
    caveats: tuple[Code, ...]


def load_in_own_range(earlier_loads: np.ndarray | Sequence[float], load: float) -> LoadRange:
    """Judge a completed week's load by the weeks before it.

    Parameters
    ----------
    earlier_loads : array of float, shape (n,)
        Loads of the completed weeks before, in order; only the last eight count.  Weeks without training
        (0) and unknown ones (NaN) are left out of the range.  [any unit of load]
    load : float
        Load of the week that is judged, complete, in the same unit.

    Returns
    -------
    LoadRange
        "cannot tell" with fewer than four weeks, or where the judged week had no load.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> found = load_in_own_range([300, 320, 280, 310, 290, 300, 330, 305], 900)
    >>> found.verdict, found.side, round(found.usual)
    ('flag', 'high', 304)
    """
    recent = np.asarray(earlier_loads, dtype=float)[-N_WEEKS:]
    logs = np.log(recent[np.isfinite(recent) & (recent > 0)])
    empty = int((recent == 0).sum())
    caveats = (code("weeks without load", n=empty, n_weeks=int(recent.size)),) if empty else ()
    if logs.size < LEAST_WEEKS:
        caveats = (*caveats, code("few weeks with a load", n=int(logs.size), least=LEAST_WEEKS))
        return _silent(load, logs.size, caveats)
    mean, k = float(logs.mean()), logs.size
    spread = (USUAL_WEIGHT * USUAL_LOG_SD**2 + ((logs - mean) ** 2).sum()) / (USUAL_WEIGHT + k - 1)
    reach = [
        float(
            scipy.special.stdtrit(USUAL_WEIGHT + k - 1, 0.5 + level / 2) * np.sqrt(spread * (1.0 + 1.0 / k))
        )
        for level in (UNUSUAL_LEVEL, FLAG_LEVEL)
    ]
    low, high = np.exp(mean - reach[0]), np.exp(mean + reach[0])
    flag_low, flag_high = np.exp(mean - reach[1]), np.exp(mean + reach[1])
    if not load > 0:
        verdict, side = "cannot tell", ""
        caveats = (*caveats, code("week without a load"))
    else:
        side = "high" if load > high else "low" if load < low else ""
        verdict = "flag" if not flag_low <= load <= flag_high else "unusual" if side else "usual"
    return LoadRange(
        load=float(load), usual=float(np.exp(mean)), low=float(low), high=float(high),
        flag_low=float(flag_low), flag_high=float(flag_high), verdict=verdict, side=side,
        n_weeks=k, method=METHOD, caveats=caveats,
    )  # fmt: skip


def _silent(load: float, n_weeks: int, caveats: tuple[Code, ...]) -> LoadRange:
    """No range, no verdict."""
    return LoadRange(
        load=float(load), usual=None, low=None, high=None, flag_low=None, flag_high=None,
        verdict="cannot tell", side="", n_weeks=n_weeks, method=METHOD, caveats=caveats,
    )  # fmt: skip
