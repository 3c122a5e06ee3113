"""What is wrong with an athlete's profile and thresholds, in words."""

from collections.abc import Sequence
from datetime import date, timedelta
from itertools import combinations

from coachlib.analysis.roster.check import HELD_S, Facts
from coachlib.analysis.roster.findings import Finding, Severity
from coachlib.records.athlete import Athlete, Threshold, TypedTest
from coachlib.records.decisions import Stage
from coachlib.records.machine import Ergometer, Machine


def check_profile(athlete: Athlete, facts: Sequence[Facts]) -> tuple[Finding, ...]:
    """A maximum below what was recorded, and thresholds that lie above it.

    Examples
    --------
    >>> high = Threshold(which="second", on=date(2026, 10, 5), hr_bpm=188)
    >>> mira = Athlete(slug="mira", name="Mira", hr_max_bpm=186, thresholds=(high,))
    >>> check_profile(mira, [])[0].sentence
    'the second threshold of 2026-10-05 is 188 bpm and `hr_max_bpm` 186'
    """
    found = []
    if athlete.hr_max_bpm is None:
        return ()
    held = [f for f in facts if f.hr_held_bpm is not None]
    top = max(held, key=lambda f: f.hr_held_bpm or 0.0, default=None)
    if top is not None and (top.hr_held_bpm or 0.0) > athlete.hr_max_bpm:
        found.append(
            _of_profile(
                athlete,
                "problem",
                f"`hr_max_bpm` is {athlete.hr_max_bpm:g}, but {top.recording} holds {top.hr_held_bpm:g} bpm "
                f"for {HELD_S} s",
                f"if that was the heart, set hr_max_bpm = {top.hr_held_bpm:g} and hr_max_from = "
                '"measured"; if it was the strap, leave the stretch out in the recording workbook',
            )
        )
    for threshold in _standing(athlete):
        if threshold.hr_bpm >= athlete.hr_max_bpm:
            found.append(
                _of_profile(
                    athlete,
                    "problem",
                    f"the {threshold.which} threshold of {threshold.on} is {threshold.hr_bpm:g} bpm and "
                    f"`hr_max_bpm` {athlete.hr_max_bpm:g}",
                    "correct the one that is wrong; a threshold lies below the maximum",
                )
            )
    return tuple(found)


def check_thresholds(
    athlete: Athlete, *, latest_on: date | None, stale_after_weeks: int
) -> tuple[Finding, ...]:
    """Thresholds out of order, crossed, missing or old, seen from the day of the latest recording.

    Examples
    --------
    >>> mira = Athlete(slug="mira", name="Mira")
    >>> check_thresholds(mira, latest_on=date(2026, 11, 22), stale_after_weeks=8)[0].sentence
    'no first threshold is accepted, so no session can be told easy or not'
    """
    found = []
    standing = _standing(athlete)
    days = [t.on for t in standing]
    if days != sorted(days):
        found.append(
            _of_profile(
                athlete,
                "advice",
                "the thresholds do not stand in the order of their dates",
                "nothing depends on it; put the newest last so that a person finds it",
            )
        )
    for one, other in combinations(standing, 2):
        if (one.which, one.on) == (other.which, other.on):
            found.append(
                _of_profile(
                    athlete,
                    "problem",
                    f"two {one.which} thresholds stand for {one.on}: {one.hr_bpm:g} and {other.hr_bpm:g} bpm",
                    "write withdrawn = true under the one that no longer holds",
                )
            )
    found += _crossed(athlete, sorted(set(days)))
    if latest_on is None:
        return tuple(found)
    return tuple(found + _aged(athlete, latest_on, stale_after_weeks))


def _crossed(athlete: Athlete, days: Sequence[date]) -> list[Finding]:
    """Days from which on the second threshold lies at or below the first."""
    found = []
    told = set()
    for day in days:
        first, second = athlete.threshold_on("first", day), athlete.threshold_on("second", day)
        if first and second and second.hr_bpm <= first.hr_bpm and (first.on, second.on) not in told:
            told.add((first.on, second.on))
            found.append(
                _of_profile(
                    athlete,
                    "problem",
                    f"from {day} on the second threshold ({second.hr_bpm:g} bpm, of {second.on}) is not "
                    f"above the first ({first.hr_bpm:g} bpm, of {first.on})",
                    "withdraw the one that no longer holds, or test it again",
                )
            )
    return found


def _aged(athlete: Athlete, latest_on: date, stale_after_weeks: int) -> list[Finding]:
    """Thresholds that are missing, or older than the roster allows."""
    found = []
    first = athlete.threshold_on("first", latest_on)
    if first is None:
        found.append(
            _of_profile(
                athlete,
                "advice",
                "no first threshold is accepted, so no session can be told easy or not",
                "plan a steady drift test, or accept a threshold in the thresholds workbook",
            )
        )
    for threshold in (first, athlete.threshold_on("second", latest_on)):
        if threshold and latest_on - threshold.on > timedelta(weeks=stale_after_weeks):
            weeks = (latest_on - threshold.on).days / 7
            found.append(
                _of_profile(
                    athlete,
                    "advice",
                    f"the {threshold.which} threshold of {threshold.on} is {weeks:.0f} weeks old at the "
                    f"latest recording; this roster calls it old after {stale_after_weeks}",
                    "test again when a steady week allows",
                )
            )
    return found


def check_tests(athlete: Athlete, facts: Sequence[Facts]) -> tuple[Finding, ...]:
    """Tests behind a threshold that are no longer among the recordings.

    Examples
    --------
    >>> check_tests(Athlete(slug="mira", name="Mira"), [])
    ()
    """
    known = {f.sha256 for f in facts}
    return tuple(
        _of_profile(
            athlete,
            "advice",
            f"the test {test[:12]}... behind the {threshold.which} threshold of {threshold.on} is not there",
            "put it back into recordings, or leave it: the accepted value does not depend on it",
        )
        for threshold in _standing(athlete)
        for test in threshold.tests
        if len(test) == 64 and test not in known
    )


def check_machine(athlete: Athlete, facts: Sequence[Facts]) -> tuple[Finding, ...]:
    """A noted machine that cannot be set to what the latest drift test was done at.

    Examples
    --------
    >>> check_machine(Athlete(slug="mira", name="Mira"), [])
    ()
    """
    tests: list[tuple[date, str, Stage | TypedTest]] = [
        (f.local_start.date(), f.recording, f.setting) for f in facts if f.setting is not None
    ]
    tests += [(t.on, f"typed in for {t.on}", t) for t in athlete.typed_tests]
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
                    athlete,
                    "advice",
                    f"the latest drift test with a setting ({name}) was done at {_said(at)}, which [{kind}] cannot "
                    "be set to",
                    f"correct [{kind}] or the setting; leave it where that was another {kind}",
                )
            )
    return tuple(found)


def _can_be_set(machine: Machine, at: Stage | TypedTest) -> bool:
    if isinstance(machine, Ergometer):
        return machine.has(at.power_w or 0.0)
    return machine.has(at.speed_mps or 0.0, at.grade or 0.0)


def _said(at: Stage | TypedTest) -> str:
    """A setting as it was typed in."""
    if at.power_w is not None:
        return f"{at.power_w:g} W"
    return f"{3.6 * (at.speed_mps or 0.0):g} km/h at {100 * (at.grade or 0.0):g} %"


def _standing(athlete: Athlete) -> list[Threshold]:
    """Thresholds that were not withdrawn, as they stand in the file."""
    return [t for t in athlete.thresholds if not t.withdrawn]


def _of_profile(athlete: Athlete, severity: Severity, sentence: str, way_out: str) -> Finding:
    return Finding(
        athlete=athlete.slug, file="athlete.toml", severity=severity, sentence=sentence, way_out=way_out
    )
