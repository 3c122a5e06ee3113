"""The coach's own page: whom to talk to, whom to look at, who is fine, and why."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from coachlib.analysis.roster.call_sheet import CallEntry, CallSheet, Reason
from coachlib.analysis.week.calendar import first_day
from coachlib.records.roster import RosterSettings
from coachlib.report.letter.numbers import plain
from coachlib.report.look.text import clean_text, escape
from coachlib.report.page.blocks import Html, Leading, Numbers
from coachlib.report.page.places import DESK, lab_address, page_address
from coachlib.report.roster.remarks import open_lines, rest
from coachlib.report.words import wording
from coachlib.report.words.catalogue import sentence, way_out
from coachlib.report.words.plan import due_test

#: Longest reason set in full [characters].  Own choice: two lines, so that twelve athletes fit one screen.
MOST_LETTERS = 170
#: Longest name of a recording set in full [characters].  Own choice.
MOST_LETTERS_OF_A_NAME = 40
#: Where something is settled -> the page of the desk on which it is.
PAGES = {
    "recording": "recording",
    "recordings": "recording",
    "first_threshold": "first_threshold",
    "weekly letter": "letter",
    "diary": "letter",
    "plan": "plan",
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


def groups(sheet: CallSheet, links: Links | None = None, *, week: str | None = None) -> Leading:
    """Everybody once, in order of need; those without a reason as a line of names.

    Parameters
    ----------
    sheet : CallSheet
        The roster in order of need.
    links : mapping, optional
        Where the page may link to; a place without a link is only named.  On the screen the links lead to the
        desk's pages, in JupyterLab to the workbooks behind them.
    week : str, optional
        The week whose letters the names lead to on the screen.

    Examples
    --------
    >>> groups(CallSheet(talk_to=(), look_at=(), fine=()))
    ''
    """
    at_desk = desk_links(sheet, week)
    behind = (
        (key, lab_address(address.replace(DESK, f"{DESK}/behind", 1))) for key, address in at_desk.items()
    )
    return Leading(
        _groups(sheet, dict(links or {})),
        at_desk=_groups(sheet, at_desk),
        in_lab=_groups(sheet, {key: address for key, address in behind if address}),
    )


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
        + _tests(sheet, links)
    )


def _tests(sheet: CallSheet, links: Links) -> str:
    """Who is tested when within three weeks, and why, by the day."""
    due = [(e, e.next_test) for e in sheet.in_order if e.next_test is not None]
    due.sort(key=lambda each: each[1].planned_on or each[1].earliest_on)
    items = "".join(
        f"<li>{_link(escape(e.name), links.get((e.slug, 'first_threshold')))}: {escape(due_test(found))}</li>"
        for e, found in due
    )
    title = f"<h2>Tests in the next three weeks</h2><ul>{items}</ul>"
    return f'<section class="calls tests">{title}</section>' if items else ""


def kept(week: str, sheet: CallSheet) -> Numbers:
    """What the page says, for the file beside it: everybody in order, the strongest reason first."""
    return Numbers({"week": week, "in_order": [_kept(entry) for entry in sheet.in_order]})


def _kept(entry: CallEntry) -> dict[str, Any]:
    with wording.spoken_in(entry.units):
        reasons = [
            plain(r) | {"sentence": sentence(r.code), "way_out": way_out(r.code)} for r in entry.reasons
        ]
    return plain(entry) | {"reasons": reasons}


def _group(title: str, name: str, entries: Sequence[CallEntry], links: Links) -> str:
    if not entries:
        return ""
    rows = "".join(f"<li><h3>{_name(e, links)}</h3>{_said_of(e, links)}</li>" for e in entries)
    return f'<section class="calls {name}"><h2>{title}</h2><ol>{rows}</ol></section>'


def _said_of(entry: CallEntry, links: Links) -> str:
    """Every reason of an athlete, and every remark: those that wait open, the others folded."""
    with wording.spoken_in(entry.units):
        return _said_in_units(entry, links)


def _said_in_units(entry: CallEntry, links: Links) -> str:
    shown = [_shown(reason) for reason in entry.reasons]
    quoted = {r.quoted for r, said in zip(entry.reasons, shown, strict=True) if r.quoted and said.is_whole}
    reasons = (_reason(entry, r, said.text, links) for r, said in zip(entry.reasons, shown, strict=True))
    lines = open_lines(entry.remarks, quoted=quoted)
    return f"<ul>{''.join(reasons)}{lines.html}</ul>{rest(lines.folded)}"


def _name(entry: CallEntry, links: Links) -> str:
    """The athlete's name, which leads to the letter."""
    return _link(escape(entry.name), links.get((entry.slug, "weekly letter")))


@dataclass(frozen=True, slots=True)
class _Shown:
    """A reason's sentence as it stands on the page, and whether that is all of it."""

    text: str
    is_whole: bool


def _shown(reason: Reason) -> _Shown:
    said = " ".join(sentence(reason.code).split())
    kept = clean_text(said, limit=MOST_LETTERS)
    return _Shown(kept, is_whole=len(said) <= MOST_LETTERS)


def _reason(entry: CallEntry, reason: Reason, said: str, links: Links) -> str:
    """What was seen, how to settle it, and where."""
    quoting = " words" if reason.quoted or reason.kind == "unreadable" else ""
    words = escape(reason.where.replace("_", " "))
    if reason.recording:
        words += f": {escape(clean_text(reason.recording, limit=MOST_LETTERS_OF_A_NAME))}"
    to = links.get((entry.slug, reason.where, reason.recording)) or links.get((entry.slug, reason.where))
    place = _link(words, to)
    return (
        f'<li><span class="why{quoting}">{escape(said)}</span> <span class="do">{escape(way_out(reason.code))} '
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
    waiting = ""
    folded: list[tuple[str, str]] = []
    for entry in entries:
        lines = open_lines(entry.remarks, who=entry.name)
        waiting += lines.html
        folded += lines.folded
    said = (f"<ul>{waiting}</ul>" if waiting else "") + rest(folded, are_all=not waiting)
    return f'<section class="calls fine"><h2>{title}</h2><p>{names}</p>{said}</section>'
