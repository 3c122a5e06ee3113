"""Built seasons for the letter's tests: sessions and readings whose truth is known."""

from dataclasses import replace

import numpy as np
from season_parts import LAST_WEEK, SETTINGS, anna, day, readings_of, session

from coachlib.analysis.recording.domains import DomainTime
from coachlib.analysis.season.season import Season, analyse_season
from coachlib.analysis.week.week import analyse_week

N_WEEKS = 16
LEVEL = np.full(N_WEEKS, 3.0)
BETTER = 3.0 + 0.5 * np.clip((np.arange(N_WEEKS) - 3) / 6, 0, 1)


def season(sessions=(), readings=(), athlete=None, **options) -> Season:
    """The season to 2026-W47."""
    return analyse_season(LAST_WEEK, sessions, readings, athlete or anna(), settings=SETTINGS, **options)


def week(sessions=(), athlete=None, **options):
    """The week 2026-W47 itself."""
    return analyse_week(LAST_WEEK, sessions, athlete or anna(), settings=SETTINGS, **options)


def ordinary(**changes):
    """Two easy hours a week for sixteen weeks, 20 degrees falling by one a week."""
    return [session(day(w, at), temperature_c=20.0 - w, **changes) for w in range(N_WEEKS) for at in (1, 4)]


def hours(below, between, above):
    """Domains of one hour, as shares."""
    return DomainTime(
        first_bpm=150, second_bpm=170, below_s=3600 * below, between_s=3600 * between, above_s=3600 * above
    )


def plain(page: str) -> str:
    """A page's text with common spaces, as a test writes them."""
    return page.replace("\u00a0", " ")


def with_call(built: Season, call: str, direction: str = "up") -> Season:
    """The same season with another call of its last week."""
    trend = built.main_trend
    last = replace(trend.trend.latest, call=call, direction=direction)
    changed = replace(trend, trend=replace(trend.trend, weeks=(*trend.trend.weeks[:-1], last)))
    return replace(built, trends=(changed, *built.trends[1:]))


def better() -> Season:
    """A season with a clear gain of half a metre a second (1.8 km/h)."""
    return season(ordinary(), readings_of(BETTER, noise=0.06))
