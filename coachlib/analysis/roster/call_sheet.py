"""Monday morning: whom to talk to, whom to look at, and why.

Every athlete stands once, under the strongest reason, with all reasons in words, each with its number and
the way to settle it.  Nothing here decides for the coach; a reason says what was seen.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from coachlib.analysis.roster import reasons, trend_reasons
from coachlib.analysis.roster.reasons import AthleteWeek
from coachlib.records.roster import ReasonKind, TriageSettings

Group = Literal["talk to", "look at", "fine"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """Why to look: what was seen, with its number, and how to settle it.

    ``where`` names a workbook (``recording`` then says what to choose in it), a file or the weekly letter.
    """

    kind: ReasonKind
    group: Group
    sentence: str
    settle: str
    where: str
    recording: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unread:
    """An athlete whose folder could not be read, and why."""

    slug: str
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CallEntry:
    """One athlete on the call sheet, the strongest reason first."""

    slug: str
    name: str
    group: Group
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CallSheet:
    """The roster in order of need; ``fine`` has no reason."""

    talk_to: tuple[CallEntry, ...]
    look_at: tuple[CallEntry, ...]
    fine: tuple[CallEntry, ...]

    @property
    def in_order(self) -> tuple[CallEntry, ...]:
        """Everybody, by need."""
        return self.talk_to + self.look_at + self.fine


def call_sheet(
    athletes: Sequence[AthleteWeek], settings: TriageSettings | None = None, *, unread: Sequence[Unread] = ()
) -> CallSheet:
    """Order a roster by need.

    Parameters
    ----------
    athletes : sequence of AthleteWeek
        Everybody on the roster.
    settings : TriageSettings, optional
        What it goes by.
    unread : sequence of Unread
        Athletes about whom nothing else is known; they always stand on the sheet.

    Returns
    -------
    CallSheet
        Each athlete once; within a group by strongest reason, then by number of reasons, then by name.

    Source
    ------
    This project's own choice.

    Examples
    --------
    >>> call_sheet([]).in_order
    ()
    """
    settings = settings or TriageSettings()
    entries = [_entry(a, settings) for a in athletes] + [_unread_entry(u, settings) for u in unread]
    entries.sort(key=lambda e: _need(e, settings))
    return CallSheet(
        talk_to=tuple(e for e in entries if e.group == "talk to"),
        look_at=tuple(e for e in entries if e.group == "look at"),
        fine=tuple(e for e in entries if e.group == "fine"),
    )


def reasons_of(athlete: AthleteWeek, settings: TriageSettings) -> tuple[Reason, ...]:
    """Every reason one athlete gives, the strongest first.

    Source
    ------
    This project's own choice, see ``TriageSettings``.
    """
    seen = {
        "illness or pain": reasons.unwell(athlete),
        "no data": reasons.silent(athlete, settings),
        "easy days not easy": reasons.not_easy(athlete),
        "load outside own range": reasons.load(athlete),
        "drift unusually high": reasons.drift(athlete),
        "unreadable": reasons.unreadable(athlete),
        "strap failing": reasons.strap(athlete, settings),
        "decisions pending": reasons.pending(athlete),
        "threshold in doubt": reasons.doubt(athlete, settings),
        "threshold stale": reasons.stale(athlete),
        "test due": reasons.due(athlete),
        "trend up": trend_reasons.trend(athlete, "up", settings),
        "trend down": trend_reasons.trend(athlete, "down", settings),
        "new reference": trend_reasons.compared_anew(athlete),
    }
    return tuple(
        Reason(
            kind=kind, group=_group(kind, settings),
            sentence=told.sentence, settle=told.settle, where=told.where, recording=told.recording,
        )
        for kind in settings.order
        if (told := seen[kind]) is not None
    )  # fmt: skip


def _entry(athlete: AthleteWeek, settings: TriageSettings) -> CallEntry:
    found = reasons_of(athlete, settings)
    person = athlete.week.athlete
    group: Group = "fine"
    if found:
        group = "talk to" if any(r.group == "talk to" for r in found) else "look at"
    # the strongest reason of the group it stands in goes first
    ordered = tuple(sorted(found, key=lambda r: r.group != group))
    return CallEntry(slug=person.slug, name=person.name, group=group, reasons=ordered)


def _unread_entry(athlete: Unread, settings: TriageSettings) -> CallEntry:
    reason = Reason(
        kind="unreadable", group=_group("unreadable", settings), sentence=athlete.sentence,
        settle="correct the file; `coachlib check` tells all", where="roster folder",
    )  # fmt: skip
    return CallEntry(slug=athlete.slug, name=athlete.slug, group=reason.group, reasons=(reason,))


def _group(kind: ReasonKind, settings: TriageSettings) -> Group:
    return "talk to" if kind in settings.talk_to else "look at"


def _need(entry: CallEntry, settings: TriageSettings) -> tuple[int, int, str]:
    ranks = {kind: rank for rank, kind in enumerate(settings.order)}
    first = ranks.get(entry.reasons[0].kind, len(ranks)) if entry.reasons else len(ranks)
    return first, -len(entry.reasons), entry.name
