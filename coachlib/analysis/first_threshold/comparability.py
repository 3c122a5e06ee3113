"""What differed between the tests of a series; what the literature says of it is told in ``report.words``.

Only air temperature is corrected; everything else is shown and left to the coach's judgement.

Source
------
The differences that are marked are this project's own choice: about what would be noticed.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from coachlib.records.diary import DiaryRow

Value = float | str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SeriesTest:
    """One drift test of a series.

    ``drift_pct`` (at constant output) and ``se_pct`` belong to the test's own window of ``minutes``; a typed test has
    no recording behind it (``sha256`` is "").  ``sport`` is "" where nobody told it.  ``conditions`` is the athlete's
    diary row of that session, ``above_second_s`` how long heart rate lay above the second threshold in the window.
    """

    on: date
    first_half_bpm: float
    drift_pct: float
    se_pct: float
    minutes: float
    speed_mps: float | None = None
    grade: float | None = None
    power_w: float | None = None
    temperature_c: float | None = None
    source: str = ""
    sha256: str = ""
    typed: bool = False
    conditions: DiaryRow | None = None
    sport: str = ""
    above_second_s: float | None = None

    @property
    def to_hour(self) -> float:
        """Factor that brings drift of this window to an hour: the same slope over 60 min."""
        return 60.0 / self.minutes

    @property
    def air_c(self) -> float | None:
        """Air temperature, from the test or else from the diary [degC]."""
        if self.temperature_c is not None or self.conditions is None:
            return self.temperature_c
        return self.conditions.temperature_c

    @property
    def was_unwell(self) -> bool:
        """Whether the athlete wrote of illness or pain that day."""
        return self.conditions is not None and self.conditions.health in ("ill", "pain")


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """One row of the table: a factor, its value in each test, and whether it differed."""

    name: str
    unit: str
    values: tuple[Value, ...]
    differs: bool
    n_unknown: int


def differing_between(one: SeriesTest, other: SeriesTest) -> tuple[str, ...]:
    """Names of the conditions in which two tests differed.

    Examples
    --------
    >>> from datetime import date
    >>> cool, hot = (SeriesTest(on=date(2026, 10, 3), first_half_bpm=150, drift_pct=2, se_pct=0.5, minutes=60,
    ...                         temperature_c=c) for c in (18.0, 27.0))
    >>> differing_between(cool, hot)
    ('air temperature',)
    """
    return tuple(c.name for c in compare_conditions((one, other)) if c.differs)


def compare_conditions(tests: Sequence[SeriesTest]) -> tuple[Condition, ...]:
    """The table of conditions of a series; factors unknown in every test are left out.

    Parameters
    ----------
    tests : sequence of SeriesTest
        In the order of the series.

    Returns
    -------
    tuple of Condition
        Values in the order of ``tests``.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> from datetime import date
    >>> tests = [SeriesTest(on=date(2026, 10, d), first_half_bpm=150, drift_pct=2, se_pct=0.5, minutes=60,
    ...                     temperature_c=c) for d, c in ((3, 18.0), (10, 27.0))]
    >>> [(c.name, c.values, c.differs) for c in compare_conditions(tests) if c.differs]
    [('air temperature', (18.0, 27.0), True)]
    """
    rows = []
    for factor in _FACTORS:
        values = tuple(factor.read(t) for t in tests)
        if all(v is None for v in values):
            continue
        rows.append(
            Condition(
                name=factor.name,
                unit=factor.unit,
                values=values,
                differs=_differ(values, factor.tolerance),
                n_unknown=sum(v is None for v in values),
            )
        )
    return tuple(rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Factor:
    name: str
    unit: str
    read: Callable[[SeriesTest], Value]
    tolerance: float


def _differ(values: Sequence[Value], tolerance: float) -> bool:
    """Whether known values lie further apart than the tolerance, or are different words."""
    known = [v for v in values if v is not None]
    numbers = [v for v in known if isinstance(v, float | int)]
    if numbers:
        return max(numbers) - min(numbers) > tolerance
    return len({str(v).strip().lower() for v in known}) > 1


def _from_diary(name: str) -> Callable[[SeriesTest], Value]:
    """A reader of one column of the diary row."""
    return lambda test: getattr(test.conditions, name) if test.conditions is not None else None


def _hour_of_day(test: SeriesTest) -> Value:
    """Hour at which the session began."""
    start = test.conditions.start if test.conditions is not None else None
    return None if start is None else start.hour + start.minute / 60


_FACTORS = (
    _Factor(name="air temperature", unit="degC", read=lambda test: test.air_c, tolerance=3.0),
    _Factor(name="humidity", unit="%", read=_from_diary("humidity_pct"), tolerance=20.0),
    _Factor(name="sleep", unit="h", read=_from_diary("sleep_h"), tolerance=1.5),
    _Factor(name="hours awake", unit="h", read=_from_diary("hours_awake"), tolerance=4.0),
    _Factor(name="time of day", unit="h", read=_hour_of_day, tolerance=3.0),
    _Factor(name="hours since food", unit="h", read=_from_diary("hours_since_food"), tolerance=3.0),
    _Factor(name="caffeine", unit="", read=_from_diary("caffeine"), tolerance=0.0),
    _Factor(name="fluid", unit="l", read=_from_diary("fluid_l"), tolerance=0.5),
    _Factor(name="footwear or machine", unit="", read=_from_diary("equipment"), tolerance=0.0),
    _Factor(name="health", unit="", read=_from_diary("health"), tolerance=0.0),
    _Factor(name="window", unit="min", read=lambda test: test.minutes, tolerance=10.0),
)
#: The conditions that may be told.
CONDITIONS = tuple(factor.name for factor in _FACTORS)
