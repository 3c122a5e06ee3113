"""What sets days apart and asks for care: illness and the like, medicines that change heart rate, settled remarks."""

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Annotated, Literal, Self, get_args

from pydantic import Field, model_validator

from coachlib.records.base import Day, OpenEnd, Record, refuse_backwards

#: The kinds of days apart; where two overlap, the one named first tells.
BlockKind = Literal["ill", "injured", "pregnant", "travel", "altitude"]
#: After these somebody comes back gradually.
_COME_BACK_FROM = ("ill", "injured")
#: So many sessions that passed the gates end being newly back.  Own choice.
SESSIONS_BACK = 3


class Block(Record):
    """Days whose readings are left out of trends, first and last day included; it lasts where no end is given.

    ``cleared_on`` is the day on which somebody who may say so (``note``: who) said that training may begin again.
    """

    start_on: Day
    stop_on: OpenEnd = None
    kind: BlockKind
    cleared_on: Annotated[Day | None, Field(description="a day such as 2026-11-01, from 1990 to 2100")] = None
    note: str = ""

    @model_validator(mode="after")
    def _ends_after_start(self) -> Self:
        refuse_backwards(self.start_on, self.stop_on)
        if self.cleared_on is not None and self.cleared_on < self.start_on:
            raise ValueError(
                f"`cleared_on` is {self.cleared_on} and `from` is {self.start_on}; "
                "`cleared_on` may not lie before `from`"
            )
        return self

    def covers(self, day: date) -> bool:
        """Whether a day lies in it."""
        return self.start_on <= day and (self.stop_on is None or day <= self.stop_on)


def blocks_on(blocks: Iterable[Block], day: date) -> tuple[Block, ...]:
    """The blocks that a day lies in, the one that weighs most first."""
    return tuple(
        sorted((b for b in blocks if b.covers(day)), key=lambda b: get_args(BlockKind).index(b.kind))
    )


def back_since(blocks: Iterable[Block], day: date) -> date | None:
    """The day from which sessions count towards being back from the last illness or injury.

    Returns
    -------
    date or None
        The day after the last one of the block, or that of the clearance where it is later; None where there
        was no illness or injury, or one lasts.

    Examples
    --------
    >>> ill = Block(start_on=date(2026, 10, 12), stop_on=date(2026, 10, 20), kind="ill")
    >>> back_since([ill], date(2026, 10, 25))
    datetime.date(2026, 10, 21)
    """
    off = [b for b in blocks if b.kind in _COME_BACK_FROM and b.start_on <= day]
    if not off or any(b.covers(day) for b in off):
        return None
    return max(max(b.stop_on + timedelta(days=1), b.cleared_on or b.start_on) for b in off if b.stop_on)


class Medicine(Record):
    """A medicine that changes heart rate: from this day on it is taken, taken otherwise, or no longer."""

    on: Day
    change: Literal["begun", "changed", "stopped"]
    name: str = ""
    note: str = ""


def medicine_on(medicines: Iterable[Medicine], day: date) -> bool:
    """Whether a medicine that changes heart rate is taken on a day; those of different names are told apart.

    Before the first day that is known, one was taken where it was then changed or stopped.

    Examples
    --------
    >>> medicine_on([Medicine(on="2026-03-01", change="stopped")], date(2026, 2, 1))
    True
    """
    latest: dict[str, Medicine] = {}
    first: dict[str, Medicine] = {}
    for entry in sorted(medicines, key=lambda m: m.on):
        name = entry.name.strip().casefold()
        first.setdefault(name, entry)
        if entry.on <= day:
            latest[name] = entry
    return any(
        latest[name].change != "stopped" if name in latest else entry.change != "begun"
        for name, entry in first.items()
    )


class Settled(Record):
    """The coach has settled what an athlete wrote on a day: since when, by whom."""

    on: Day
    remark_on: Day
    by: str = ""
    note: str = ""

    @model_validator(mode="after")
    def _after_the_remark(self) -> Self:
        if self.on < self.remark_on:
            raise ValueError(
                f"`on` is {self.on} and `remark_on` is {self.remark_on}; a remark is settled on its day or later"
            )
        return self
