"""Recordings judged in tests, as every page judges them."""

from coachlib.analysis.recording.judge import judge
from coachlib.errors import UnfitTest
from coachlib.records.athlete import Athlete

SOMEBODY = Athlete(slug="a", name="A")


def judged(activity, decisions=None, row=None, athlete=SOMEBODY, **options):
    return judge("s", activity, decisions, athlete, row, **options)


def stretch(activity, decisions=None, *, diary_row=None, athlete=SOMEBODY, **options):
    """The steady stretch; a refusal where there is none."""
    found = judged(activity, decisions, diary_row, athlete, **options)
    if found.steady is None:
        raise UnfitTest(f"no steady stretch: {found.not_steady}")
    return found.steady
