"""Heart rate against output: output per beat in the two halves of a window."""

from dataclasses import dataclass

import numpy as np

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.common.sampling import is_beating, time_weights, weighted_mean
from coachlib.measures.drift_test.drift import MIN_USED_S


@dataclass(frozen=True, slots=True, kw_only=True)
class Decoupling:
    """Output per beat in the second half against the first.

    ``loss_pct`` is (r1 - r2)/r1, ``ratio_pct`` is r1/r2 - 1, with r = mean output / mean heart rate.
    """

    loss_pct: float
    ratio_pct: float
    first_output: float
    second_output: float
    first_half_bpm: float
    second_half_bpm: float
    used_s: float
    method: str


def decoupling(
    time_s: np.ndarray,
    hr_bpm: np.ndarray,
    output: np.ndarray,
    used: np.ndarray,
    *,
    start_s: float,
    stop_s: float,
) -> Decoupling:
    """Compare output per heart beat in the second half of a window with the first.

    Parameters
    ----------
    time_s, hr_bpm, output, used : ndarray, shape (n,)
        Output in any unit that is zero at rest (speed, power); samples with stops or without either
        quantity must not be used. [s], [1/min], [m/s or W]
    start_s, stop_s : float
        The half-open window, split at its mid time. [s]

    Returns
    -------
    Decoupling
        Both published forms, from the ratio of half means.

    Raises
    ------
    TooLittleData
        When either half has less than half of ``MIN_USED_S`` with both quantities.

    Source
    ------
    Smyth B, Maunder E, Meyler S, Hunter B, Muniz-Pumares D (2022), Sports Med 52:2283-2295,
    doi 10.1007/s40279-022-01680-5.  The ratio takes heart rate as proportional to output: a change of pace
    alone moves it; see ``constant_output``.

    Examples
    --------
    >>> t = np.arange(3600.0)
    >>> hr_bpm = np.where(t < 1800, 140.0, 147.0)
    >>> found = decoupling(t, hr_bpm, np.full(3600, 3.0), t >= 0, start_s=0, stop_s=3600)
    >>> found.loss_pct, found.ratio_pct
    (4.76, 5.00)
    """
    both = used & is_beating(hr_bpm) & np.isfinite(output) & (time_s >= start_s) & (time_s < stop_s)
    weights = time_weights(time_s, both)
    middle = (start_s + stop_s) / 2
    halves = [weights * (time_s < middle), weights * (time_s >= middle)]
    seconds = [float(h.sum()) for h in halves]
    if min(seconds) < MIN_USED_S / 2:
        raise TooLittleData(
            f"decoupling needs {MIN_USED_S / 2:.0f} s with heart rate and output in each half; this window has "
            f"{seconds[0]:.0f} s and {seconds[1]:.0f} s. Lengthen the window or take back an exclusion."
        )
    hr1, hr2 = (weighted_mean(hr_bpm, h) for h in halves)
    out1, out2 = (weighted_mean(output, h) for h in halves)
    if not out1 > 0 or not out2 > 0:
        raise BadArgument(
            f"decoupling needs an output above 0 in both halves; found {out1:g} and {out2:g}. Leave out the stops."
        )
    r1, r2 = out1 / hr1, out2 / hr2
    return Decoupling(
        loss_pct=100 * (r1 - r2) / r1,
        ratio_pct=100 * (r1 / r2 - 1),
        first_output=out1,
        second_output=out2,
        first_half_bpm=hr1,
        second_half_bpm=hr2,
        used_s=sum(seconds),
        method="ratio of half means 1",
    )
