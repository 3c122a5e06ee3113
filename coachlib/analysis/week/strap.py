"""Heart rate that a strap lost: moving time without it that nobody left out."""

from collections.abc import Iterable
from dataclasses import dataclass

from coachlib.analysis.recording.judged import JudgedRecording


@dataclass(frozen=True, slots=True, kw_only=True)
class StrapLoss:
    """How long, and which share of a session's moving time, a strap told nothing."""

    session: JudgedRecording
    missing_s: float
    missing_frac: float


def strap_losses(sessions: Iterable[JudgedRecording], *, more_than_frac: float) -> tuple[StrapLoss, ...]:
    """Sessions that had a heart rate and lost more than a share of it, the worst first.

    A session without any heart rate was done without a strap.  What the coach left out, as twenty minutes of
    talking, was measured and says nothing against one.

    Parameters
    ----------
    sessions : iterable of JudgedRecording
        The sessions to look at.
    more_than_frac : float
        Share of the moving time that a strap may lose, 0 to 1.

    Examples
    --------
    >>> strap_losses([], more_than_frac=0.1)
    ()
    """
    losses = [
        StrapLoss(session=s, missing_s=s.hr_missing_s, missing_frac=s.hr_missing_s / s.moving_s)
        for s in sessions
        if s.moving_s > 0 and s.hr_s + s.excluded_s > 0
    ]
    found = [loss for loss in losses if loss.missing_frac > more_than_frac]
    return tuple(sorted(found, key=lambda loss: -loss.missing_frac))
