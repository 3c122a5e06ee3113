"""Thresholds from a step test with blood lactate: every usual method, each under its own name.

No method reproduces another to better than about 3 % of load: a threshold is worth little without its method.

Source
------
Fixed lactate: Kindermann W et al. (1979), doi 10.1007/BF00421101; Heck H et al. (1985), doi
10.1055/s-2008-1025824.  Log-log: Beaver WL et al. (1985), doi 10.1152/jappl.1985.59.6.1936.  Dmax: Cheng B et
al. (1992), doi 10.1055/s-2007-1021309.  Modified Dmax: Bishop D et al. (1998), doi
10.1097/00005768-199808000-00014.  Exponential: Hughson RL et al. (1987), doi 10.1152/jappl.1987.62.5.1975.
Addresses looked up, formulas from memory.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
import scipy

from coachlib.errors import BadArgument, CoachError, TooLittleData, UnfitTest
from coachlib.measures.common.codes import Code, code
from coachlib.measures.recording.plausibility import plausibility

METHOD_VERSION = 1
#: A rise that starts the line of the modified Dmax. [mmol/l]  Bishop et al. 1998.
FIRST_RISE = 0.4
#: Lactate is read to 0.1, and 1.5 - 1.1 falls short of 0.4 in binary arithmetic.
TOLERANCE = 1e-9
#: Fewer stages get a caveat.  Own choice.
USUAL_STAGES = 6
FIRST, SECOND = "first-like", "second-like"


@dataclass(frozen=True, slots=True, kw_only=True)
class LactateThreshold:
    """One method's answer; ``kind`` says which of the two thresholds its values usually lie near.

    ``name`` is the method's without its version; ``load`` is in the unit of the stages, ``hr_bpm`` None where no heart rate was given.
    """

    load: float
    hr_bpm: float | None
    kind: str
    name: str
    method: str
    caveats: tuple[Code, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LactateThresholds:
    """All methods side by side; the coach chooses.

    ``refused`` says of each method that found nothing, why.  The spreads run from the lowest to the
    highest answer of their kind.  ``warnings`` name numbers that look like slips of the pen.
    """

    thresholds: tuple[LactateThreshold, ...]
    refused: tuple[Code, ...]
    first_low_load: float | None
    first_high_load: float | None
    second_low_load: float | None
    second_high_load: float | None
    warnings: tuple[Code, ...]
    caveats: tuple[Code, ...]


def fixed_lactate(
    load: np.ndarray, lactate_mmol_l: np.ndarray, hr_bpm: np.ndarray | None = None, *, level: float
) -> LactateThreshold:
    """Load at a fixed lactate: the last crossing upwards, straight between stages.

    Parameters
    ----------
    load : ndarray, shape (n,)
        Speed or power of each stage, rising. [any]
    lactate_mmol_l : ndarray, shape (n,)
        Blood lactate at the end of the stage; NaN where not taken. [mmol/l]
    hr_bpm : ndarray, shape (n,), optional
        Heart rate at the end of the stage. [1/min]
    level : float
        Lactate looked for; 2 and 4 are usual. [mmol/l]

    Raises
    ------
    BadArgument
        When loads do not rise or a lactate is not above 0.
    TooLittleData
        With fewer than three stages.
    UnfitTest
        When lactate does not cross the level.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> speed = np.arange(8.0, 16.0)
    >>> lactate = np.array([1.1, 1.0, 1.2, 1.5, 2.1, 3.1, 4.9, 7.8])
    >>> fixed_lactate(speed, lactate, level=2.0).load
    11.83333
    """
    x, y = _stages(load, lactate_mmol_l, 3)
    kind = FIRST if level < 3 else SECOND
    return _threshold(_crossing(x, y, level), load, hr_bpm, kind, f"lactate {level:g} mmol/l")


def baseline_plus(
    load: np.ndarray, lactate_mmol_l: np.ndarray, hr_bpm: np.ndarray | None = None, *, rise: float
) -> LactateThreshold:
    """Load at the lowest lactate of the test plus ``rise``; 0.5, 1.0 and 1.5 mmol/l are usual.

    Other arguments and refusals as ``fixed_lactate``.

    Source
    ------
    Faude O, Kindermann W, Meyer T (2009), Sports Med 39:469-490 (from memory).

    Examples
    --------
    >>> speed = np.arange(8.0, 16.0)
    >>> lactate = np.array([1.1, 1.0, 1.2, 1.5, 2.1, 3.1, 4.9, 7.8])
    >>> baseline_plus(speed, lactate, rise=1.5).load
    12.40
    """
    x, y = _stages(load, lactate_mmol_l, 3)
    kind = FIRST if rise < 1.25 else SECOND
    return _threshold(
        _crossing(x, y, float(y.min()) + rise), load, hr_bpm, kind, f"lowest lactate + {rise:g} mmol/l"
    )


def log_log(
    load: np.ndarray, lactate_mmol_l: np.ndarray, hr_bpm: np.ndarray | None = None
) -> LactateThreshold:
    """Where two straight lines through log lactate on log load meet, at the split that fits best.

    Arguments and refusals as ``fixed_lactate``, with at least four stages; refused, too, where the lines
    meet outside the test or bend downwards.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> speed = np.arange(8.0, 16.0)
    >>> lactate = np.array([1.1, 1.0, 1.2, 1.5, 2.1, 3.1, 4.9, 7.8])
    >>> log_log(speed, lactate).load
    10.65225
    """
    x, y = _stages(load, lactate_mmol_l, 4)
    if x[0] <= 0:
        raise BadArgument(
            f"the log-log method needs loads above 0; found {x[0]:g}. Leave the resting stage out."
        )
    u, v = np.log(x), np.log(y)
    lines = [_two_lines(u, v, k) for k in range(2, x.size - 1)]
    _, meet = min(lines, key=lambda line: line[0])
    if not (np.isfinite(meet) and u[0] <= meet <= u[-1]):
        raise UnfitTest(
            f"the two lines of the log-log method do not bend upwards between the loads {x[0]:g} and {x[-1]:g}. "
            "Use another method, or a test with more stages below the threshold."
        )
    return _threshold(float(np.exp(meet)), load, hr_bpm, FIRST, "log-log")


def dmax(load: np.ndarray, lactate_mmol_l: np.ndarray, hr_bpm: np.ndarray | None = None) -> LactateThreshold:
    """Point of a cubic through the stages that lies furthest from the line between first and last stage.

    Arguments and refusals as ``fixed_lactate``, with at least five stages.

    Source
    ------
    See the module's docstring.  The line joins the measured end points.

    Examples
    --------
    >>> speed = np.arange(8.0, 16.0)
    >>> lactate = np.array([1.1, 1.0, 1.2, 1.5, 2.1, 3.1, 4.9, 7.8])
    >>> dmax(speed, lactate).load
    12.23889
    """
    x, y = _stages(load, lactate_mmol_l, 5)
    return _threshold(_furthest_from_chord(x, y, 0), load, hr_bpm, SECOND, "Dmax")


def modified_dmax(
    load: np.ndarray, lactate_mmol_l: np.ndarray, hr_bpm: np.ndarray | None = None
) -> LactateThreshold:
    """As ``dmax``, with a line from the stage before the first rise of 0.4 mmol/l or more.

    Source
    ------
    See the module's docstring.  Whether a rise of exactly 0.4 counts is not clear from what could be read;
    here it does, this project's own choice.

    Examples
    --------
    >>> speed = np.arange(8.0, 16.0)
    >>> lactate = np.array([1.1, 1.0, 1.2, 1.5, 2.1, 3.1, 4.9, 7.8])
    >>> modified_dmax(speed, lactate).load
    13.16391
    """
    x, y = _stages(load, lactate_mmol_l, 5)
    return _threshold(_furthest_from_chord(x, y, start_stage(y)), load, hr_bpm, SECOND, "modified Dmax")


def start_stage(lactate_mmol_l: np.ndarray) -> int:
    """Index of the stage before the first rise of 0.4 mmol/l or more.

    Raises
    ------
    UnfitTest
        When lactate never rises so much.

    Source
    ------
    As ``modified_dmax``.

    Examples
    --------
    >>> start_stage(np.array([1.3, 1.2, 1.6, 2.5]))
    1
    """
    rises = np.flatnonzero(np.diff(lactate_mmol_l) >= FIRST_RISE - TOLERANCE)
    if rises.size == 0:
        raise UnfitTest(
            f"the modified Dmax needs a rise of {FIRST_RISE:g} mmol/l from one stage to the next; the largest is "
            f"{np.diff(lactate_mmol_l).max():.1f}. The test ended too early."
        )
    return int(rises[0])


def exponential_dmax(
    load: np.ndarray, lactate_mmol_l: np.ndarray, hr_bpm: np.ndarray | None = None
) -> LactateThreshold:
    """As ``dmax``, on a curve a + b exp(c load) and the line between its own ends.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> speed = np.arange(8.0, 16.0)
    >>> lactate = np.array([1.1, 1.0, 1.2, 1.5, 2.1, 3.1, 4.9, 7.8])
    >>> exponential_dmax(speed, lactate).load
    12.52671
    """
    x, y = _stages(load, lactate_mmol_l, 4)
    way = (x - x[0]) / (x[-1] - x[0])
    steepness = _steepness(way, y)
    found = x[0] + (x[-1] - x[0]) * np.log(np.expm1(steepness) / steepness) / steepness
    return _threshold(float(found), load, hr_bpm, SECOND, "exponential Dmax")


#: Every method with its usual setting, from the lowest answer to the highest as they usually fall.
METHODS: dict[str, Callable[[np.ndarray, np.ndarray, np.ndarray | None], LactateThreshold]] = {
    "log-log": log_log,
    "lowest lactate + 0.5 mmol/l": partial(baseline_plus, rise=0.5),
    "lowest lactate + 1 mmol/l": partial(baseline_plus, rise=1.0),
    "lactate 2 mmol/l": partial(fixed_lactate, level=2.0),
    "Dmax": dmax,
    "lowest lactate + 1.5 mmol/l": partial(baseline_plus, rise=1.5),
    "exponential Dmax": exponential_dmax,
    "modified Dmax": modified_dmax,
    "lactate 4 mmol/l": partial(fixed_lactate, level=4.0),
}


def all_methods(
    load: np.ndarray, lactate_mmol_l: np.ndarray, hr_bpm: np.ndarray | None = None
) -> LactateThresholds:
    """Every method on one test, with their spread.

    Parameters
    ----------
    load, lactate_mmol_l, hr_bpm : ndarray, shape (n,)
        As ``fixed_lactate``.

    Raises
    ------
    BadArgument, TooLittleData
        As ``fixed_lactate``.
    UnfitTest
        When no method finds anything.

    Source
    ------
    See the functions.  Which answers are called first-like and second-like is this project's own choice,
    by where they fell in open laboratory data.

    Examples
    --------
    >>> speed = np.arange(8.0, 16.0)
    >>> lactate = np.array([1.1, 1.0, 1.2, 1.5, 2.1, 3.1, 4.9, 7.8])
    >>> test = all_methods(speed, lactate)
    >>> len(test.thresholds), test.first_low_load, test.second_high_load
    (9, 10.652, 13.5)
    """
    x, _ = _stages(load, lactate_mmol_l, 3)
    found, refused = [], []
    for name, method in METHODS.items():
        try:
            found.append(method(load, lactate_mmol_l, hr_bpm))
        except CoachError as problem:
            refused.append(code("method found nothing", method=name, why=str(problem)))
    if not found:
        raise UnfitTest(f"no method finds a threshold in this step test. {refused[-1]['why']}")
    first = [t.load for t in found if t.kind == FIRST]
    second = [t.load for t in found if t.kind == SECOND]
    few = x.size < USUAL_STAGES
    return LactateThresholds(
        thresholds=tuple(found),
        refused=tuple(refused),
        first_low_load=min(first, default=None),
        first_high_load=max(first, default=None),
        second_low_load=min(second, default=None),
        second_high_load=max(second, default=None),
        warnings=plausibility(load, hr_bpm, lactate=lactate_mmol_l),
        caveats=(code("few stages", n=int(x.size), usual=USUAL_STAGES),) if few else (),
    )


def _stages(load: np.ndarray, lactate: np.ndarray, least: int) -> tuple[np.ndarray, np.ndarray]:
    """Stages that have a lactate, checked."""
    x, y = np.asarray(load, dtype=float), np.asarray(lactate, dtype=float)
    if x.shape != y.shape or not np.isfinite(x).all():
        raise BadArgument(
            f"a step test needs one load and one lactate a stage; found {x.size} and {y.size}. Fill in the load."
        )
    x, y = x[np.isfinite(y)], y[np.isfinite(y)]
    if x.size < least:
        raise TooLittleData(
            f"this method needs {least} stages with lactate; found {x.size}. Use another method."
        )
    if not (np.diff(x) > 0).all():
        raise BadArgument(
            f"the loads of a step test must rise; found {', '.join(f'{v:g}' for v in x)}. Correct them or leave the "
            "repeated stage out."
        )
    if not (y > 0).all():
        raise BadArgument(f"lactate must be above 0 mmol/l; found {y.min():g}. Correct it or leave it empty.")
    return x, y


def _threshold(
    found: float, load: np.ndarray, hr_bpm: np.ndarray | None, kind: str, method: str
) -> LactateThreshold:
    """The answer with the heart rate that belongs to it."""
    hr: float | None = None
    caveats: tuple[Code, ...] = ()
    if hr_bpm is not None:
        x, rates = np.asarray(load, dtype=float), np.asarray(hr_bpm, dtype=float)
        if x.shape != rates.shape:
            raise BadArgument(
                f"a step test needs one heart rate a stage; found {rates.size} for {x.size} stages. Leave unknown "
                "ones empty."
            )
        there = np.isfinite(rates)
        if there.any() and x[there][0] <= found <= x[there][-1]:
            hr = float(np.interp(found, x[there], rates[there]))
        else:
            caveats = (code("no heart rate around this load"),)
    return LactateThreshold(
        load=found, hr_bpm=hr, kind=kind, name=method, method=f"{method} {METHOD_VERSION}", caveats=caveats
    )


def _crossing(x: np.ndarray, y: np.ndarray, level: float) -> float:
    """Last load at which lactate comes up to a level."""
    crossed = np.flatnonzero((y[:-1] < level - TOLERANCE) & (y[1:] >= level - TOLERANCE))
    if crossed.size == 0:
        raise UnfitTest(
            f"lactate does not cross {level:g} mmol/l upwards; it runs from {y.min():g} to {y.max():g}. "
            "Use another method, or a test that starts lower or goes higher."
        )
    i = int(crossed[-1])
    return float(x[i] + (x[i + 1] - x[i]) * (level - y[i]) / (y[i + 1] - y[i]))


def _two_lines(u: np.ndarray, v: np.ndarray, k: int) -> tuple[float, float]:
    """Sum of squares and meeting point of lines through the first ``k`` points and the rest."""
    (b1, a1), (b2, a2) = np.polyfit(u[:k], v[:k], 1), np.polyfit(u[k:], v[k:], 1)
    squares = ((v[:k] - a1 - b1 * u[:k]) ** 2).sum() + ((v[k:] - a2 - b2 * u[k:]) ** 2).sum()
    return float(squares), float((a1 - a2) / (b2 - b1)) if b2 - b1 > TOLERANCE else float("nan")


def _furthest_from_chord(x: np.ndarray, y: np.ndarray, start: int) -> float:
    """Where the cubic runs parallel to the line from stage ``start`` to the last, below it and furthest off."""
    middle, half = (x[-1] + x[0]) / 2, (x[-1] - x[0]) / 2
    cubic = np.polyfit((x - middle) / half, y, 3)
    slope = (y[-1] - y[start]) / (x[-1] - x[start])
    parallel = np.polyder(cubic) - np.array([0.0, 0.0, slope * half])
    roots = np.roots(parallel)
    loads = middle + half * roots[np.isreal(roots)].real
    loads = loads[(loads > x[start]) & (loads < x[-1])]
    below = y[start] + slope * (loads - x[start]) - np.polyval(cubic, (loads - middle) / half)
    if loads.size == 0 or below.max() <= TOLERANCE:
        raise UnfitTest(
            f"the lactate curve does not sag below the line from {x[start]:g} to {x[-1]:g}; the method finds no point. "
            "Use another method."
        )
    return float(loads[below.argmax()])


def _steepness(way: np.ndarray, y: np.ndarray) -> float:
    """Exponent of the best a + b exp(c way) on a way from 0 to 1."""

    def line(c: float) -> tuple[np.ndarray, float]:
        base = np.expm1(c * way) / np.expm1(c)
        fit = np.polyfit(base, y, 1)
        return fit, float(((np.polyval(fit, base) - y) ** 2).sum())

    grid = np.geomspace(0.05, 60.0, 60)
    best = int(np.argmin([line(c)[1] for c in grid]))
    if best == 0 or line(grid[best])[0][0] <= TOLERANCE:
        raise UnfitTest(
            "the lactate curve does not bend upwards; the exponential method finds no point. Use another method."
        )
    around = (grid[best - 1], grid[min(best + 1, grid.size - 1)])
    found = scipy.optimize.minimize_scalar(
        lambda c: line(c)[1], bounds=around, method="bounded", options={"xatol": 1e-10}
    )
    return float(found.x)
