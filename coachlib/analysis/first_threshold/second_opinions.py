"""What else speaks about the first threshold: the talk test, beat intervals, lactate.

How an opinion fits what drift says is told in ``analysis.first_threshold.agreement``.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from coachlib.analysis.recording.judged import SteadyStretch
from coachlib.errors import CoachError, TooLittleData, UnfitTest
from coachlib.measures.common.constants import DAY_HR_SD_BPM, Z90
from coachlib.measures.common.spans import Span, Stretch, inside
from coachlib.measures.first_threshold.alpha1_threshold import (
    Alpha1Crossing,
    SteadyAlpha1,
    alpha1_crossing,
    steady_alpha1,
)
from coachlib.measures.second_threshold.lactate import FIRST, LactateThreshold, all_methods
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions
from coachlib.records.diary import DiaryRow

TALK_TEST, BEATS, RAMP, LACTATE = "talk test", "beat intervals", "ramp with beat intervals", "lactate steps"
BELOW, NEAR, ABOVE, CANNOT_TELL = "below", "near", "above", "cannot tell"
#: What each answer says of the intensity.  Common practice; that the equivocal answer falls near the ventilatory
#: threshold: Rodríguez-Marroyo JA et al. (2013), J Strength Cond Res, 18 trained cyclists.
TALK_SAYS = {"comfortable": BELOW, "equivocal": NEAR, "not": ABOVE}
#: SD between the equivocal answer and the ventilatory threshold. [1/min]  From that study's means and r:
#: 148 SD 12, 150 SD 10, r 0.79.
TALK_SD_BPM = 7.4
#: How long beats of a steady window are read from its start. [s]  Own choice: longer ones drift.
STEADY_S = 1200.0
#: Beats must fill so much of it.  Own choice, the same limit as for artefacts.
LEAST_COVERED_FRAC = 0.95

Reading = str | SteadyAlpha1 | Alpha1Crossing | tuple[LactateThreshold, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Opinion:
    """One sign about the first threshold.

    ``says`` is where the intensity lay: "below", "near", "above" or "cannot tell".  For a ramp and for lactate
    ``hr_bpm`` is the value found, and "near".  ``sd_bpm`` is how far the threshold may lie beyond ``hr_bpm``
    without a contradiction.  ``reading`` is what it was read from: the answer, or the measure's result.
    """

    source: str
    on: date
    sha256: str
    hr_bpm: float
    says: str
    sd_bpm: float
    reading: Reading

    @property
    def is_value(self) -> bool:
        """Whether it names a heart rate of its own."""
        return self.source in (RAMP, LACTATE)

    @property
    def hr_low_bpm(self) -> float:
        """Lower end of 90 % of a value [1/min]."""
        return self.hr_bpm - Z90 * self.sd_bpm

    @property
    def hr_high_bpm(self) -> float:
        """Upper end of 90 % of a value [1/min]."""
        return self.hr_bpm + Z90 * self.sd_bpm

    @property
    def is_doubtful(self) -> bool:
        """Whether so many beats were corrected that it counts for little."""
        return isinstance(self.reading, SteadyAlpha1 | Alpha1Crossing) and self.reading.is_doubtful


def talk_opinion(row: DiaryRow | None, *, on: date, sha256: str, hr_bpm: float) -> Opinion | None:
    """What the athlete's answer to the talk test says; None without one.

    Parameters
    ----------
    row : DiaryRow or None
        The test's row of the diary.
    on, sha256
        Day and checksum of the test.
    hr_bpm : float
        Mean heart rate of its first half. [1/min]

    Source
    ------
    See ``TALK_SAYS``.

    Examples
    --------
    >>> row = DiaryRow(on=date(2026, 10, 3), talk="equivocal")
    >>> talk_opinion(row, on=row.on, sha256="", hr_bpm=152.0).says
    'near'
    """
    if row is None or row.talk is None:
        return None
    return Opinion(
        source=TALK_TEST,
        on=on,
        sha256=sha256,
        hr_bpm=hr_bpm,
        says=TALK_SAYS[row.talk],
        sd_bpm=TALK_SD_BPM,
        reading=row.talk,
    )


def beats_opinion(
    activity: Activity, decisions: Decisions | None, test: SteadyStretch, *, on: date
) -> Opinion | None:
    """What beat intervals of the first 20 minutes of a steady window say; None without beats.

    Parameters
    ----------
    activity, decisions, test
        A judged drift test.
    on : date
        Its day.

    Raises
    ------
    TooLittleData
        When beats are missing or look like artefacts.

    Source
    ------
    See ``measures.first_threshold.alpha1_threshold``.
    """
    if not activity.rr_s.size:
        return None
    stop_s = min(test.window.start_s + STEADY_S, test.window.stop_s)
    found = steady_alpha1(*_beats_in(activity, decisions, Span(start_s=test.window.start_s, stop_s=stop_s)))
    return Opinion(
        source=BEATS,
        on=on,
        sha256=activity.sha256,
        hr_bpm=test.drift.first_half_bpm,
        says=found.supports,
        sd_bpm=0.0,  # how far people differ is in the side already
        reading=found,
    )


def opinions_on_test(
    activity: Activity,
    decisions: Decisions | None,
    test: SteadyStretch,
    *,
    on: date,
    diary_row: DiaryRow | None,
) -> tuple[tuple[Opinion, ...], tuple[str, ...]]:
    """Talk test and beat intervals of one drift test, and in sentences why a sign that is there says nothing.

    Parameters
    ----------
    activity, decisions, test, on
        As ``beats_opinion``.
    diary_row : DiaryRow or None
        What the athlete wrote.

    Source
    ------
    See ``talk_opinion`` and ``beats_opinion``.
    """
    found = [talk_opinion(diary_row, on=on, sha256=activity.sha256, hr_bpm=test.drift.first_half_bpm)]
    silent: tuple[str, ...] = ()
    try:
        found.append(beats_opinion(activity, decisions, test, on=on))
    except CoachError as refusal:
        silent = (str(refusal),)
    return tuple(o for o in found if o is not None), silent


def ramp_opinion(activity: Activity, decisions: Decisions, *, on: date) -> Opinion | None:
    """The heart rate at which alpha1 fell through 0.75 in a ramp; None without beats.

    Parameters
    ----------
    activity, decisions
        A recording whose kind is "ramp"; its windows, else its stages, say where the ramp lies.
    on : date
        Its day.

    Raises
    ------
    TooLittleData
        When beats are missing or look like artefacts.
    UnfitTest
        When nothing says where the ramp lies, or alpha1 does not pass 0.75 in it.

    Source
    ------
    See ``measures.first_threshold.alpha1_threshold``.
    """
    if not activity.rr_s.size:
        return None
    marked: Sequence[Stretch] = decisions.windows or decisions.stages
    if not marked:
        raise UnfitTest(
            "nothing says where the ramp begins and ends; draw a window over it in recording.ipynb."
        )
    ramp = Span(start_s=min(s.start_s for s in marked), stop_s=max(s.stop_s for s in marked))
    found = alpha1_crossing(*_beats_in(activity, decisions, ramp))
    return Opinion(
        source=RAMP,
        on=on,
        sha256=activity.sha256,
        hr_bpm=found.hr_bpm,
        says=NEAR,
        sd_bpm=(found.hr_high_bpm - found.hr_bpm) / Z90,
        reading=found,
    )


def lactate_opinion(
    load: np.ndarray, lactate_mmol_l: np.ndarray, hr_bpm: np.ndarray, *, on: date, sha256: str
) -> Opinion:
    """The middle of those lactate methods whose answers usually lie near the first threshold.

    Parameters
    ----------
    load, lactate_mmol_l, hr_bpm : ndarray, shape (n,)
        As ``measures.second_threshold.lactate.fixed_lactate``. [any], [mmol/l], [1/min]
    on, sha256
        Day and checksum of the step test.

    Raises
    ------
    BadArgument, TooLittleData
        As ``measures.second_threshold.lactate.fixed_lactate``.
    UnfitTest
        When none of these methods finds a heart rate.

    Source
    ------
    See ``measures.second_threshold.lactate``.  Half the spread of the methods and the day-to-day scatter of heart rate as the SD
    is this project's own choice.

    Examples
    --------
    >>> lactate = np.array([1.1, 1.0, 1.2, 1.5, 2.1, 3.1, 4.9, 7.8])
    >>> hr = np.array([118.0, 127, 136, 146, 155, 164, 172, 180])
    >>> found = lactate_opinion(np.arange(8.0, 16.0), lactate, hr, on=date(2026, 10, 3), sha256="")
    >>> round(found.hr_bpm)
    150
    """
    found = all_methods(load, lactate_mmol_l, hr_bpm)
    near = tuple(t for t in found.thresholds if t.kind == FIRST and t.hr_bpm is not None)
    rates = [t.hr_bpm for t in near if t.hr_bpm is not None]
    if not rates:
        raise UnfitTest("no method finds a first threshold with a heart rate in these steps.")
    return Opinion(
        source=LACTATE,
        on=on,
        sha256=sha256,
        hr_bpm=float(np.median(rates)),
        says=NEAR,
        sd_bpm=math.hypot((max(rates) - min(rates)) / 2, DAY_HR_SD_BPM),
        reading=near,
    )


def _beats_in(
    activity: Activity, decisions: Decisions | None, stretch: Span
) -> tuple[np.ndarray, np.ndarray]:
    """Beats that a stretch touches, and which of them the coach did not leave out."""
    began_s = activity.rr_time_s - activity.rr_s
    here = (activity.rr_time_s > stretch.start_s) & (began_s < stretch.stop_s)
    rr_s, ended_s = activity.rr_s[here], activity.rr_time_s[here]
    covered = float(rr_s.sum()) / stretch.length_s
    if covered < LEAST_COVERED_FRAC:
        raise TooLittleData(
            f"beat intervals cover {100 * covered:.0f} % of the {stretch.length_s / 60:.0f} min that are read; "
            f"{100 * LEAST_COVERED_FRAC:.0f} % are needed. Wet the strap and wear it tight."
        )
    excluded = [e for e in (decisions.exclusions if decisions else ()) if e.quantity == "hr_bpm"]
    return rr_s, ~inside(ended_s, excluded)
