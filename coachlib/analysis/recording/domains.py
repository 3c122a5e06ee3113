"""Time below, between and above the thresholds."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True, kw_only=True)
class DomainTime:
    """Seconds of used heart rate below, between and above the thresholds valid that day.

    With a first threshold only, ``between_s`` is all the time above it and ``above_s`` is None.
    """

    first_bpm: float
    second_bpm: float | None
    below_s: float
    between_s: float
    above_s: float | None

    @property
    def total_s(self) -> float:
        """All judged seconds."""
        return self.below_s + self.between_s + (self.above_s or 0.0)


def domain_time(seconds_at_bpm: tuple[float, ...], first_bpm: float, second_bpm: float | None) -> DomainTime:
    """Split the seconds at each heart rate by two thresholds; a beat on a threshold counts below it.

    Parameters
    ----------
    seconds_at_bpm : tuple of float
        Seconds at each whole heart rate, index = beats per minute. [s]
    first_bpm, second_bpm : float
        The thresholds; the second may be missing, and is left aside where it is not above the first.
        [1/min]

    Source
    ------
    Three domains: Seiler & Kjerland (2006), Scand J Med Sci Sports 16:49-56,
    doi 10.1111/j.1600-0838.2004.00418.x.

    Examples
    --------
    >>> seconds = (0.0,) * 140 + (60.0,) * 30
    >>> domain_time(seconds, 149, 159)
    DomainTime(first_bpm=149, second_bpm=159, below_s=600.0, between_s=600.0, above_s=600.0)
    """
    seconds = np.asarray(seconds_at_bpm)
    beats = np.arange(seconds.size)
    if second_bpm is not None and second_bpm <= first_bpm:
        second_bpm = None
    above = None if second_bpm is None else float(seconds[beats > second_bpm].sum())
    return DomainTime(
        first_bpm=first_bpm,
        second_bpm=second_bpm,
        below_s=float(seconds[beats <= first_bpm].sum()),
        between_s=float(seconds[beats > first_bpm].sum()) - (above or 0.0),
        above_s=above,
    )


def summed_domains(parts: Iterable[DomainTime | None]) -> DomainTime | None:
    """The seconds of several sessions or weeks, each judged by the thresholds of its own day.

    Two domains where a second threshold was missing in one of them; None where nothing was judged.

    Source
    ------
    See ``domain_time``.

    Examples
    --------
    >>> easy = DomainTime(first_bpm=150, second_bpm=None, below_s=600.0, between_s=60.0, above_s=None)
    >>> hard = DomainTime(first_bpm=150, second_bpm=170, below_s=60.0, between_s=30.0, above_s=10.0)
    >>> summed_domains([easy, None, hard])
    DomainTime(first_bpm=150, second_bpm=None, below_s=660.0, between_s=100.0, above_s=None)
    """
    judged = [part for part in parts if part is not None and part.total_s > 0]
    if not judged:
        return None
    with_second = all(d.second_bpm is not None for d in judged)
    return DomainTime(
        first_bpm=judged[-1].first_bpm,
        second_bpm=judged[-1].second_bpm if with_second else None,
        below_s=sum(d.below_s for d in judged),
        between_s=sum(d.between_s + (0.0 if with_second else d.above_s or 0.0) for d in judged),
        above_s=sum(d.above_s or 0.0 for d in judged) if with_second else None,
    )
