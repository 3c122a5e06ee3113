"""The numbers behind a letter, for the JSON file beside it."""

from dataclasses import fields, is_dataclass
from datetime import date, datetime, time
from typing import Any

from pydantic import BaseModel

from coachlib.analysis.season.season import Season
from coachlib.analysis.week.week import WeekResult
from coachlib.report.letter.how_we_know import methods
from coachlib.report.page.blocks import Numbers

#: Long series that can be worked out again from the recordings; they are not kept beside the letter.
LEFT_OUT = frozenset({"seconds_at_bpm", "minute_bpm"})


def numbers(week: WeekResult, behind: Season | None = None) -> Numbers:
    """Everything the letter says in numbers, with the names of the methods that made them.

    A missing number is null; why it is missing stands in ``caveats`` or ``not_told``.
    """
    season = None if behind is None else {k: v for k, v in plain(behind).items() if k != "athlete"}
    return Numbers({**plain(week), "season": season, "methods": list(methods(week, behind))})


def plain(value: Any) -> Any:
    """Results as plain dicts, lists, numbers and texts.

    Examples
    --------
    >>> plain((1, date(2026, 11, 22), None))
    [1, '2026-11-22', None]
    """
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in fields(value) if f.name not in LEFT_OUT}
    if isinstance(value, BaseModel):
        return {name: plain(v) for name, v in value}
    if isinstance(value, dict):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, tuple | list):
        return [plain(v) for v in value]
    if isinstance(value, date | datetime | time):
        return value.isoformat()
    return value
