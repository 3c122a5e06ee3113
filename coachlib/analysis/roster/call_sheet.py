"""Monday morning: whom to talk to, whom to look at, and why.

Every athlete stands once, under the strongest reason, with all reasons in words, each with its number and
the way to settle it.  Nothing here decides for the coach; a reason says what was seen.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from coachlib.analysis.remarks.open_remarks import Remark
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.due_tests import DueTest, next_due_test
from coachlib.analysis.roster.reasons.kind import Group, ReasonKind, Told
from coachlib.analysis.roster.reasons.registry import all_reasons, ranked
from coachlib.measures.common.codes import Code, code
from coachlib.records.roster import TriageSettings
from coachlib.records.units import Units


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """Why to look: what was seen as a code with its numbers, and where it is settled.

    ``where`` names a workbook (``recording`` then says what to choose in it), a file or the weekly letter;
    ``quoted`` is what the athlete wrote, where the reason shows it.
    """

    kind: str
    group: Group
    code: Code
    where: str
    recording: str = ""
    quoted: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unread:
    """An athlete whose folder could not be read, and why."""

    slug: str
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CallEntry:
    """One athlete on the call sheet, the strongest reason first, all that was written about the week, and the next test.

    Reasons are said in the athlete's own ``units``.
    """

    slug: str
    name: str
    group: Group
    reasons: tuple[Reason, ...]
    remarks: tuple[Remark, ...] = ()
    units: Units = "metric"
    next_test: DueTest | None = None


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

    Examples
    --------
    >>> call_sheet([]).in_order
    ()
    """
    settings = settings or TriageSettings()
    return in_order_of_need([call_entry(a, settings) for a in athletes], settings, unread=unread)


def in_order_of_need(
    entries: Sequence[CallEntry], settings: TriageSettings, *, unread: Sequence[Unread] = ()
) -> CallSheet:
    """Put the entries of a roster in order, as ``call_sheet`` does."""
    ranks = {kind.name: rank for rank, kind in enumerate(ranked(settings))}
    in_order = sorted(
        (*entries, *(_unread_entry(u, settings) for u in unread)),
        key=lambda e: (ranks.get(e.reasons[0].kind, len(ranks)) if e.reasons else 0, -len(e.reasons), e.name),
    )
    return CallSheet(
        talk_to=tuple(e for e in in_order if e.group == "talk to"),
        look_at=tuple(e for e in in_order if e.group == "look at"),
        fine=tuple(e for e in in_order if e.group == "fine"),
    )


def reasons_of(athlete: AthleteWeek, settings: TriageSettings) -> tuple[Reason, ...]:
    """Every reason one athlete gives, the strongest first.

    Source
    ------
    This project's own choice, see ``analysis.roster.reasons``.
    """
    found = ((kind, kind.seen(athlete, settings)) for kind in ranked(settings))
    return tuple(_reason(kind, told, settings) for kind, told in found if told is not None)


def _reason(kind: ReasonKind, told: Told, settings: TriageSettings) -> Reason:
    return Reason(
        kind=kind.name, group=_group(kind, settings), code=told.code, where=kind.where, recording=told.recording,
        quoted=told.quoted,
    )  # fmt: skip


def call_entry(athlete: AthleteWeek, settings: TriageSettings) -> CallEntry:
    """One athlete's place on the sheet: the strongest reason of the group it stands in goes first."""
    found = reasons_of(athlete, settings)
    person = athlete.week.athlete
    group: Group = "fine"
    if found:
        group = "talk to" if any(r.group == "talk to" for r in found) else "look at"
    ordered = tuple(sorted(found, key=lambda r: r.group != group))
    return CallEntry(
        slug=person.slug,
        name=person.name,
        group=group,
        reasons=ordered,
        remarks=athlete.remarks,
        units=person.units,
        next_test=next_due_test(athlete),
    )


def _unread_entry(athlete: Unread, settings: TriageSettings) -> CallEntry:
    kind = all_reasons()["unreadable"]
    told = Told(code=code(kind.name, what="", why=athlete.sentence, n_more=0))
    reason = replace(_reason(kind, told, settings), where="roster folder")
    return CallEntry(slug=athlete.slug, name=athlete.slug, group=reason.group, reasons=(reason,))


def _group(kind: ReasonKind, settings: TriageSettings) -> Group:
    """What a reason asks for: as the roster says, but what comes first always asks for a word."""
    if kind.weight == "always first" or settings.talk_to is None:
        return kind.group
    return "talk to" if kind.name in settings.talk_to else "look at"
