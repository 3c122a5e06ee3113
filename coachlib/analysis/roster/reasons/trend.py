"""What a season's trends give: a change, or a comparison begun anew."""

from datetime import timedelta

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.reasons.kind import ReasonKind, Told
from coachlib.analysis.season.context import context_of
from coachlib.analysis.season.output_trend import OutputTrend
from coachlib.analysis.week.calendar import first_day
from coachlib.measures.common.codes import Code, code
from coachlib.measures.common.constants import Z90
from coachlib.records.roster import TriageSettings

#: A new reference is told for so long: it takes some sessions to be sure of it.  Own choice.
TOLD_FOR = timedelta(weeks=3)


def up(athlete: AthleteWeek, settings: TriageSettings) -> Told | None:
    """A gain that is likely or clear; good news is news."""
    found = _strongest(athlete, "up", settings)
    return None if found is None else Told(code=_change("trend up", found, athlete))


def down(athlete: AthleteWeek, settings: TriageSettings) -> Told | None:
    """A loss that is likely or clear, with what stands beside it."""
    found = _strongest(athlete, "down", settings)
    return None if found is None else Told(code=_change("trend down", found, athlete))


def compared_anew(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """New gear found in recordings or diary, after which the coach will hear nothing of a trend for a while."""
    trends = athlete.season.trends if athlete.season is not None else ()
    since = athlete.week.stop_on - TOLD_FOR
    new = [
        t for t in trends if t.reference_found and t.new_reference_on is not None and t.new_reference_on >= since
    ]  # fmt: skip
    if not new:
        return None
    found = new[0]
    return Told(
        code=code(
            "new reference", trend=found.group, because=" and ".join(found.new_gear), since_on=found.new_reference_on,
            first_call_on=found.first_call_on,
        )
    )  # fmt: skip


def _strongest(athlete: AthleteWeek, direction: str, settings: TriageSettings) -> OutputTrend | None:
    calls = ("possible", "likely", "clear") if settings.tell_possible_trends else ("likely", "clear")
    trends = athlete.season.trends if athlete.season is not None else ()
    called = [
        t for t in trends if t.call in calls and t.direction == direction and t.trend.latest.has_readings
    ]
    return max(called, key=lambda t: calls.index(t.call), default=None)


def _change(name: str, trend: OutputTrend, athlete: AthleteWeek) -> Code:
    """A change with its 90 % interval; a loss with the last weeks' sleep, health and load, a gain with whether to test."""
    size = abs(trend.change or 0.0)
    reach = Z90 * (trend.trend.latest.change_sd_output or 0.0)
    context = context_of(athlete.season) if name == "trend down" and athlete.season is not None else None
    beside: dict[str, float | int | bool | None] = {"may_be_tested": athlete.may_be_tested}
    if name == "trend down":
        beside = {}
    if context is not None:
        beside = {
            "n_weeks": context.n_weeks, "sleep_h": context.sleep_h, "n_unwell": context.n_unwell,
            "load_ratio": context.load_ratio,
        }  # fmt: skip
    return code(
        name, trend=trend.group, hr_bpm=trend.hr_reference_bpm, unit=trend.unit, size=size, low=size - reach,
        high=size + reach, since_on=first_day(trend.since, starts=athlete.week.settings.week_starts),
        compared_with=_compared_with(trend), call=trend.call, **beside,
    )  # fmt: skip


REASONS = (
    ReasonKind(name="trend down", rank=50, group="talk to", where="weekly letter", seen=down),
    ReasonKind(name="trend up", rank=160, group="look at", where="weekly letter", seen=up),
    ReasonKind(name="new reference", rank=190, group="look at", where="athlete.toml", seen=compared_anew),
)


def _compared_with(trend: OutputTrend) -> str:
    """Why the season's first weeks are not compared with, in a few words; "" where they are."""
    moved = ("moved by the coach",) if any(c.name == "reference moved" for c in trend.about) else ()
    return ", ".join((*trend.new_gear, *moved))
