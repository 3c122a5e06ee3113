"""What is wrong with an athlete's profile and thresholds."""

from collections.abc import Sequence
from datetime import date, timedelta
from itertools import combinations, product

from coachlib.analysis.roster.check import Facts
from coachlib.analysis.roster.check_finding import CheckFinding, Weight
from coachlib.measures.common.codes import Code, code
from coachlib.records.athlete import Athlete, Threshold, TypedTest
from coachlib.records.decisions import Stage
from coachlib.records.machine import Ergometer, Machine
from coachlib.records.thresholds import Which

#: No heart is taken to beat faster, whatever a strap says. [1/min]  Own choice: well above the highest maxima that
#: formulas by age expect of the young (208, Tanaka et al. 2001) with three times their scatter of 7 to 11.
FASTEST_BPM = 235.0
_BOTH: tuple[Which, Which] = ("first", "second")


def check_profile(athlete: Athlete, facts: Sequence[Facts]) -> tuple[CheckFinding, ...]:
    """A maximum below what was recorded, and thresholds that lie above it.

    Examples
    --------
    >>> high = Threshold(which="second", on=date(2026, 10, 5), hr_bpm=188)
    >>> mira = Athlete(slug="mira", name="Mira", hr_max_bpm=186, thresholds=(high,))
    >>> check_profile(mira, [])[0].code.name
    'threshold above the maximum'
    """
    maximum = athlete.hr_max_bpm
    if maximum is None:
        return ()
    above = [f for f in facts if f.hr_held_bpm is not None and f.hr_held_bpm > maximum]
    found = []
    if above:
        worst = max(above, key=lambda f: f.hr_held_bpm or 0.0)
        worst_bpm = worst.hr_held_bpm or 0.0
        found.append(
            _of_profile(
                athlete, "problem",
                code(
                    "maximum below what was held", hr_max_bpm=maximum, worst_bpm=worst_bpm, recording=worst.recording,
                    n_recordings=len(above), may_be_heart=worst_bpm <= FASTEST_BPM,
                ),
            )
        )  # fmt: skip
    found += [
        _of_profile(
            athlete, "problem",
            code("threshold above the maximum", which=t.which, on=t.on, hr_bpm=t.hr_bpm, hr_max_bpm=maximum),
        )
        for t in _standing(athlete)
        if t.hr_bpm >= maximum
    ]  # fmt: skip
    return tuple(found)


def check_thresholds(
    athlete: Athlete, *, latest_on: date | None, stale_after_weeks: int
) -> tuple[CheckFinding, ...]:
    """Thresholds out of order, crossed, missing or old, seen from the day of the latest recording.

    Examples
    --------
    >>> mira = Athlete(slug="mira", name="Mira")
    >>> check_thresholds(mira, latest_on=date(2026, 11, 22), stale_after_weeks=8)[0].code.name
    'profile without a first threshold'
    """
    standing = _standing(athlete)
    days = [t.on for t in standing]
    found = []
    if days != sorted(days):
        found.append(_of_profile(athlete, "advice", code("thresholds out of order")))
    found += [
        _of_profile(
            athlete, "problem",
            code("two thresholds on a day", which=one.which, on=one.on, one_bpm=one.hr_bpm, other_bpm=other.hr_bpm),
        )
        for one, other in combinations(standing, 2)
        if (one.which, one.sport, one.on) == (other.which, other.sport, other.on)
    ]  # fmt: skip
    found += _crossed(athlete, sorted(set(days)))
    if latest_on is not None:
        found += _aged(athlete, latest_on, stale_after_weeks)
    return tuple(found)


def _crossed(athlete: Athlete, days: Sequence[date]) -> list[CheckFinding]:
    """Days from which on the second threshold lies at or below the first."""
    crossed: dict[tuple[date, date], Code] = {}
    for day, sport in product(days, _sports(athlete)):
        first, second = (athlete.threshold_on(which, day, sport) for which in _BOTH)
        if first and second and second.hr_bpm <= first.hr_bpm:
            found = code(
                "thresholds crossed", since_on=day, second_bpm=second.hr_bpm, second_on=second.on,
                first_bpm=first.hr_bpm, first_on=first.on,
            )  # fmt: skip
            crossed.setdefault((first.on, second.on), found)
    return [_of_profile(athlete, "problem", found) for found in crossed.values()]


def _aged(athlete: Athlete, latest_on: date, stale_after_weeks: int) -> list[CheckFinding]:
    """Thresholds that are missing, or older than the roster allows."""
    standing = {
        id(t): t
        for which in _BOTH
        for sport in _sports(athlete)
        if (t := athlete.threshold_on(which, latest_on, sport)) is not None
    }
    has_first = any(athlete.accepted_on("first", latest_on, sport) for sport in _sports(athlete))
    found = [] if has_first else [code("profile without a first threshold")]
    found += [
        code(
            "threshold grown old", which=t.which, on=t.on, weeks=(latest_on - t.on).days / 7,
            allowed_weeks=stale_after_weeks,
        )
        for t in standing.values()
        if latest_on - t.on > timedelta(weeks=stale_after_weeks)
    ]  # fmt: skip
    return [_of_profile(athlete, "advice", each) for each in found]


def check_tests(athlete: Athlete, facts: Sequence[Facts]) -> tuple[CheckFinding, ...]:
    """Tests behind a threshold that are no longer among the recordings.

    Examples
    --------
    >>> check_tests(Athlete(slug="mira", name="Mira"), [])
    ()
    """
    known = {f.sha256 for f in facts}
    return tuple(
        _of_profile(
            athlete, "advice", code("test behind a threshold gone", test=test[:12], which=t.which, on=t.on)
        )
        for t in _standing(athlete)
        for test in t.tests
        if len(test) == 64 and test not in known
    )


def check_machine(athlete: Athlete, facts: Sequence[Facts]) -> tuple[CheckFinding, ...]:
    """A noted machine that cannot be set to what the latest drift test was done at.

    Examples
    --------
    >>> check_machine(Athlete(slug="mira", name="Mira"), [])
    ()
    """
    tests: list[tuple[date, str, Stage | TypedTest]] = [
        (f.local_start.date(), f.recording, f.setting) for f in facts if f.setting is not None
    ]
    tests += [(t.on, "", t) for t in athlete.typed_tests]
    found = []
    for kind, field in (("treadmill", "speed_mps"), ("ergometer", "power_w")):
        machine: Machine | None = getattr(athlete, kind)
        done = [test for test in tests if getattr(test[2], field) is not None]
        if machine is None or not done:
            continue
        _, name, at = max(done, key=lambda test: test[0])
        if not _can_be_set(machine, at):
            found.append(
                _of_profile(
                    athlete, "advice",
                    code(
                        "machine cannot do the test", machine=kind, test=name, speed_mps=at.speed_mps, grade=at.grade,
                        power_w=at.power_w,
                    ),
                )
            )  # fmt: skip
    return tuple(found)


def _can_be_set(machine: Machine, at: Stage | TypedTest) -> bool:
    if isinstance(machine, Ergometer):
        return machine.has(at.power_w or 0.0)
    return machine.has(at.speed_mps or 0.0, at.grade or 0.0)


def _sports(athlete: Athlete) -> tuple[str, ...]:
    """The sports that thresholds are accepted for; "" stands for one that has none of its own."""
    return ("", *sorted({t.sport for t in _standing(athlete) if t.sport}))


def _standing(athlete: Athlete) -> list[Threshold]:
    """Thresholds that were not withdrawn, as they stand in the file."""
    return [t for t in athlete.thresholds if not t.withdrawn]


def _of_profile(athlete: Athlete, severity: Weight, found: Code) -> CheckFinding:
    return CheckFinding(athlete=athlete.slug, file="athlete.toml", severity=severity, code=found)
