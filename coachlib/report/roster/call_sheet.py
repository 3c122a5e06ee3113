"""The coach's own page: whom to talk to, whom to look at, who is fine, and why."""

from collections.abc import Mapping, Sequence
from typing import Any

from coachlib.analysis.roster.call_sheet import CallEntry, CallSheet, Reason
from coachlib.analysis.week.calendar import first_day
from coachlib.records.roster import RosterSettings
from coachlib.report.letter.numbers import plain
from coachlib.report.look.text import clean_text, escape
from coachlib.report.page.blocks import Bundle, Html, Numbers
from coachlib.report.page.places import page_address
from coachlib.report.words import wording

#: Longest reason set in full [characters].  Own choice: two lines, so that twelve athletes fit one screen.
MOST_LETTERS = 170
#: Longest name of a recording set in full [characters].  Own choice.
MOST_LETTERS_OF_A_NAME = 40
#: Reasons that quote people or files.
QUOTING = frozenset({"illness or pain", "unreadable"})
#: Where something is settled -> the page of the desk on which it is.
PAGES = {
    "recording": "recording",
    "recordings": "recording",
    "first_threshold": "first_threshold",
    "weekly letter": "letter",
    "diary": "letter",
}

#: What a link leads to: by athlete's folder and place ("diary", "weekly letter"), and by recording before that.
Links = Mapping[tuple[str, ...], str]


def head(week: str, settings: RosterSettings) -> Html:
    """Whose roster, which week."""
    when = wording.week(first_day(week, starts=settings.week_starts))
    return Html(
        f'<header class="head"><h1>Call sheet</h1><p class="when">{when}</p>'
        f'<p class="from">{escape(settings.name)}</p></header>'
    )


class Groups(Html):
    """The sheet, whose links lead to the roster's files on the page and to the desk's pages on the screen."""

    at_the_desk: str

    def _repr_mimebundle_(self, **options: Any) -> Bundle:
        """Give Jupyter the piece for the page and, with other links, the piece for the screen."""
        page, screen = (
            super()._repr_mimebundle_(**options),
            Html(self.at_the_desk)._repr_mimebundle_(**options),
        )
        return {**page, "text/html": screen["text/html"]}


def groups(sheet: CallSheet, links: Links | None = None, *, week: str | None = None) -> Groups:
    """Everybody once, in order of need; those without a reason as a line of names.

    Parameters
    ----------
    sheet : CallSheet
        The roster in order of need.
    links : mapping, optional
        Where the page may link to; a place without a link is only named.
    week : str, optional
        The week whose letters the names lead to on the screen.

    Examples
    --------
    >>> groups(CallSheet(talk_to=(), look_at=(), fine=()))
    ''
    """
    found = Groups(_groups(sheet, dict(links or {})))
    found.at_the_desk = _groups(sheet, desk_links(sheet, week))
    return found


def desk_links(sheet: CallSheet, week: str | None) -> dict[tuple[str, ...], str]:
    """The page of the desk for each place and recording on the sheet."""
    found: dict[tuple[str, ...], str] = {}
    for entry in sheet.in_order:
        for place, page in PAGES.items():
            found[entry.slug, place] = page_address(page, athlete=entry.slug, week=week)
        for reason in entry.reasons:
            if reason.recording and reason.where in PAGES:
                found[entry.slug, reason.where, reason.recording] = page_address(
                    PAGES[reason.where], athlete=entry.slug, recording=reason.recording, week=week
                )
    return found


def _groups(sheet: CallSheet, links: Links) -> str:
    return (
        _group("Talk to", "talk", sheet.talk_to, links)
        + _group("Look at", "look", sheet.look_at, links)
        + _fine(sheet.fine, links, everybody=not (sheet.talk_to or sheet.look_at))
    )


def kept(week: str, sheet: CallSheet) -> Numbers:
    """What the page says, for the file beside it: everybody in order, the strongest reason first."""
    return Numbers({"week": week, "in_order": plain(sheet.in_order)})


def _group(title: str, name: str, entries: Sequence[CallEntry], links: Links) -> str:
    if not entries:
        return ""
    rows = "".join(
        f"<li><h3>{_name(e, links)}</h3><ul>{''.join(_reason(e, r, links) for r in e.reasons)}</ul></li>"
        for e in entries
    )
    return f'<section class="calls {name}"><h2>{title}</h2><ol>{rows}</ol></section>'


def _name(entry: CallEntry, links: Links) -> str:
    """The athlete's name, which leads to the letter."""
    return _link(escape(entry.name), links.get((entry.slug, "weekly letter")))


def _reason(entry: CallEntry, reason: Reason, links: Links) -> str:
    """What was seen, how to settle it, and where."""
    said = clean_text(" ".join(reason.sentence.split()), limit=MOST_LETTERS)
    quoting = " words" if reason.kind in QUOTING else ""
    words = escape(reason.where.replace("_", " "))
    if reason.recording:
        words += f": {escape(clean_text(reason.recording, limit=MOST_LETTERS_OF_A_NAME))}"
    to = links.get((entry.slug, reason.where, reason.recording)) or links.get((entry.slug, reason.where))
    place = _link(words, to)
    return (
        f'<li><span class="why{quoting}">{escape(said)}</span> <span class="do">{escape(reason.settle)} '
        f'<span class="where">{place}</span></span></li>'
    )


def _link(words: str, target: str | None) -> str:
    """Words that lead somewhere, where there is somewhere to go."""
    return f'<a href="{escape(target)}">{words}</a>' if target else words


def _fine(entries: Sequence[CallEntry], links: Links, *, everybody: bool) -> str:
    if not entries:
        return ""
    names = wording.listed([_name(e, links) for e in entries])
    title = "Everybody is fine" if everybody else "Fine"
    return f'<section class="calls fine"><h2>{title}</h2><p>{names}</p></section>'
