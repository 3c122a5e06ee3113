"""Thresholds that are doubted, old or missing; told while a test may be asked of the athlete at all."""

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.reasons.kind import ReasonKind, Told
from coachlib.measures.common.codes import code
from coachlib.records.roster import TriageSettings


def doubt(athlete: AthleteWeek, settings: TriageSettings) -> Told | None:
    """Ordinary sessions that disagree with the accepted threshold, or have long said nothing about it."""
    watch = athlete.season.watch if athlete.season is not None else None
    if watch is None or watch.accepted_bpm is None or not athlete.may_be_tested:
        return None
    now = watch.latest
    if now.disagrees:
        return Told(
            code=code(
                "threshold in doubt", accepted_bpm=watch.accepted_bpm, disagrees=now.disagrees, low_bpm=now.hr_low_bpm,
                high_bpm=now.hr_high_bpm, test_bpm=now.test_near_bpm, silent_weeks=None,
            )
        )  # fmt: skip
    if now.silent_weeks >= settings.unchecked_weeks and watch.n_sessions:
        return Told(
            code=code(
                "threshold in doubt", accepted_bpm=watch.accepted_bpm, disagrees="", low_bpm=None, high_bpm=None,
                test_bpm=None, silent_weeks=now.silent_weeks,
            )
        )  # fmt: skip
    return None


def contradicted(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """Two tests of which one must be wrong, and nothing else that decides."""
    test = athlete.next_test
    if test is None or test.target_from.name != "aim at the contradiction" or not athlete.may_be_tested:
        return None
    return Told(code=code("tests against each other", repeat_bpm=test.target_bpm))


def stale(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """A threshold older than the roster allows."""
    old = [t for t in athlete.week.thresholds if t.is_stale]
    if not old or not athlete.may_be_tested:
        return None
    oldest = max(old, key=lambda t: t.weeks)
    return Told(
        code=code(
            "threshold stale", which=oldest.threshold.which, hr_bpm=oldest.threshold.hr_bpm, weeks=oldest.weeks,
            allowed_weeks=athlete.week.settings.stale_after_weeks,
        )
    )  # fmt: skip


def not_checked(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """A first threshold that nobody has tested since an illness, an injury or a change of medicine."""
    first = next((t for t in athlete.week.thresholds if t.threshold.which == "first"), None)
    if first is None or first.unchecked is None or first.is_stale or not athlete.may_be_tested:
        return None
    return Told(code=code("threshold untested", hr_bpm=first.threshold.hr_bpm, **dict(first.unchecked)))


def due(athlete: AthleteWeek, settings: TriageSettings) -> Told | None:
    """Without a first threshold there is nothing to judge easy days by; nor by a bound of it."""
    firsts = [t.threshold for t in athlete.week.thresholds if t.threshold.which == "first"]
    if (
        any(not t.bounded for t in firsts)
        or not athlete.may_be_tested
        or contradicted(athlete, settings) is not None
    ):
        return None
    tests = sum(s.kind == "drift test" for s in athlete.week.sessions)
    return Told(
        code=code("test due", n_tests=tests + len(athlete.week.athlete.typed_tests), is_bound=bool(firsts))
    )


REASONS = (
    ReasonKind(name="threshold in doubt", rank=150, group="look at", where="first_threshold", seen=doubt),
    ReasonKind(
        name="tests against each other", rank=162, group="look at", where="first_threshold", seen=contradicted
    ),
    ReasonKind(
        name="threshold untested",
        rank=165,
        group="look at",
        where="first_threshold",
        seen=not_checked,
    ),
    ReasonKind(name="threshold stale", rank=170, group="look at", where="first_threshold", seen=stale),
    ReasonKind(name="test due", rank=180, group="look at", where="first_threshold", seen=due),
)
