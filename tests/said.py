"""What a recording's caveats say, for tests that read sentences."""

from coachlib.report.words.catalogue import sentence


def said(activity):
    """One sentence a caveat."""
    return tuple(sentence(code) for code in activity.caveats)
