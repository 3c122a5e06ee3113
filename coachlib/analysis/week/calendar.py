"""Names of weeks: ISO weeks, or weeks that start on the Sunday before."""

import re
from datetime import date, timedelta

from coachlib.errors import BadArgument

# not by locale: sentences are in English wherever they are made
MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
           "November", "December")  # fmt: skip


def day_in_words(day: date) -> str:
    """A day as people say it.

    Examples
    --------
    >>> day_in_words(date(2026, 11, 3))
    '3 November 2026'
    """
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def week_of(day: date, *, starts: str = "monday") -> str:
    """The name of the week a day lies in.

    Examples
    --------
    >>> week_of(date(2026, 11, 22)), week_of(date(2026, 11, 22), starts="sunday")
    ('2026-W47', '2026-W48')
    """
    year, number, _ = (day + timedelta(days=1 if starts == "sunday" else 0)).isocalendar()
    return f"{year}-W{number:02d}"


def first_day(week: str, *, starts: str = "monday") -> date:
    """The first day of a week; seven days on starts the next.

    Raises
    ------
    BadArgument
        When the name is no ISO week.

    Examples
    --------
    >>> first_day("2026-W47"), first_day("2026-W47", starts="sunday")
    (datetime.date(2026, 11, 16), datetime.date(2026, 11, 15))
    """
    match = re.fullmatch(r"(\d{4})-W(\d{2})", week)
    try:
        if match is None:
            raise ValueError
        monday = date.fromisocalendar(int(match[1]), int(match[2]), 1)
    except ValueError:
        raise BadArgument(
            f'a week is named by ISO year and number, such as "2026-W41"; found "{week}"'
        ) from None
    return monday - timedelta(days=1 if starts == "sunday" else 0)


def weeks_before(week: str, n: int) -> tuple[str, ...]:
    """The names of the ``n`` weeks before, oldest first.

    Examples
    --------
    >>> weeks_before("2026-W02", 3)
    ('2025-W51', '2025-W52', '2026-W01')
    """
    monday = first_day(week)
    return tuple(week_of(monday - timedelta(weeks=back)) for back in range(n, 0, -1))
