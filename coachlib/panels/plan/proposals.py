"""What a plan can begin with: last week once more, or the next test with its settings and the day before it free."""

from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from coachlib.analysis.first_threshold.fit_to_test import TEST_MINUTES, instead_of_test
from coachlib.analysis.plan.planned import as_recorded
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.due_tests import clear_of_events, next_due_test
from coachlib.analysis.week.meant import meant_as
from coachlib.errors import BadArgument
from coachlib.records.diary import DiaryRow
from coachlib.report.words import plan, wording
from coachlib.report.words.catalogue import whole

Cells = Mapping[str, str]
#: Minutes are proposed in steps of this. [min]  Own choice.
STEP_MIN = 5


def last_week_again(monday: AthleteWeek, taken: Sequence[date]) -> list[Cells]:
    """The days of the week that was, seven days on: what was planned, else what was done; tests and races left out.

    Parameters
    ----------
    monday : AthleteWeek
        The week that was.
    taken : sequence of date
        Days that are planned already; they stay as they are.
    """
    week = monday.week
    several = len({as_recorded(s) for s in week.athlete.sports}) > 1
    found: list[Cells] = []
    for session in week.sessions:
        meant = meant_as(session)
        minutes = session.row.planned_min if session.row is not None and session.row.planned_min else None
        minutes = minutes or STEP_MIN * round(session.moving_s / 60 / STEP_MIN)
        sport = session.sport if several else ""
        found.append(_cells(session.on, meant, session.target, session.planned, minutes, sport))
    for row in week.unrecorded:
        if row.is_planned or row.was_done:
            minutes = row.planned_min or row.done_min
            found.append(_cells(row.on, meant_as(row), row.target, row.planned, minutes, row.sport or ""))
    return [
        c for c in found if c["target"] not in ("test", "race") and date.fromisoformat(c["date"]) not in taken
    ]


def _cells(
    on: date, meant: str | None, target: str | None, planned: str | None, minutes: float | None, sport: str
) -> Cells:
    named = target or ("" if meant in (None, "intervals") else meant)
    return {
        "date": str(on + timedelta(days=7)),
        "target": named or "",
        "planned": planned or "",
        "planned_min": "" if not minutes else f"{minutes:g}",
        "sport": sport,
    }


def next_test_rows(monday: AthleteWeek, rows: Sequence[DiaryRow], days: Sequence[date]) -> list[Cells]:
    """The next steady test on the first day that is free for it, and rest on the day before where nothing is planned.

    Parameters
    ----------
    monday : AthleteWeek
        The week that was.
    rows : sequence of DiaryRow
        What the coming week holds already.
    days : sequence of date
        Its days.

    Raises
    ------
    BadArgument
        When something speaks against asking for a test, the week holds one, or no day of it is left.
    """
    if any(meant_as(row) == "test" for row in rows if row.is_planned):
        raise BadArgument("the week holds a test already; move or change that one.")
    due = next_due_test(monday)
    first = days[0] if due is None or due.which == "second" else due.earliest_on
    first = clear_of_events(max(first, days[0]), monday.week.athlete.events, all_out=False)
    planned = {row.on for row in rows if row.is_planned and meant_as(row) != "rest"}
    # not on the first day: the day before it belongs to the week before
    free = [d for d in days[1:] if d >= first and d not in planned]
    if not free:
        raise BadArgument(
            f"no day of this week is free for a test from {wording.day(first)} on; take one out first."
        )
    before_free = [d for d in free if d - timedelta(days=1) not in planned]
    day = (before_free or free)[0]
    against = monday.against_test(day)
    if any(c.name != "no session as long" for c in against):
        raise BadArgument(" ".join(whole(c) for c in (against[0], *instead_of_test(against)[:1])))
    words, minutes = _test_words(monday, is_short=bool(against))
    cells: list[Cells] = [
        {"date": str(day), "target": "test", "planned": words, "planned_min": minutes, "kind": "drift test"}
    ]
    eve = day - timedelta(days=1)
    if eve in days and eve not in {row.on for row in rows if row.is_planned}:
        cells.insert(0, {"date": str(eve), "target": "rest", "planned": "rest before the test"})
    return cells


def _test_words(monday: AthleteWeek, *, is_short: bool) -> tuple[str, str]:
    """What the test is called in the plan, and its minutes."""
    if is_short:
        return "short steady test, talking", "45"
    found = monday.next_test
    if found is None:
        return "steady test, talking", f"{TEST_MINUTES:g}"
    s = found.settings
    at = plan.setting(
        speed_mps=s.speed_mps if s else None,
        grade=s.grade if s else None,
        power_w=s.power_w if s else None,
        hr_bpm=found.target_bpm,
    )
    return f"steady test {at}", f"{TEST_MINUTES:g}"
