"""What beat intervals say about the first threshold: of a steady stretch its side, of a ramp a heart rate.

Source
------
Alpha1 of 0.75 as the first threshold: Rogers B et al. (2021), Front Physiol 11:596567, doi
10.3389/fphys.2020.596567 (15 people on a treadmill, 154 bpm against 152 at the ventilatory threshold).  Others
found it higher: by 10 bpm with an SD of 16 in 64 people (Eronen et al. 2024, medRxiv 2024.08.14.24311967), and in
open data of young people on steps of a minute (Chabert C et al. 2022, doi 10.13026/2qs3-kh43) it lies 16 bpm higher
by these functions, with an SD of 13.  A second opinion, not a measurement.
"""

import math
from dataclasses import dataclass

import numpy as np
import scipy

from coachlib.errors import TooLittleData, UnfitTest
from coachlib.measures.common.codes import Code, code
from coachlib.measures.common.constants import Z90
from coachlib.measures.first_threshold.beats import (
    METHOD,
    alpha1,
    corrected_beats,
    flagged_beats,
    flagged_share,
    heart_rate_in_windows,
)

#: Alpha1 at the first threshold.  Rogers et al. 2021.
FIRST_THRESHOLD_ALPHA1 = 0.75
#: Beats and windows with more artefacts are doubtful, then worthless.  Own choice; below 3 % bias is published as
#: minimal (Rogers B et al. 2021, Sensors 21:821).
DOUBTFUL_FRAC, WORTHLESS_FRAC = 0.03, 0.05
#: Length of a window, and the step between windows of a ramp. [s]
WINDOW_S, RAMP_STEP_S = 120.0, 5.0
#: Windows without overlap that a steady stretch needs, and windows of a ramp on either side of 0.75 (three
#: minutes of beats).  Own choice.
LEAST_WINDOWS, LEAST_ON_A_SIDE = 3, 13
#: How far alpha1 at the first threshold differs between people, on top of the error of a mean.  Own choice.
BETWEEN_PEOPLE_SD = 0.10
#: How far the heart rate found in a ramp differs from a laboratory's. [1/min]  SD in the open data above.
BETWEEN_PEOPLE_BPM = 13.0
#: SD of that heart rate from one ramp of 20 minutes to the next in the same person. [1/min]  From simulation:
#: 8 to 9 bpm between the 10th and the 90th percentile.
ONE_RAMP_BPM = 3.3


@dataclass(frozen=True, slots=True, kw_only=True)
class SteadyAlpha1:
    """Mean alpha1 of a steady stretch; ``supports`` is "below", "above" or "cannot tell".

    ``low`` and ``high`` hold 90 % and include how far people differ, ``se`` does not.  ``is_doubtful``: more
    than 3 % of beats look like artefacts.
    """

    alpha1: float
    se: float
    low: float
    high: float
    supports: str
    n_windows: int
    flagged_frac: float
    is_doubtful: bool
    used_s: float
    method: str
    caveats: tuple[Code, ...]


def steady_alpha1(rr_s: np.ndarray, used: np.ndarray | None = None) -> SteadyAlpha1:
    """Whether beat intervals of a steady stretch speak for being below or above the first threshold.

    Parameters
    ----------
    rr_s : ndarray, shape (n,)
        Intervals between beats of the stretch, best its first 20 settled minutes; NaN where missing. [s]
    used : ndarray of bool, shape (n,), optional
        True for beats that count; windows with more than 5 % of others are left out.  Default: all.

    Returns
    -------
    SteadyAlpha1
        Mean over windows of 120 s without overlap.

    Raises
    ------
    TooLittleData
        When more than 5 % of beats look like artefacts, or fewer than three windows are clean enough.

    Source
    ------
    See the module's docstring; the way to a mean and its interval is this project's own choice.

    Examples
    --------
    >>> rng = np.random.default_rng(3)
    >>> steady_alpha1(0.4 + rng.normal(0, 0.004, 3000)).supports
    'above'
    """
    seen = _windows_of(rr_s, used, step_s=WINDOW_S)
    n = int(seen.clean.sum())
    if n < LEAST_WINDOWS:
        raise TooLittleData(
            f"alpha1 of a steady stretch needs {LEAST_WINDOWS} windows of {WINDOW_S:.0f} s with at most "
            f"{100 * WORTHLESS_FRAC:.0f} % of beats corrected; found {n} of {seen.clean.size}. Wet the strap, or use a longer "
            "stretch."
        )
    mean = float(seen.alpha1[seen.clean].mean())
    se = float(seen.alpha1[seen.clean].std(ddof=1)) / math.sqrt(n)
    half = Z90 * math.hypot(se, BETWEEN_PEOPLE_SD)
    supports = "cannot tell"
    if mean - half > FIRST_THRESHOLD_ALPHA1:
        supports = "below"
    elif mean + half < FIRST_THRESHOLD_ALPHA1:
        supports = "above"
    return SteadyAlpha1(
        alpha1=mean,
        se=se,
        low=mean - half,
        high=mean + half,
        supports=supports,
        n_windows=n,
        flagged_frac=seen.flagged_frac,
        is_doubtful=seen.flagged_frac > DOUBTFUL_FRAC,
        used_s=n * WINDOW_S,
        method=METHOD,
        caveats=seen.caveats,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Alpha1Crossing:
    """Heart rate at which alpha1 fell through 0.75 in a ramp.

    ``hr_low_bpm`` and ``hr_high_bpm`` hold 90 % and include how far people differ; ``se_bpm`` is what one ramp
    differs from the next.  ``is_doubtful``: more than 3 % of beats look like artefacts.
    """

    hr_bpm: float
    se_bpm: float
    hr_low_bpm: float
    hr_high_bpm: float
    n_windows: int
    flagged_frac: float
    is_doubtful: bool
    used_s: float
    method: str
    caveats: tuple[Code, ...]


def alpha1_crossing(rr_s: np.ndarray, used: np.ndarray | None = None) -> Alpha1Crossing:
    """Heart rate at which alpha1 falls through 0.75 while intensity rises.

    Parameters
    ----------
    rr_s : ndarray, shape (n,)
        Intervals between beats of the ramp alone, without warm-up and cool-down; NaN where missing. [s]
    used : ndarray of bool, shape (n,), optional
        True for beats that count.  Default: all.

    Returns
    -------
    Alpha1Crossing

    Raises
    ------
    TooLittleData
        When more than 5 % of beats look like artefacts.
    UnfitTest
        When alpha1 was not above 0.75 at first, or not below it at last.

    Source
    ------
    See the module's docstring.  Alpha1 that can only fall with heart rate, fitted to windows of 120 s 5 s apart
    (isotonic regression), is this project's own choice: it needs no straight part to be chosen.

    Examples
    --------
    >>> noise = np.random.default_rng(3).normal(0, 0.004, (2, 4000))
    >>> memory = np.linspace(1, 0, 4000)
    >>> slow = np.convolve(noise[0], np.ones(15), "same") / 4
    >>> found = alpha1_crossing(np.linspace(0.5, 0.33, 4000) + memory * slow + (1 - memory) * noise[1])
    >>> found.hr_low_bpm < found.hr_bpm < found.hr_high_bpm
    True
    """
    seen = _windows_of(rr_s, used, step_s=RAMP_STEP_S)
    order = np.argsort(seen.hr_bpm[seen.clean], kind="stable")
    hr = seen.hr_bpm[seen.clean][order]
    falling = (
        scipy.optimize.isotonic_regression(seen.alpha1[seen.clean][order], increasing=False).x
        if hr.size
        else hr
    )
    above = int((falling >= FIRST_THRESHOLD_ALPHA1).sum())
    if above < LEAST_ON_A_SIDE:
        lowest = f", where it began at {hr[0]:.0f} bpm" if hr.size else ""
        raise UnfitTest(
            f"alpha1 was not above {FIRST_THRESHOLD_ALPHA1} for three minutes at the start of this ramp{lowest}. "
            "Begin the next one easier."
        )
    if hr.size - above < LEAST_ON_A_SIDE:
        raise UnfitTest(
            f"alpha1 did not stay below {FIRST_THRESHOLD_ALPHA1} for three minutes of this ramp, which ended at "
            f"{hr[-1]:.0f} bpm. Let the next one go further."
        )
    found = float(hr[above - 1] + hr[above]) / 2
    half = Z90 * math.hypot(ONE_RAMP_BPM, BETWEEN_PEOPLE_BPM)
    return Alpha1Crossing(
        hr_bpm=found,
        se_bpm=ONE_RAMP_BPM,
        hr_low_bpm=found - half,
        hr_high_bpm=found + half,
        n_windows=hr.size,
        flagged_frac=seen.flagged_frac,
        is_doubtful=seen.flagged_frac > DOUBTFUL_FRAC,
        used_s=WINDOW_S + RAMP_STEP_S * (hr.size - 1),
        method=f"{METHOD}, ramp 1",
        caveats=seen.caveats,
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class _Windows:
    """Alpha1 and heart rate of each window, which windows are clean, and how many beats were flagged."""

    alpha1: np.ndarray
    hr_bpm: np.ndarray
    clean: np.ndarray
    flagged_frac: float
    caveats: tuple[Code, ...]


def _windows_of(rr_s: np.ndarray, used: np.ndarray | None, *, step_s: float) -> _Windows:
    """Windows of 120 s after correction."""
    flagged = flagged_beats(rr_s)
    counts = np.ones(flagged.shape, dtype=bool) if used is None else np.asarray(used, dtype=bool)
    if not (counts & ~flagged).any():
        raise TooLittleData(f"alpha1 needs beat intervals; none of the {flagged.size} given is usable.")
    share = float(flagged[counts].mean())
    if share > WORTHLESS_FRAC:
        raise TooLittleData(
            f"{100 * share:.0f} % of these beats look like artefacts; alpha1 needs at most {100 * WORTHLESS_FRAC:.0f} %. Wet the strap "
            "and wear it tight."
        )
    corrected = flagged | ~counts
    rr = corrected_beats(rr_s, corrected)
    _, exponent = alpha1(rr, width_s=WINDOW_S, step_s=step_s)
    corrected_frac = flagged_share(rr, corrected, width_s=WINDOW_S, step_s=step_s)
    clean = (corrected_frac <= WORTHLESS_FRAC) & np.isfinite(exponent)
    caveats = []
    doubtful = int((corrected_frac[clean] > DOUBTFUL_FRAC).sum())
    if doubtful:
        caveats.append(
            code(
                "beats corrected", n=int(doubtful), n_windows=int(clean.sum()), share_pct=100 * DOUBTFUL_FRAC
            )
        )
    if not clean.all():
        caveats.append(code("windows of beats left out", n=int((~clean).sum()), n_windows=int(clean.size)))
    return _Windows(
        alpha1=exponent,
        hr_bpm=heart_rate_in_windows(rr, width_s=WINDOW_S, step_s=step_s),
        clean=clean,
        flagged_frac=share,
        caveats=tuple(caveats),
    )
