"""What stands beside a change of form: sleep, health and load of the last weeks, looked at over one span everywhere."""

from dataclasses import dataclass

from coachlib.analysis.season.season import Season

#: A poor fortnight looks like lost fitness; so far back one looks for its causes.  Own choice.
CONTEXT_WEEKS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Context:
    """Means over the last weeks; None where nothing was written down or is usual.

    ``load_ratio`` is the mean weekly load over the usual week's, weeks set apart left out.
    """

    n_weeks: int
    sleep_h: float | None
    n_unwell: int
    load_ratio: float | None


def context_of(season: Season) -> Context:
    """Sleep, days unwell and load of the season's last three weeks."""
    recent = season.weeks[-CONTEXT_WEEKS:]
    sleep = [w.sleep_h for w in recent if w.sleep_h is not None]
    loads = [w.load for w in recent if w.load is not None and not w.apart]
    usual = season.load_range.usual if season.load_range is not None else None
    return Context(
        n_weeks=len(recent),
        sleep_h=sum(sleep) / len(sleep) if sleep else None,
        n_unwell=sum(w.n_unwell for w in recent),
        load_ratio=sum(loads) / len(loads) / usual if loads and usual else None,
    )
