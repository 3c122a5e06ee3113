"""Where a series steps to another level, and where its slope bends: least squares over every split."""

from dataclasses import dataclass

import numpy as np

from coachlib.errors import TooLittleData


@dataclass(frozen=True, slots=True, kw_only=True)
class StepChange:
    """Two levels: ``n_before`` values about ``before``, the rest about ``after``."""

    n_before: int
    before: float
    after: float
    squares: float
    method: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Hinge:
    """Two lines that meet ``at``; ``se`` is the standard error of that place."""

    at: float
    se: float
    slope_before: float
    slope_after: float
    squares: float
    method: str


def step_change(y: np.ndarray) -> StepChange:
    """Split a series into two levels so that the squared distance to them is least.

    Parameters
    ----------
    y : ndarray, shape (n,)
        Values at even steps, none missing.

    Returns
    -------
    StepChange
        The best split; whether it means anything is for the caller to judge.

    Raises
    ------
    TooLittleData
        With fewer than 2 values.

    Source
    ------
    Least squares, as for the Nile's flow in Cobb GW (1978), Biometrika 65:243-251.

    Examples
    --------
    >>> step_change(np.array([1.0, 1.0, 1.0, 4.0, 4.0])).n_before
    3
    """
    if y.size < 2:
        raise TooLittleData(f"a step needs at least 2 values; found {y.size}. Take a longer stretch.")
    n = np.arange(1, y.size)
    offset = float(y.mean())
    left = np.cumsum(y - offset)[:-1]
    gain = left**2 / n + left**2 / (y.size - n)
    best = int(gain.argmax())
    return StepChange(
        n_before=best + 1,
        before=float(y[: best + 1].mean()),
        after=float(y[best + 1 :].mean()),
        squares=float(((y - offset) ** 2).sum() - gain[best]),
        method="two levels 1",
    )


def hinge(x: np.ndarray, y: np.ndarray) -> Hinge:
    """Two straight lines that meet, wherever the squared distance to them is least.

    Parameters
    ----------
    x, y : ndarray, shape (n,)
        Rising places and their values, none missing.

    Returns
    -------
    Hinge
        The least of all places between the second and the last but one, not of a search from a guess.

    Raises
    ------
    TooLittleData
        With fewer than 6 values.

    Source
    ------
    Model and standard error: Muggeo VMR (2003), Stat Med 22:3055-3071.  The search through every gap is this
    project's own choice: the curve of squares has several dips, and a search from a guess stops in one.

    Examples
    --------
    >>> x = np.arange(20.0)
    >>> hinge(x, np.maximum(x - 7.5, 0.0)).at
    7.5
    """
    if x.size < 6:
        raise TooLittleData(f"a bend needs at least 6 values; found {x.size}. Take a longer series.")
    candidates = [*x[1:-1], *_meetings(x, y)]
    squares = [_squares(_design(x, at), y) for at in candidates]
    at = float(candidates[int(np.argmin(squares))])
    design = _design(x, at)
    level, before, bend = np.linalg.lstsq(design, y, rcond=None)[0]
    rest = float(((y - design @ np.array([level, before, bend])) ** 2).sum())
    # a value exactly on the bend counts to its right
    with_place = np.column_stack((design, -bend * (x >= at)))
    spread = rest / (x.size - 4) * np.linalg.inv(with_place.T @ with_place)
    return Hinge(
        at=at,
        se=float(np.sqrt(spread[3, 3])),
        slope_before=float(before),
        slope_after=float(before + bend),
        squares=rest,
        method="two lines that meet 1",
    )


def _design(x: np.ndarray, at: float) -> np.ndarray:
    return np.column_stack((np.ones_like(x), x - at, np.maximum(x - at, 0.0)))


def _squares(design: np.ndarray, y: np.ndarray) -> float:
    return float(((y - design @ np.linalg.lstsq(design, y, rcond=None)[0]) ** 2).sum())


def _meetings(x: np.ndarray, y: np.ndarray) -> list[float]:
    """Where two free lines, left and right of each gap, meet inside that gap."""
    found = []
    for cut in range(2, x.size - 1):
        near = x - x[cut]
        (slope1, level1), (slope2, level2) = (
            np.polyfit(near[:cut], y[:cut], 1),
            np.polyfit(near[cut:], y[cut:], 1),
        )
        if slope1 != slope2:
            at = x[cut] + (level1 - level2) / (slope2 - slope1)
            if x[cut - 1] <= at <= x[cut]:
                found.append(float(at))
    return found
