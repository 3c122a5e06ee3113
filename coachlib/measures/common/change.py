"""Where a series steps to another level: least squares over every split."""

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
