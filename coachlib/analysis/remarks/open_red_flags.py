"""Red flags that no coach has settled yet: until then no training and no test is asked for."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Protocol

from coachlib.analysis.remarks.red_flags import Urgency, red_flags


class Written(Protocol):
    """A row of a diary, or whatever else has a day and a remark."""

    @property
    def on(self) -> date:
        """The day it is about."""

    @property
    def remarks(self) -> str | None:
        """What was written."""


class SettledRemark(Protocol):
    """The coach's word that a remark has been seen to."""

    @property
    def on(self) -> date:
        """When the coach said so."""

    @property
    def remark_on(self) -> date:
        """The day of the remark."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenRedFlag:
    """A sentence that needs a physician first, the day it was written for, and how urgent it is."""

    on: date
    sentence: str
    kind: Urgency


def open_red_flags(
    rows: Iterable[Written], settled: Sequence[SettledRemark], until_day: date
) -> tuple[OpenRedFlag, ...]:
    """Red flags in what was written up to a day, without those that the coach has marked as settled.

    Chest pain, a collapse or fainting ("now") ask for the emergency number while they last; all of them for a
    physician before any training or test.

    Parameters
    ----------
    rows : iterable of Written
        The diary; all of it, since a red flag stays open however old it is.
    settled : sequence of SettledRemark
        What was settled: every remark of that day.  An entry made before the remark's day settles nothing.
    until_day : date
        Later rows are left aside.  A settlement counts whenever it was made: it is mostly made after the week.

    Returns
    -------
    tuple of OpenRedFlag
        Those for "now" first, within them the latest first.

    Examples
    --------
    >>> from coachlib.records.diary import DiaryRow
    >>> rows = [DiaryRow(on="2026-11-18", remarks="Dizzy on the stairs."), DiaryRow(on="2026-11-20", remarks="Fine.")]
    >>> open_red_flags(rows, [], date(2026, 11, 22))[0].kind
    'physician first'
    >>> open_red_flags(rows, [], date(2026, 11, 17))
    ()
    """
    closed = {s.remark_on for s in settled if s.on >= s.remark_on}
    found = [
        OpenRedFlag(on=row.on, sentence=flag.sentence, kind=flag.kind)
        for row in rows
        if row.remarks and row.on <= until_day and row.on not in closed
        for flag in red_flags(row.remarks)
    ]
    found.sort(key=lambda flag: (flag.kind != "now", -flag.on.toordinal()))
    return tuple(dict.fromkeys(found))
