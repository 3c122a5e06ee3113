"""Trends of output at a heart rate, one for each group of comparable sessions.

What a week's call says is a function of what was known at that week's end: reference, slope and heart rate compared
at are found anew from the readings until then, and a call is never worked out from later ones.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from coachlib.analysis.first_threshold.slopes import own_slope, usual_slope
from coachlib.analysis.season.reading import SessionReading
from coachlib.analysis.season.reference import Comparison, comparison_on, kept_comparison, week_number
from coachlib.analysis.week.calendar import week_of
from coachlib.measures.common.codes import Code, code
from coachlib.measures.common.constants import Z90
from coachlib.measures.output.slopes import (
    CYCLING_SLOPE,
    OWN_CYCLING_SD,
    OWN_RUNNING_SD,
    RUNNING_SLOPE,
    HeartRateSlope,
    joined_slope,
)
from coachlib.measures.season.output_reading import refusal_at
from coachlib.measures.season.trend import WORDS, Trend, TrendWeek, first_call_week, weekly_trend
from coachlib.measures.season.weekly_readings import TrendReading
from coachlib.records.athlete import Athlete, Reference
from coachlib.records.roster import RosterSettings

#: How unsure a slope from belt or ergometer tests is by itself, as a share.  Own choice.
TESTS_SLOPE_DOUBT = 0.13
#: Comparisons that are the coach's own, or none.
_NOT_KEPT = ("reference moved", "medicine without date")


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputWeek:
    """The level of one week in the output's own unit, with a 90 % interval, and the call of its end."""

    week: str
    output: float
    output_low: float
    output_high: float
    known: TrendWeek


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputTrend:
    """Output at the reference heart rate for one group of comparable sessions.

    ``since`` and ``until`` are the first and last week that later ones are compared with, ``since_on`` and
    ``until_on`` their first and last day; with ``hr_reference_bpm`` that is what a ``[[reference]]`` keeps.  ``about`` tells why these are not simply
    the first weeks, until when no change can be told, and what the change rests on.  ``new_gear`` are the things
    that began a new comparison, ``new_reference_on`` since when; ``reference_found`` says that recordings or diary
    told it, not the coach; ``earlier_kept`` is False where readings before it are left out.  ``first_call_on`` is the
    first day of the first week at whose end a change can be called.  ``n_far`` readings were too far from the
    reference heart rate; of the others ``n_unknown_heat`` have no temperature and ``n_hills_left`` no altitude.
    ``weeks`` are the season's; a long trend began earlier.
    """

    group: str
    sport: str
    unit: str
    hr_reference_bpm: float
    slope: float
    slope_is_own: bool
    since: str
    until: str
    since_on: date
    until_on: date
    about: tuple[Code, ...]
    new_gear: tuple[str, ...]
    new_reference_on: date | None
    reference_found: bool
    earlier_kept: bool
    first_call_on: date
    n_readings: int
    n_tests: int
    n_far: int
    n_unknown_heat: int
    n_hills_left: int
    weeks: tuple[OutputWeek, ...]
    trend: Trend

    @property
    def is_open(self) -> bool:
        """Whether changes can be called by now."""
        return bool(self.trend.weeks) and self.trend.latest.week >= self.trend.first_call_week

    @property
    def to_keep(self) -> Reference | None:
        """What is to be kept of the comparison once a change can be called; None before, and where the coach set it."""
        if not self.is_open or self.trend.caveats or any(c.name in _NOT_KEPT for c in self.about):
            return None
        return kept_comparison(self.group, self.unit, start_on=self.since_on, hr_bpm=self.hr_reference_bpm)

    @property
    def call(self) -> str:
        """*cannot tell*, *possible*, *likely* or *clear*, at the end of the last week."""
        return self.trend.latest.call

    @property
    def direction(self) -> str:
        """Direction of the call at the end of the last week: "up", "down" or empty."""
        return self.trend.latest.direction

    @property
    def change(self) -> float | None:
        """Last week against the reference weeks, in the output's unit."""
        return self.trend.latest.change_output

    @property
    def says(self) -> Code:
        """Whether output at the reference heart rate has changed, by how much, how surely."""
        latest = self.trend.latest
        change, sd = latest.change_output, latest.change_sd_output
        if change is None or sd is None:
            if any(c.name == "medicine without date" for c in self.about):
                return code("no change told", hr_bpm=self.hr_reference_bpm)
            if self.is_open:
                return code("nothing read for a change", hr_bpm=self.hr_reference_bpm)
            return code("too early for a change", hr_bpm=self.hr_reference_bpm, now=self._now, unit=self.unit)
        if not self.direction:
            return code("no change to tell", hr_bpm=self.hr_reference_bpm)
        size, reach = abs(change), Z90 * sd
        return code(
            "output has changed", hr_bpm=self.hr_reference_bpm, unit=self.unit, direction=self.direction, size=size,
            low=size - reach, high=size + reach, certainty=self.call, is_fresh=latest.has_readings,
        )  # fmt: skip

    @property
    def compares(self) -> Code:
        """What is compared: output then and now, and what was taken out of it."""
        return code(
            "outputs compared", hr_bpm=self.hr_reference_bpm, sport=self.sport, unit=self.unit, before=self.before,
            now=self._now, since_on=self.since_on, until_on=self.until_on,
            n_readings=self.n_readings, n_tests=self.n_tests, n_unknown_heat=self.n_unknown_heat,
            n_hills_left=self.n_hills_left, is_indoor=self.group.endswith(" indoors"),
        )  # fmt: skip

    @property
    def _now(self) -> float:
        """Level of the last week with a reading, in the output's unit."""
        read = [w for w in self.weeks if w.known.has_readings]
        return read[-1].output if read else self.before

    @property
    def before(self) -> float:
        """Level of the reference weeks, in the output's unit."""
        weeks = [w.level_bpm for w in self.trend.weeks if w.week in self.trend.reference_weeks]
        return sum(weeks) / len(weeks) / self.slope


def trends_of(
    readings: Sequence[SessionReading], athlete: Athlete, settings: RosterSettings, starts: Sequence[date]
) -> tuple[OutputTrend, ...]:
    """One trend for each group of comparable sessions, the best known first.

    Controlled tests join the sport's group with the most sessions, wherever they were done.

    Parameters
    ----------
    readings : sequence of SessionReading
        All of them up to the end of the last week, in order of their days.
    athlete, settings : records
        References and medicines, and how weeks run.
    starts : sequence of date
        First days of the season's weeks; readings before them are followed too.
    """
    if not readings:
        return ()
    n_before = max(0, -((readings[0].on - starts[0]).days // 7))
    every = [starts[0] - timedelta(weeks=k) for k in range(n_before, 0, -1)] + list(starts)
    groups = Counter((r.group, r.unit) for r in readings if r.output is not None and not r.is_test)
    home = {_home_of(r, readings) for r in readings if r.is_test}
    ordered = sorted({*groups, *home}, key=lambda key: (-groups[key], key))
    found = [_Following(readings, key, athlete, settings, every, len(starts)).trend() for key in ordered]
    return tuple(trend for trend in found if trend is not None)


def _home_of(test: SessionReading, among: Sequence[SessionReading]) -> tuple[str, str]:
    """The group of the test's sport and unit with the most sessions; its own where there is none."""
    groups = Counter(
        r.group for r in among
        if r.output is not None and not r.is_test and (r.sport, r.unit) == (test.sport, test.unit)
    )  # fmt: skip
    return max(groups, key=lambda g: (groups[g], g), default=test.group), test.unit


def slope_before(
    readings: Sequence[SessionReading], sport: str, unit: str, athlete: Athlete
) -> HeartRateSlope | None:
    """What is known of the slope without ordinary sessions: from tests on a machine, joined with the usual one."""
    usual = usual_slope(sport, unit)
    if usual is None:
        return None
    table, floor = (CYCLING_SLOPE, OWN_CYCLING_SD) if unit == "W" else (RUNNING_SLOPE, OWN_RUNNING_SD)
    times = usual.value / table.mean
    prior = HeartRateSlope(usual.value, table.sd * times)
    on_machine = [
        r.test for r in readings if r.test is not None and r.sport == sport and r.group.endswith(" indoors")
    ]
    own = own_slope(on_machine, sport, unit, hr_max_bpm=athlete.hr_max_bpm)
    if own is None or not own.is_own:
        return prior
    learnt = HeartRateSlope(own.value, TESTS_SLOPE_DOUBT * own.value)
    return joined_slope(prior, learnt, own_floor_sd=floor * times)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Known:
    """What a trend rests on as of one week's end: two weeks with the same share one reckoning."""

    comparison: Comparison
    slope: HeartRateSlope
    home: tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Run:
    """One reckoning: the trend, and what its readings could not be freed from."""

    trend: Trend
    n_far: int
    n_unknown_heat: int
    n_hills_left: int


def _row(run: _Run | None, at: int) -> TrendWeek | None:
    """One week of a reckoning, where it has it."""
    return run.trend.weeks[at] if run is not None and 0 <= at < len(run.trend.weeks) else None


@dataclass(slots=True)
class _Following:
    """One group followed from week to week."""

    readings: Sequence[SessionReading]
    key: tuple[str, str]
    athlete: Athlete
    settings: RosterSettings
    starts: Sequence[date]
    n_shown: int

    def trend(self) -> OutputTrend | None:
        """The trend at the end of the last week, each week's call as it was known then."""
        last = len(self.starts) - 1
        shown = range(last + 1 - self.n_shown, last + 1)
        known = {w: self._known(w) for w in shown}
        now = known[last]
        if now is None:
            return None
        until = {k: w for w, k in known.items() if k is not None}
        runs = {k: self._run(k, w, looks_from=shown[0]) for k, w in until.items()}
        run = runs[now]
        if run is None:
            return None
        first = self._first(now)
        rows = {w: _row(runs[k], w - self._first(k)) for w, k in known.items() if k is not None}
        weeks = tuple(_as_called(row, rows.get(row.week + first)) for row in run.trend.weeks)
        return self._told(now, replace(run, trend=replace(run.trend, weeks=weeks)), shown)

    def _until(self, w: int) -> list[SessionReading]:
        stop = self.starts[w] + timedelta(days=7)
        return [r for r in self.readings if r.on < stop]

    def _members(self, w: int, home: tuple[str, str]) -> list[SessionReading]:
        """The group's readings until a week's end, tests of its sport included where it is their home."""
        group, unit = self.key
        return [
            r for r in self._until(w)
            if r.output is not None
            and ((r.group, r.unit) == self.key if not r.is_test else (home == self.key and r.unit == unit and _same_sport(r, group)))
        ]  # fmt: skip

    def _known(self, w: int) -> _Known | None:
        until = self._until(w)
        group, unit = self.key
        sport = group.removesuffix(" indoors")
        tests = [r for r in until if r.is_test and (r.sport, r.unit) == (sport, unit)]
        home = _home_of(tests[-1], until) if tests else self.key
        others = [r for r in until if r.output is None and (r.group, r.unit) == self.key]
        comparison = comparison_on(self._members(w, home), self.athlete, self.starts[: w + 1], others=others)
        slope = slope_before(until, sport, unit, self.athlete)
        if comparison is None or slope is None:
            return None
        return _Known(comparison=comparison, slope=slope, home=home)

    def _first(self, known: _Known) -> int:
        """The first week of a trend."""
        return week_number(known.comparison.kept_from, self.starts)

    def _run(self, known: _Known, w: int, *, looks_from: int) -> _Run | None:
        """The trend until a week; None where no reading lies near enough to the reference."""
        comparison, first = known.comparison, self._first(known)
        pairs = [
            (r, r.output) for r in self._members(w, known.home) if r.on >= comparison.kept_from and r.output
        ]
        near = [
            TrendReading(
                week=week_number(r.on, self.starts) - first, reading=o, sensor=r.sensor,
                is_elsewhere=r.is_test and r.group != self.key[0],
            )
            for r, o in pairs
            if refusal_at(o, hr_reference_bpm=comparison.hr_bpm) is None
        ]  # fmt: skip
        if not near:
            return None
        trend = weekly_trend(
            near, hr_reference_bpm=comparison.hr_bpm, slope=known.slope, is_cycling=self.key[1] == "W",
            n_weeks=w + 1 - first, reference_weeks=[x - first for x in comparison.reference_weeks if x <= w],
            looks_from=max(looks_from - first, 0),
        )  # fmt: skip
        if comparison.withheld is not None:
            trend = replace(trend, weeks=tuple(_silent(row) for row in trend.weeks))
        return _Run(
            trend=trend, n_far=len(pairs) - len(near),
            n_unknown_heat=sum(r.reading.heat.unknown > 0 for r in near),
            n_hills_left=sum(not r.reading.is_flat for r in near),
        )  # fmt: skip

    def _told(self, now: _Known, run: _Run, shown: range) -> OutputTrend:
        trend, comparison, first = run.trend, now.comparison, self._first(now)
        slope = trend.slope.mean
        compared = [w for w in comparison.reference_weeks if w < len(self.starts)]
        opens = first + first_call_week([w - first for w in comparison.reference_weeks])
        opens_on = self.starts[0] + timedelta(weeks=opens)
        return OutputTrend(
            group=self.key[0], sport=self.key[0].removesuffix(" indoors"), unit=self.key[1],
            hr_reference_bpm=comparison.hr_bpm, slope=slope, slope_is_own=slope != _usual(self.key),
            since=self._name(compared[0]), until=self._name(compared[-1]), since_on=self.starts[compared[0]],
            until_on=self.starts[compared[-1]] + timedelta(days=6),
            about=tuple(_about(comparison, trend, opens_on, is_open=opens < len(self.starts))),
            new_gear=comparison.new_gear, new_reference_on=comparison.new_on,
            reference_found=comparison.was_found,
            earlier_kept=all(c.name == "reference moved" for c in comparison.because),
            first_call_on=opens_on, n_readings=trend.n_readings, n_tests=trend.n_tests, n_far=run.n_far,
            n_unknown_heat=run.n_unknown_heat, n_hills_left=run.n_hills_left,
            weeks=tuple(
                OutputWeek(
                    week=self._name(w), output=row.level_bpm / slope, output_low=row.level_low_bpm / slope,
                    output_high=row.level_high_bpm / slope, known=row,
                )
                for w in shown
                if (row := _row(run, w - first)) is not None
            ),
            trend=trend,
        )  # fmt: skip

    def _name(self, w: int) -> str:
        return week_of(self.starts[w], starts=self.settings.week_starts)


def _usual(key: tuple[str, str]) -> float | None:
    """The usual slope of a group."""
    usual = usual_slope(key[0].removesuffix(" indoors"), key[1])
    return None if usual is None else usual.value


def _same_sport(reading: SessionReading, group: str) -> bool:
    return reading.sport == group.removesuffix(" indoors")


def _about(comparison: Comparison, trend: Trend, opens_on: date, *, is_open: bool) -> list[Code]:
    """Since when and why compared anew, until when nothing is told, what the change rests on."""
    said = list(comparison.because)
    if comparison.withheld is not None:
        return [*said, comparison.withheld]
    if comparison.because and not is_open:
        said.append(code("no change told before", from_on=opens_on))
    if trend.latest.doubt is not None:
        said.append(trend.latest.doubt)
    return said


def _as_called(row: TrendWeek, then: TrendWeek | None) -> TrendWeek:
    """A week with the call of its own end: what was compared then may differ from what is compared now."""
    if then is None:
        return _silent(row)
    return replace(
        row, change_bpm=then.change_bpm, change_sd_bpm=then.change_sd_bpm, change_output=then.change_output,
        change_sd_output=then.change_sd_output, call=then.call, direction=then.direction, doubt=then.doubt,
    )  # fmt: skip


def _silent(row: TrendWeek) -> TrendWeek:
    """A week without a call."""
    return replace(
        row, change_bpm=None, change_sd_bpm=None, change_output=None, change_sd_output=None, call=WORDS[0],
        direction="", doubt=None,
    )  # fmt: skip
