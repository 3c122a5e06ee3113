"""Half-open stretches of elapsed time [start_s, stop_s) and what lies in them."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

import numpy as np


class Stretch(Protocol):
    """Anything with a start and a stop in elapsed seconds: a span, a window, an exclusion, a stage."""

    @property
    def start_s(self) -> float:
        """First second inside. [s]"""

    @property
    def stop_s(self) -> float:
        """First second after. [s]"""


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Span:
    """A half-open stretch of elapsed time, with an optional reason.

    ``effect_pct`` is what leaving the span in would add to heart-rate drift, in percentage points, where
    a window was given to work it out.
    """

    start_s: float
    stop_s: float
    reason: str = ""
    effect_pct: float | None = None

    @property
    def length_s(self) -> float:
        """Seconds from start to stop."""
        return self.stop_s - self.start_s


def inside(time_s: np.ndarray, spans: Iterable[Stretch]) -> np.ndarray:
    """Samples that lie in any of the spans.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        Elapsed time, increasing. [s]
    spans : iterable of Span
        Any objects with ``start_s`` and ``stop_s``.

    Returns
    -------
    ndarray of bool, shape (n,)
        True inside.

    Examples
    --------
    >>> inside(np.arange(5.0), [Span(start_s=1, stop_s=3)]).tolist()
    [False, True, True, False, False]
    """
    found = np.zeros(time_s.shape, dtype=bool)
    for span in spans:
        found |= (time_s >= span.start_s) & (time_s < span.stop_s)
    return found


def spans_of(time_s: np.ndarray, flags: np.ndarray, *, step_s: float, reason: str = "") -> tuple[Span, ...]:
    """Maximal runs of True as spans; each ends one ``step_s`` after its last sample.

    Examples
    --------
    >>> spans_of(np.arange(5.0), np.array([False, True, True, False, True]), step_s=1.0)
    (Span(start_s=1.0, stop_s=3.0, reason='', effect_pct=None), Span(start_s=4.0, stop_s=5.0, reason='', effect_pct=None))
    """
    edges = np.diff(np.concatenate(([False], flags.astype(bool), [False])).astype(np.int8))
    starts, stops = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1) - 1
    return tuple(
        Span(start_s=float(time_s[a]), stop_s=float(time_s[b]) + step_s, reason=reason)
        for a, b in zip(starts, stops, strict=True)
    )


def merged(spans: Iterable[Span], *, gap_s: float = 0.0) -> tuple[Span, ...]:
    """Spans in order, those at most ``gap_s`` apart joined (the first one's reason stays).

    Examples
    --------
    >>> [(s.start_s, s.stop_s) for s in merged([Span(start_s=5, stop_s=9), Span(start_s=0, stop_s=6)])]
    [(0, 9)]
    """
    joined: list[Span] = []
    for span in sorted(spans, key=lambda s: (s.start_s, s.stop_s)):
        if joined and span.start_s <= joined[-1].stop_s + gap_s:
            last = joined[-1]
            joined[-1] = Span(start_s=last.start_s, stop_s=max(last.stop_s, span.stop_s), reason=last.reason)
        else:
            joined.append(Span(start_s=span.start_s, stop_s=span.stop_s, reason=span.reason))
    return tuple(joined)
