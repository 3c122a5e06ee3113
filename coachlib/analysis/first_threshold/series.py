"""A series of drift tests of one athlete: what it says about the first threshold and what to do next."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import hypot

from coachlib.analysis.first_threshold.comparability import (
    Condition,
    SeriesTest,
    compare_conditions,
    differing_between,
)
from coachlib.analysis.first_threshold.slopes import line_of_tests
from coachlib.analysis.recording.judged import SteadyStretch
from coachlib.errors import TooLittleData, UnfitTest
from coachlib.measures.common.codes import Code, code
from coachlib.measures.drift_test.constant_output import ConstantOutputDrift
from coachlib.measures.drift_test.drift import HeartRateDrift
from coachlib.measures.drift_test.reference_conditions import REFERENCE_C
from coachlib.measures.first_threshold.drift_series import (
    CRITERION_PCT,
    TYPED_SE_PCT,
    UNSURE_BPM,
    UNSURE_PCT,
    DriftSeries,
    drift_series,
)
from coachlib.measures.first_threshold.estimate import FirstThreshold, FittedSeries
from coachlib.measures.first_threshold.heart_rate_line import (
    RUNNING_FROM_MPS,
    HeartRateLine,
    demand_on_treadmill,
    output_at_threshold,
)
from coachlib.measures.first_threshold.next_test import NextTest, propose_next_test, usable_maximum
from coachlib.measures.output.energy import REST_VO2
from coachlib.records.athlete import Athlete, TypedTest
from coachlib.records.diary import DiaryRow
from coachlib.records.machine import Ergometer, Machine, Treadmill
from coachlib.records.sports import sport_family

#: A window shorter than this is scaled further than one likes. [min]  Own choice.
SHORT_MINUTES = 40.0
#: Fitness may have changed over a longer series. [days]  Own choice.
LONG_DAYS = 84


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedTest:
    """A test as the estimate saw it: brought to an hour and to reference conditions.

    ``pull_bpm`` says how far it moves the best guess up (+) or down (-).
    """

    test: SeriesTest
    hour_drift_pct: float
    hour_se_pct: float
    reference_hr_bpm: float
    reference_drift_pct: float
    pull_bpm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ThresholdOutput:
    """Speed at a grade, or power, at the threshold's heart rate, with a 90 % interval.

    ``unit`` is "m/s" (then ``grade`` is that of the last test) or "W".
    """

    unit: str
    value: float
    low: float
    high: float
    grade: float | None
    n_tests: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """What a series of tests of one sport says: estimate, what differed, output at the threshold, the next test.

    ``asked`` is what the estimate was made from; ``contradiction`` the names of the conditions in which the two tests
    differed that contradict each other, None where none do.

    ``machine`` is what the next test is set on, None where only a heart rate is proposed; ``machine_is_usual``
    whether it is a usual one because nothing is noted about the athlete's own.
    """

    sport: str
    tests: tuple[PlacedTest, ...]
    asked: DriftSeries
    threshold: FirstThreshold
    contradiction: tuple[str, ...] | None
    conditions: tuple[Condition, ...]
    output: ThresholdOutput | None
    next_test: NextTest
    next_not_before: date
    machine: Machine | None
    machine_is_usual: bool
    caveats: tuple[Code, ...]

    @property
    def different(self) -> tuple[Condition, ...]:
        """The conditions that differed."""
        return tuple(c for c in self.conditions if c.differs)


def recorded_test(
    drift: HeartRateDrift,
    held: ConstantOutputDrift | None = None,
    *,
    on: date,
    sha256: str,
    source: str = "",
    sport: str = "",
    speed_mps: float | None = None,
    grade: float | None = None,
    power_w: float | None = None,
    temperature_c: float | None = None,
    conditions: DiaryRow | None = None,
) -> SeriesTest:
    """A recorded drift test as a member of a series.

    Parameters
    ----------
    drift : HeartRateDrift
        Of the coach's window.
    held : ConstantOutputDrift, optional
        The same at constant output, where output was measured: it counts, with the slope's doubt.
    on : date
        Day of the test.
    sha256, source : str
        Checksum and name of the recording.
    sport : str
        Sport of the recording.
    speed_mps, grade, power_w : float, optional
        Settings. [m/s], [rise over run], [W]
    temperature_c : float, optional
        Air temperature; the diary's where not given. [degC]
    conditions : DiaryRow, optional
        What the athlete wrote.

    Examples
    --------
    >>> import numpy as np
    >>> from coachlib.measures.drift_test.drift import heart_rate_drift
    >>> t = np.arange(3600.0)
    >>> found = heart_rate_drift(t, np.where(t < 1800, 150.0, 153.0), t >= 0, start_s=0, stop_s=3600)
    >>> recorded_test(found, on=date(2026, 10, 3), sha256="9f2c").minutes
    60.0
    """
    return SeriesTest(
        on=on, first_half_bpm=drift.first_half_bpm, drift_pct=held.drift_pct if held else drift.drift_pct,
        se_pct=hypot(drift.se_pct, held.u_pct) if held else drift.se_pct, sport=sport,
        minutes=(drift.stop_s - drift.start_s) / 60.0, speed_mps=speed_mps, grade=grade, power_w=power_w,
        temperature_c=temperature_c, source=source, sha256=sha256, conditions=conditions,
    )  # fmt: skip


def member_of_series(
    result: SteadyStretch,
    *,
    on: date,
    sha256: str,
    source: str = "",
    sport: str = "",
    conditions: DiaryRow | None = None,
) -> SeriesTest:
    """A judged drift test as a member of a series.

    What the device felt is no air temperature (on a wrist it feels the skin), so only a temperature from
    the diary corrects anything.

    Parameters
    ----------
    result : SteadyStretch
        The judged test.
    on, sha256, source, sport, conditions
        As in ``recorded_test``.

    Raises
    ------
    UnfitTest
        When a finding leaves the test without a result, or a change of output that nothing allows for.
    """
    void = next((f for f in result.findings if f.severity == "void"), None)
    if void is not None:
        raise UnfitTest(
            f"the test of {on} cannot join a series: it is no valid test ({void.name}). Mend its decisions or "
            "leave it out."
        )
    if result.meaning.name == "output not allowed for":
        raise UnfitTest(
            f"the test of {on} cannot join a series: speed or power changed or is missing in part of its window, and what "
            "that does to heart rate is not known. Take a window at one setting, or type the setting in as a stage."
        )
    test = recorded_test(
        result.drift, result.held, on=on, sha256=sha256, source=source, sport=sport,
        speed_mps=result.speed_mps, grade=result.grade, power_w=result.power_w, conditions=conditions,
        temperature_c=result.temperature_c if result.temperature_from == "diary" else None,
    )  # fmt: skip
    return replace(test, above_second_s=result.above_second_s)


def typed_test(test: TypedTest, *, conditions: DiaryRow | None = None) -> SeriesTest:
    """A test known only by its two half means, with the wider error that belongs to it.

    Examples
    --------
    >>> known = TypedTest(on=date(2026, 9, 20), first_half_bpm=150, second_half_bpm=153, minutes=60)
    >>> member = typed_test(known)
    >>> member.drift_pct, member.se_pct, member.typed
    (2.0, 1.4, True)
    """
    return SeriesTest(
        on=test.on,
        first_half_bpm=test.first_half_bpm,
        drift_pct=100.0 * (test.second_half_bpm - test.first_half_bpm) / test.first_half_bpm,
        se_pct=TYPED_SE_PCT, minutes=test.minutes, speed_mps=test.speed_mps, grade=test.grade,
        power_w=test.power_w, temperature_c=test.temperature_c, source=test.note, typed=True,
        conditions=conditions, sport=test.sport or "",
    )  # fmt: skip


def sports_of(tests: Sequence[SeriesTest]) -> tuple[str, ...]:
    """The sports that have a series, the one with most tests first; "" only where no test tells its sport.

    Examples
    --------
    >>> sports_of([SeriesTest(on=date(2026, 10, 3), first_half_bpm=150, drift_pct=2, se_pct=0.5, minutes=60,
    ...                       sport=sport) for sport in ("running", "cycling", "trail_running", "")])
    ('running', 'cycling')
    """
    told = [sport_family(t.sport) for t in tests if t.sport]
    return tuple(sorted(set(told), key=lambda sport: (-told.count(sport), sport))) or (("",) if tests else ())


def of_sport(
    tests: Sequence[SeriesTest], sport: str
) -> tuple[tuple[SeriesTest, ...], tuple[SeriesTest, ...]]:
    """The tests of one sport, and those that cannot be told to belong to any.

    A test that nobody told the sport of counts where all others are of one sport.
    """
    is_alone = len(sports_of(tests)) == 1
    own = tuple(t for t in tests if sport_family(t.sport) == sport or (is_alone and not t.sport))
    return own, () if is_alone else tuple(t for t in tests if not t.sport)


def analyse_series(
    tests: Sequence[SeriesTest],
    athlete: Athlete,
    *,
    criterion_pct: float = CRITERION_PCT,
    machine: Machine | None = None,
    today: date | None = None,
) -> Series:
    """Estimate the first threshold from a series and say what the next test should be.

    Parameters
    ----------
    tests : sequence of SeriesTest
        Of one sport, in any order; typed ones included.
    athlete : Athlete
        For the maximal heart rate and medicine.
    criterion_pct : float
        Drift over an hour that marks the threshold. [%]
    machine : Treadmill or Ergometer, optional
        What the next test can be set to; without one only a heart rate is proposed.
    today : date, optional
        The next test cannot be earlier than this.

    Returns
    -------
    Series

    Raises
    ------
    TooLittleData
        Without any test.
    UnfitTest
        Where the tests are of more than one sport.

    Source
    ------
    ``measures.first_threshold.estimate``, ``measures.first_threshold.next_test`` and
    ``analysis.first_threshold.comparability``.

    Examples
    --------
    >>> tests = [SeriesTest(on=date(2026, 10, d), first_half_bpm=hr, drift_pct=p, se_pct=0.5, minutes=60)
    ...          for d, hr, p in ((3, 148, 1.0), (10, 156, 3.4), (17, 163, 7.1))]
    >>> series = analyse_series(tests, Athlete(slug="anna", name="Anna", hr_max_bpm=190))
    >>> series.threshold.bounded, series.next_not_before
    ('both', datetime.date(2026, 10, 20))
    """
    if not tests:
        raise TooLittleData(
            f"a threshold for {athlete.name} needs at least 1 drift test; 0 were found. Record one or "
            "type one in."
        )
    sports = sports_of(tests)
    if len(sports) > 1:
        raise UnfitTest(
            f"a series needs tests of one sport; these are of {len(sports)} ({', '.join(sports)}). Choose one sport."
        )
    ordered = tuple(sorted(tests, key=lambda t: t.on))
    fitted = FittedSeries(_asked(ordered, athlete, criterion_pct))
    threshold, data, pulls = fitted.threshold, fitted.tests, fitted.pulls_bpm()
    settings = _line(ordered, usable_maximum(fitted.series))
    plan = _next(fitted, settings, machine)
    earliest = ordered[-1].on + timedelta(days=plan.rest_days + 1)
    contradiction = None
    if threshold.contradiction is not None:
        contradiction = differing_between(*(ordered[i] for i in threshold.contradiction))
    return Series(
        sport=sports[0],
        tests=tuple(
            PlacedTest(
                test=test, hour_drift_pct=fitted.series.drift_pct[i], hour_se_pct=fitted.series.se_pct[i],
                reference_hr_bpm=float(data.hr_bpm[i]), reference_drift_pct=float(data.drift_pct[i]),
                pull_bpm=pulls[i],
            )
            for i, test in enumerate(ordered)
        ),
        asked=fitted.series,
        threshold=threshold,
        contradiction=contradiction,
        conditions=compare_conditions(ordered),
        output=_output(settings, threshold),
        next_test=plan,
        next_not_before=earliest if today is None else max(earliest, today),
        machine=None if plan.settings is None else machine,
        machine_is_usual=_is_usual(machine, athlete),
        caveats=_caveats(ordered, athlete),
    )  # fmt: skip


def _asked(tests: Sequence[SeriesTest], athlete: Athlete, criterion_pct: float) -> DriftSeries:
    """What the measure is asked: the tests brought to an hour, and what is known about the athlete."""
    first, last = tests[0].on, tests[-1].on
    return drift_series(
        [t.first_half_bpm for t in tests], [t.drift_pct * t.to_hour for t in tests],
        [t.se_pct * t.to_hour for t in tests], criterion_pct=criterion_pct, hr_max_bpm=athlete.hr_max_bpm,
        hr_max_from=athlete.hr_max_from, medicine=athlete.medicine_on(last),
        temperature_c=[t.air_c for t in tests], conditions_unsure=[t.was_unwell for t in tests],
        weeks=[(t.on - first).days / 7.0 for t in tests],
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class _Settings:
    """The athlete's line and the last test's settings on it."""

    line: HeartRateLine
    unit: str
    last: SeriesTest


def _line(tests: Sequence[SeriesTest], hr_max_bpm: float | None) -> _Settings | None:
    """Heart rate on power, else on belt speed and grade; None where no test has settings."""
    by_power = [t for t in tests if t.power_w is not None]
    by_speed = [t for t in tests if t.speed_mps is not None]
    if not by_power and not by_speed:
        return None
    unit, told = ("W", by_power) if len(by_power) >= len(by_speed) else ("m/s", by_speed)
    return _Settings(line=line_of_tests(told, unit, hr_max_bpm=hr_max_bpm), unit=unit, last=told[-1])


def _next(fitted: FittedSeries, settings: _Settings | None, machine: Machine | None) -> NextTest:
    """The next test on the machine there is."""
    on_belt = machine if isinstance(machine, Treadmill) and settings and settings.unit == "m/s" else None
    by_power = machine if isinstance(machine, Ergometer) and settings and settings.unit == "W" else None
    return propose_next_test(
        fitted, line=settings.line if settings else None,
        speeds_mps=on_belt.speeds_mps if on_belt else None, grades=on_belt.grades if on_belt else None,
        last_speed_mps=settings.last.speed_mps if settings else None,
        last_grade=(settings.last.grade or 0.0) if settings else None,
        powers_w=by_power.powers_w if by_power else None,
    )  # fmt: skip


def _is_usual(machine: Machine | None, athlete: Athlete) -> bool:
    """Whether a machine is a usual one that nobody noted."""
    noted = athlete.treadmill, athlete.ergometer
    return machine is not None and machine not in noted and machine == type(machine)()


def _output(settings: _Settings | None, threshold: FirstThreshold) -> ThresholdOutput | None:
    """Power, or belt speed at the last test's grade, at the threshold's heart rate."""
    if settings is None:
        return None
    found = output_at_threshold(settings.line, threshold)
    if settings.unit == "W":
        return ThresholdOutput(
            unit="W", value=found.value, low=found.low, high=found.high, grade=None,
            n_tests=settings.line.n_tests,
        )  # fmt: skip
    grade = settings.last.grade or 0.0
    walks = (settings.last.speed_mps or 0.0) < RUNNING_FROM_MPS
    value, low, high = (
        _speed_of(demand, grade, walks=walks) for demand in (found.value, found.low, found.high)
    )
    return ThresholdOutput(
        unit="m/s", value=value, low=low, high=high, grade=grade, n_tests=settings.line.n_tests
    )


def _speed_of(demand: float, grade: float, *, walks: bool) -> float:
    """The belt speed with this oxygen demand at a grade, in the gait of the last test [m/s]."""
    one = RUNNING_FROM_MPS - 0.1 if walks else RUNNING_FROM_MPS + 0.1
    per_mps = (float(demand_on_treadmill([one], [grade])[0]) - REST_VO2) / one
    return max(demand - REST_VO2, 0.0) / per_mps


def _caveats(tests: Sequence[SeriesTest], athlete: Athlete) -> tuple[Code, ...]:
    """What to be careful about in the series itself."""
    n, found = len(tests), []
    if typed := sum(t.typed for t in tests):
        found.append(code("typed tests", n=typed, n_tests=n, se_pct=TYPED_SE_PCT))
    if short := [t.minutes for t in tests if t.minutes < SHORT_MINUTES]:
        found.append(
            code("short windows", n=len(short), n_tests=n, minutes=SHORT_MINUTES, shortest_min=min(short))
        )
    if unwell := sum(t.was_unwell for t in tests):
        found.append(code("unwell at tests", n=unwell, n_tests=n, sd_bpm=UNSURE_BPM, sd_pct=UNSURE_PCT))
    if unknown := sum(t.air_c is None for t in tests):
        found.append(code("temperatures unknown", n=unknown, n_tests=n, reference_c=REFERENCE_C))
    first, last = tests[0].on, tests[-1].on
    if athlete.medicine_changes_between(first, last):
        found.append(code("medicine changed within the series"))
    if (last - first).days > LONG_DAYS:
        found.append(code("long series", weeks=(last - first).days / 7.0))
    return tuple(found)
