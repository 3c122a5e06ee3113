"""The coach's own page: whom to talk to, whom to look at, who is fine, and why."""

from collections.abc import Sequence

from coachlib.analysis.triage import CallEntry, CallSheet, Reason
from coachlib.analysis.weeks import first_day
from coachlib.records.roster import RosterSettings
from coachlib.report import wording
from coachlib.report.blocks import Html, Numbers
from coachlib.report.numbers import plain
from coachlib.report.text import clean_text, escape

#: Longest reason set in full [characters].  Own choice: two lines, so that twelve athletes fit one screen.
MOST_LETTERS = 170
#: Reasons that quote people or files.
QUOTING = frozenset({"illness or pain", "unreadable"})
#: Places to settle something that are workbooks.
WORKBOOKS = frozenset({"recording", "drift test", "thresholds"})


def head(week: str, settings: RosterSettings) -> Html:
    """Whose roster, which week."""
    when = wording.week(first_day(week, starts=settings.week_starts))
    return Html(
        f'<header class="head"><h1>Call sheet</h1><p class="when">{when}</p>'
        f'<p class="from">{escape(settings.name)}</p></header>'
    )


def groups(sheet: CallSheet) -> Html:
    """Everybody once, in order of need; those without a reason as a line of names.

    Examples
    --------
    >>> groups(CallSheet(talk_to=(), look_at=(), fine=()))
    ''
    """
    return Html(
        _group("Talk to", "talk", sheet.talk_to)
        + _group("Look at", "look", sheet.look_at)
        + _fine(sheet.fine, everybody=not (sheet.talk_to or sheet.look_at))
    )


def kept(week: str, sheet: CallSheet) -> Numbers:
    """What the page says, for the file beside it: everybody in order, the strongest reason first."""
    return Numbers({"week": week, "in_order": plain(sheet.in_order)})


def _group(title: str, name: str, entries: Sequence[CallEntry]) -> str:
    if not entries:
        return ""
    rows = "".join(
        f"<li><h3>{escape(e.name)}</h3><ul>{''.join(map(_reason, e.reasons))}</ul></li>" for e in entries
    )
    return f'<section class="calls {name}"><h2>{title}</h2><ol>{rows}</ol></section>'


def _reason(reason: Reason) -> str:
    """What was seen, how to settle it, and where."""
    said = clean_text(" ".join(reason.sentence.split()), limit=MOST_LETTERS)
    quoting = " words" if reason.kind in QUOTING else ""
    where = f"{reason.where} workbook" if reason.where in WORKBOOKS else reason.where
    return (
        f'<li><span class="why{quoting}">{escape(said)}</span> <span class="do">{escape(reason.settle)} '
        f'<span class="where">{escape(where)}</span></span></li>'
    )


def _fine(entries: Sequence[CallEntry], *, everybody: bool) -> str:
    if not entries:
        return ""
    names = wording.listed([escape(e.name) for e in entries])
    title = "Everybody is fine" if everybody else "Fine"
    return f'<section class="calls fine"><h2>{title}</h2><p>{names}</p></section>'
