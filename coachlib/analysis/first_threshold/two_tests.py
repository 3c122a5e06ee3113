"""Two steady tests of one athlete held against each other: what changed beyond what one day differs from another."""

from dataclasses import dataclass

import numpy as np

from coachlib.analysis.first_threshold.comparability import Condition, SeriesTest, compare_conditions
from coachlib.analysis.first_threshold.slopes import settings_of, usual_slope
from coachlib.errors import BadArgument
from coachlib.measures.common.codes import Code, code
from coachlib.measures.common.constants import DAY_DRIFT_SD_PCT, DAY_HR_SD_BPM, Z90
from coachlib.measures.drift_test.reference_conditions import (
    HEAT_BPM_PER_C_SD,
    HEAT_PCT_PER_C_SD,
    degrees_of_heat,
    in_reference_conditions,
)
from coachlib.measures.output.energy import LEVEL_VO2_PER_MPS
from coachlib.measures.season.trend import CALL_AT, WORDS
from coachlib.records.athlete import Athlete
from coachlib.records.sports import sport_family

METHOD = "two tests 1"
#: Tests whose first halves lie further apart were not equally hard, so that their drift differs anyway. [1/min]
#: Own choice: as much as two days differ.
SAME_EFFORT_BPM = 1.5 * DAY_HR_SD_BPM
#: Settings nearer than this are one setting: a tenth of a km/h on the level, a step of an ergometer.  Own choice.
SAME_DEMAND, SAME_POWER_W = 0.4, 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """A difference, the later test minus the earlier, with its 90 % interval, and how sure it is that there is one.

    ``call`` is one of ``measures.season.trend.WORDS`` by the same limits: change over its spread.
    """

    size: float
    low: float
    high: float
    sd: float
    call: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoTests:
    """The earlier and the later test.

    ``hr`` is the change of first-half heart rate at the earlier test's setting [1/min], None where ``hr_not_told`` says
    why; ``moved_bpm`` is what the later one was moved by for its other setting.  ``drift`` is the change of drift over
    an hour [percentage points], None where ``drift_not_told`` says why.
    """

    earlier: SeriesTest
    later: SeriesTest
    conditions: tuple[Condition, ...]
    hr: Changed | None
    hr_not_told: Code | None
    moved_bpm: float
    drift: Changed | None
    drift_not_told: Code | None
    caveats: tuple[Code, ...]
    method: str = METHOD


def two_tests(one: SeriesTest, other: SeriesTest, athlete: Athlete) -> TwoTests:
    """Hold two tests against each other, the earlier first whatever the order they are given in.

    Parameters
    ----------
    one, other : SeriesTest
        Of one athlete.
    athlete : Athlete
        For changes of medicine between them.

    Returns
    -------
    TwoTests
        Both brought to reference temperature, heart rate also to one setting.

    Raises
    ------
    BadArgument
        When they are the same test, or of different sports.

    Source
    ------
    This project's own choice.  Day-to-day scatter of heart rate: ``measures.common.constants``; slopes of heart rate on
    output: ``measures.output.slopes``; heat: ``measures.drift_test.reference_conditions``.

    Examples
    --------
    >>> from datetime import date
    >>> first, second = (SeriesTest(on=date(2026, month, 3), first_half_bpm=bpm, drift_pct=4, se_pct=0.3, minutes=60,
    ...                             speed_mps=2.8, grade=0.0, sport="running") for month, bpm in ((9, 158), (11, 149)))
    >>> found = two_tests(second, first, Athlete(slug="mira", name="Mira"))
    >>> found.hr.size, found.hr.call, found.drift_not_told.name
    (-9.0, 'clear', 'tests not equally hard')
    """
    earlier, later = sorted((one, other), key=lambda t: t.on)
    if (earlier.on, earlier.source, earlier.first_half_bpm) == (later.on, later.source, later.first_half_bpm):
        raise BadArgument("two tests are needed, and this is one and the same. Choose another one beside it.")
    sports = {sport_family(t.sport) for t in (one, other) if t.sport}
    if len(sports) > 1:
        raise BadArgument(
            f"the tests are of {' and '.join(sorted(sports))}; heart rate of one sport says nothing of another. Choose two "
            "of one sport."
        )
    hr: Changed | None
    hr_why: Code | None
    drift: Changed | None
    drift_why: Code | None
    changed = athlete.medicine_changes_between(earlier.on, later.on)
    if changed:
        why = code("medicine changed between the tests", on=changed[0].on)
        hr, drift, moved, hr_why, drift_why = None, None, 0.0, why, why
    else:
        hr, moved, hr_why = _heart_rate(earlier, later, next(iter(sports), ""))
        drift, drift_why = _drift(earlier, later)
    return TwoTests(
        earlier=earlier,
        later=later,
        conditions=compare_conditions((earlier, later)),
        hr=hr,
        hr_not_told=hr_why,
        moved_bpm=moved,
        drift=drift,
        drift_not_told=drift_why,
        caveats=_caveats(earlier, later),
    )


def _heart_rate(
    earlier: SeriesTest, later: SeriesTest, sport: str
) -> tuple[Changed | None, float, Code | None]:
    """The change at the earlier test's setting."""
    unit = "W" if earlier.power_w is not None or later.power_w is not None else "m/s"
    told = settings_of((earlier, later), unit)
    if len(told) < 2:
        return None, 0.0, code("setting of a test not known")
    more = told[1][0] - told[0][0]
    moved, doubt = 0.0, 0.0
    if abs(more) > (SAME_POWER_W if unit == "W" else SAME_DEMAND):
        slope = usual_slope(sport, unit)
        if slope is None:
            return None, 0.0, code("no slope for the sport", sport=sport)
        by = more if unit == "W" else more / LEVEL_VO2_PER_MPS
        moved, doubt = -by * slope.value, by * (slope.sd or 0.0)
    beats, _ = _reference(earlier, later)
    sd = np.hypot(
        np.sqrt(2) * DAY_HR_SD_BPM, np.hypot(doubt, HEAT_BPM_PER_C_SD * _heat_apart(earlier, later))
    )
    return _changed(beats + moved, float(sd)), moved, None


def _drift(earlier: SeriesTest, later: SeriesTest) -> tuple[Changed | None, Code | None]:
    """The change of drift over an hour, where both were about as hard."""
    apart = later.first_half_bpm - earlier.first_half_bpm
    if abs(apart) > SAME_EFFORT_BPM:
        return None, code("tests not equally hard", apart_bpm=apart)
    _, change_pct = _reference(earlier, later)
    own = [t.se_pct * t.to_hour for t in (earlier, later)]
    sd = np.sqrt(
        own[0] ** 2 + own[1] ** 2 + 2 * DAY_DRIFT_SD_PCT**2
        + (HEAT_PCT_PER_C_SD * _heat_apart(earlier, later)) ** 2
    )  # fmt: skip
    return _changed(change_pct, float(sd)), None


def _reference(earlier: SeriesTest, later: SeriesTest) -> tuple[float, float]:
    """Differences of first-half heart rate [1/min] and of drift over an hour [%] in reference conditions."""
    tests = (earlier, later)
    beats, drift = in_reference_conditions(
        [t.first_half_bpm for t in tests], [t.drift_pct * t.to_hour for t in tests], [t.air_c for t in tests]
    )
    return float(beats[1] - beats[0]), float(drift[1] - drift[0])


def _heat_apart(earlier: SeriesTest, later: SeriesTest) -> float:
    heat = degrees_of_heat([earlier.air_c, later.air_c], 2)
    return float(heat[1] - heat[0])


def _changed(size: float, sd: float) -> Changed:
    reached = sum(abs(size) / sd >= limit for limit in CALL_AT)
    return Changed(size=size, low=size - Z90 * sd, high=size + Z90 * sd, sd=sd, call=WORDS[reached])


def _caveats(earlier: SeriesTest, later: SeriesTest) -> tuple[Code, ...]:
    found = [code("unwell at one of two tests", on=t.on) for t in (earlier, later) if t.was_unwell]
    unknown = [t.on for t in (earlier, later) if t.air_c is None]
    if unknown:
        found.append(code("temperature of two tests not known", n=len(unknown)))
    short = [t for t in (earlier, later) if t.minutes < 45]
    found += [code("one of two tests is short", on=t.on, minutes=t.minutes) for t in short]
    return tuple(found)
