"""Output at a heart rate, along a line that never falls, from everything that was measured.

Source
------
Isotonic regression by pooling adjacent violators: Ayer M et al. (1955), Ann Math Stat 26:641-647, as in
``scipy.optimize.isotonic_regression``.  That the line is led through what was accepted and kept below all-out trials is
this project's own choice: short stages give more output for a heart rate than an hour does, so the stages lend the
line its shape, and what was accepted its place.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy

from coachlib.errors import BadArgument, TooLittleData

METHOD = "monotone line 1"
#: Heart rate and output that belong together. [1/min], [m/s] or [W]
Pair = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class MonotoneLine:
    """Output on heart rate: straight between the knots, by ``slope`` [1/min per unit of output] beyond them.

    ``scatter`` is the root mean square of what was measured about the line, in the unit of output.
    """

    hr_bpm: tuple[float, ...]
    output: tuple[float, ...]
    slope: float
    scatter: float
    n: int
    method: str

    def output_at(self, hr_bpm: float) -> float:
        """Output at a heart rate, at least 0."""
        low, high = self.hr_bpm[0], self.hr_bpm[-1]
        beyond = min(hr_bpm - low, 0.0) + max(hr_bpm - high, 0.0)
        return max(float(np.interp(hr_bpm, self.hr_bpm, self.output)) + beyond / self.slope, 0.0)

    def is_measured(self, hr_bpm: float) -> bool:
        """Whether a heart rate lies between the lowest and the highest that was measured."""
        return self.hr_bpm[0] <= hr_bpm <= self.hr_bpm[-1]


def monotone_line(
    hr_bpm: np.ndarray | Sequence[float],
    output: np.ndarray | Sequence[float],
    *,
    slope: float,
    through: Sequence[Pair] = (),
    ceilings: Sequence[Pair] = (),
) -> MonotoneLine:
    """The line of output on heart rate.

    Parameters
    ----------
    hr_bpm, output : array of float, shape (n,)
        What was measured: heart rate and speed or power of each settled effort. [1/min], [m/s] or [W]
    slope : float
        Heart rate for each unit of output, for beyond what was measured. [1/min per m/s, or per W]
    through : sequence of (float, float)
        Pairs that the line must meet.
    ceilings : sequence of (float, float)
        Up to each of these heart rates the line stays at or below that output; what it must meet goes first.

    Raises
    ------
    TooLittleData
        With fewer than two pairs in all.
    BadArgument
        When ``slope`` is not above 0, or the pairs to be met do not rise.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> line = monotone_line([120, 140, 160, 150], [150, 190, 230, 195], slope=0.4, through=[(150, 200)],
    ...     ceilings=[(165, 235)])
    >>> line.output_at(150), line.output_at(165)
    (200.0, 235.0)
    """
    x, y = np.asarray(hr_bpm, dtype=float), np.asarray(output, dtype=float)
    fixed = np.array(sorted(set(through)), dtype=float).reshape(-1, 2)
    if not slope > 0:
        raise BadArgument(f"heart rate must rise with output; found a slope of {slope:g}.")
    if (np.diff(fixed, axis=0) <= 0).any():
        raise BadArgument(f"pairs that a line must meet have to rise; found {fixed.tolist()}.")
    if x.size + len(fixed) < 2:
        raise TooLittleData(
            f"a line of output needs two pairs of heart rate and output; found {x.size + len(fixed)}."
        )
    reaches = [reach for reach, _ in ceilings]
    at = np.unique(np.concatenate((x, fixed[:, 0], reaches)))
    shape = _shape(x, y, at, slope)
    line = _below(_met(at, shape, fixed), at, fixed, ceilings)
    left = np.interp(x, at, line) - y
    return MonotoneLine(
        hr_bpm=tuple(at.tolist()),
        output=tuple(line.tolist()),
        slope=float(slope),
        scatter=float(np.sqrt(np.mean(left**2))) if x.size else 0.0,
        n=int(x.size + len(fixed)),
        method=METHOD,
    )


def _shape(x: np.ndarray, y: np.ndarray, at: np.ndarray, slope: float) -> np.ndarray:
    """The measured line at the knots, by the slope beyond it; a line of that slope where nothing was measured."""
    if not x.size:
        return at / slope
    hr, where = np.unique(x, return_inverse=True)
    n = np.bincount(where).astype(float)
    measured = scipy.optimize.isotonic_regression(np.bincount(where, y) / n, weights=n).x
    beyond = np.minimum(at - hr[0], 0.0) + np.maximum(at - hr[-1], 0.0)
    return np.interp(at, hr, measured) + beyond / slope


def _met(at: np.ndarray, shape: np.ndarray, fixed: np.ndarray) -> np.ndarray:
    """The shape moved so that it meets what it must, by as much between two pairs as lies between them."""
    if not fixed.size:
        return shape
    away = fixed[:, 1] - np.interp(fixed[:, 0], at, shape)
    moved = shape + np.interp(at, fixed[:, 0], away)
    return np.asarray(scipy.optimize.isotonic_regression(moved).x)


def _below(line: np.ndarray, at: np.ndarray, fixed: np.ndarray, ceilings: Sequence[Pair]) -> np.ndarray:
    """The line within what it must meet and below the ceilings, never falling."""
    lowest = np.array([fixed[fixed[:, 0] <= hr, 1].max(initial=0.0) for hr in at])
    highest = np.array([fixed[fixed[:, 0] >= hr, 1].min(initial=np.inf) for hr in at])
    ceiling = np.array([min((top for reach, top in ceilings if reach >= hr), default=np.inf) for hr in at])
    return np.minimum(np.maximum(np.minimum(line, np.maximum(ceiling, lowest)), lowest), highest)
