"""What *usually* means, on every page: the median of the four complete weeks before."""

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from statistics import median
from typing import Protocol, TypeVar

#: The weeks before that are looked at, and how many of them must have something to say.
USUAL_WEEKS, LEAST_WEEKS = 4, 2
#: A week within this share of a usual one is "about as much as usual".  Own choice.
ABOUT_USUAL_FRAC = 0.15


class OnADay(Protocol):
    """Anything of one day."""

    @property
    def on(self) -> date:
        """The athlete's day."""


Session = TypeVar("Session", bound=OnADay)


def weeks_that_count(
    start_on: date, sessions: Sequence[Session], *, is_apart: Callable[[date], bool]
) -> tuple[tuple[Session, ...], ...]:
    """The sessions of the four complete weeks before a week, newest week first.

    Days set apart are left out, and a week without any other session is a gap, no usual week.

    Parameters
    ----------
    start_on : date
        First day of the week that is compared.
    sessions : sequence
        Any of the athlete's, each with its day.
    is_apart : function of a date
        Whether a day lies in a block (ill, travel, altitude).

    Examples
    --------
    >>> weeks_that_count(date(2026, 11, 16), [], is_apart=lambda day: False)
    ()
    """
    weeks = []
    for back in range(1, USUAL_WEEKS + 1):
        first = start_on - timedelta(weeks=back)
        stop = first + timedelta(days=7)
        within = tuple(s for s in sessions if first <= s.on < stop and not is_apart(s.on))
        if within:
            weeks.append(within)
    return tuple(weeks)


def usual(values: Sequence[float | None]) -> float | None:
    """The median of the weeks whose value is known; None with fewer than two.

    Examples
    --------
    >>> usual([300.0, 420.0, None, 360.0]), usual([300.0, None]) is None
    (360.0, True)
    """
    known = [v for v in values if v is not None]
    return float(median(known)) if len(known) >= LEAST_WEEKS else None
