"""Of whom a steady test is asked, and what instead of the others.

Sources: Riebe et al. (2015), Med Sci Sports Exerc 47:2473-2479; PAR-Q+; common practice, no source.
"""

from dataclasses import dataclass
from datetime import date, timedelta

import pytest

from coachlib.analysis.first_threshold.fit_to_test import fit_to_test, instead_of_test, longest_steady_minutes
from coachlib.records.athlete import Athlete, Block

TODAY = date(2026, 11, 29)


@dataclass(frozen=True)
class Session:
    on: date
    moving_s: float | None
    kind: str | None = None


LONG = (Session(TODAY - timedelta(days=9), 90 * 60.0),)


def mira(**changes):
    return Athlete(slug="mira", name="Mira", birth_year=1984, **changes)


def ill(start, stop):
    return mira(blocks=(Block(start_on=start, stop_on=stop, kind="ill"),))


def reasons(athlete=None, *, sessions=LONG, **options):
    return [c.name for c in fit_to_test(athlete or mira(), on=TODAY, sessions=sessions, **options)]


def test_a_healthy_trained_athlete_is_asked():
    assert reasons() == []
    assert instead_of_test(()) == ()


@pytest.mark.parametrize(
    ("sessions", "longest"),
    [
        ((), None),
        ((Session(TODAY - timedelta(days=31), 9000.0),), None),
        ((Session(TODAY - timedelta(days=2), 9000.0, "intervals"), Session(TODAY, 2400.0)), 40.0),
        ((Session(TODAY, None),), None),
    ],
)
def test_the_longest_steady_session_of_thirty_days_counts(sessions, longest):
    assert longest_steady_minutes(sessions, on=TODAY) == longest
    assert reasons(sessions=sessions) == ["no session as long"]
    assert [c.name for c in instead_of_test(fit_to_test(mira(), on=TODAY, sessions=sessions))] == [
        "shorter test instead"
    ]


def test_a_shorter_test_fits_shorter_sessions():
    assert reasons(sessions=(Session(TODAY, 50 * 60.0),), test_minutes=45.0) == []


def test_illness_goes_before_everything():
    now = ill(TODAY - timedelta(days=3), TODAY + timedelta(days=3))
    found = fit_to_test(now, on=TODAY, sessions=())
    assert [c.name for c in found] == ["no test while ill", "no session as long"]
    assert [c.name for c in instead_of_test(found)] == ["rest, then the gates"]
    assert reasons(health="ill") == ["no test while ill"]
    assert reasons(health="pain") == ["no test in pain"]
    assert reasons(health="tired") == []


def test_three_sessions_come_first_after_illness():
    back = ill(TODAY - timedelta(days=12), TODAY - timedelta(days=6))
    two = (*LONG, Session(TODAY - timedelta(days=4), 1800.0), Session(TODAY - timedelta(days=1), 1800.0))
    assert reasons(back, sessions=two) == ["no test newly back"]
    assert reasons(back, sessions=(*two, Session(TODAY, 1800.0))) == []
    assert reasons(back, sessions=two, passed_sessions=3) == []
    assert reasons(back, sessions=(*two, Session(TODAY, 1800.0)), passed_sessions=0) == ["no test newly back"]


def test_medicine_and_age():
    told = fit_to_test(mira(heart_rate_medicine=True), on=TODAY, sessions=LONG)
    assert [c.name for c in told] == ["no test under medicine"]
    assert [c.name for c in instead_of_test(told)] == ["ask a physician first", "talk test instead"]
    young = Athlete(slug="ada", name="Ada", birth_year=TODAY.year - 18)
    assert reasons(young) == ["no test under age"], "seventeen until the birthday, which is not known"
    assert reasons(Athlete(slug="ada", name="Ada", birth_year=TODAY.year - 19)) == []
    assert reasons(Athlete(slug="eva", name="Eva")) == [], "an unknown year keeps nobody out"
