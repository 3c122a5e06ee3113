"""What is usual about the threshold before any test: the main prior, and one that guards a one-sided statement.

Source
------
This project's own choice, held against simulated series (``tests/benchmarks/threshold_series.py``).  How far a
predicted maximum lies from the true one: see ``measures.output.heart_rate``.
"""

from dataclasses import dataclass

import numpy as np

from coachlib.measures.first_threshold.drift_curve import PRIOR_REACH, PRIOR_SHARE_OF_MAX, prior_of_threshold
from coachlib.measures.first_threshold.drift_series import DriftSeries
from coachlib.measures.output.heart_rate import PREDICTION_SE_BPM

#: Share of the main prior that lies about the highest test instead of the maximum, how far above it, and its
#: spread. [1, 1/min, 1/min]  Own choice: a maximum may be wrong.
TOP_SHARE, ABOVE_TOP_BPM, TOP_SD_BPM = 0.25, 4.0, 15.0
#: The main prior under medicine that slows the heart, from the highest test alone. [1/min]  Own choice.
MEDICINE_ABOVE_TOP_BPM, MEDICINE_SD_BPM = 5.0, 10.0
#: The guard: coaches begin 5 to 25 bpm from the threshold. [1/min]  Own choice.
GUARD_BPM, GUARD_SD_BPM = 12.0, 8.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Prior:
    """A mixture of normal curves: share, centre and spread of each; nothing above ``top_bpm``. [1/min]"""

    parts: tuple[tuple[float, float, float], ...]
    top_bpm: float = np.inf

    @property
    def reach_bpm(self) -> tuple[float, float]:
        """Heart rates between which it has any weight."""
        low = min(centre - PRIOR_REACH * sd for _, centre, sd in self.parts)
        return low, min(max(centre + PRIOR_REACH * sd for _, centre, sd in self.parts), self.top_bpm)

    def at(self, threshold_bpm: np.ndarray) -> np.ndarray:
        """Its weight at heart rates, not normalised."""
        weight = sum(
            share / sd * np.exp(-0.5 * ((threshold_bpm - centre) / sd) ** 2)
            for share, centre, sd in self.parts
        )
        return np.where(threshold_bpm <= self.top_bpm, weight, 0.0)


def main_prior(series: DriftSeries) -> Prior:
    """The prior of the estimate.

    A maximum from age carries its own published error and sets no upper edge; under medicine no maximum is used.

    Examples
    --------
    >>> from coachlib.measures.first_threshold.drift_series import drift_series
    >>> main_prior(drift_series([150], [2], [0.5], medicine=True)).parts
    ((1.0, 155.0, 10.0),)
    """
    highest = float(series.tests.hr_bpm.max())
    if series.medicine:
        return Prior(parts=((1.0, highest + MEDICINE_ABOVE_TOP_BPM, MEDICINE_SD_BPM),))
    centre, sd, _ = prior_of_threshold(series.hr_max_bpm)
    top = np.inf
    if series.hr_max_bpm is not None:
        if series.hr_max_from == "predicted":
            sd = float(np.hypot(sd, PRIOR_SHARE_OF_MAX * PREDICTION_SE_BPM))
        elif highest < series.hr_max_bpm:
            top = series.hr_max_bpm
    return Prior(
        parts=((1.0 - TOP_SHARE, centre, sd), (TOP_SHARE, highest + ABOVE_TOP_BPM, TOP_SD_BPM)), top_bpm=top
    )


def guard_prior(series: DriftSeries, bounded: str) -> Prior:
    """The second prior of "at least" (about the lowest test) and of "at most" (about the highest)."""
    hr = series.tests.hr_bpm
    centre = float(hr.max()) - GUARD_BPM if bounded == "above" else float(hr.min()) + GUARD_BPM
    return Prior(parts=((1.0, centre, GUARD_SD_BPM),))
