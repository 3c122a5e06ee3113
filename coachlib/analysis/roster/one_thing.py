"""The one thing to ask of an athlete for next week: what, and why, the most pressing first.

Letter, plan and draft read it here, so that they never contradict one another: what the coach planned for the coming week
stands, and where the week asks for something else, the coach is told (``analysis.roster.week_ahead``).
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from coachlib.analysis.first_threshold.fit_to_test import MEDICINE_SETTLES, instead_of_test
from coachlib.analysis.first_threshold.machine import setting_at
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.week.easy import threshold_interval
from coachlib.analysis.week.strap import strap_losses
from coachlib.analysis.week.usual import ABOUT_USUAL_FRAC
from coachlib.measures.common.codes import Code, code

#: Heart rate missing for more than this share of the moving time points to the strap.  Own choice.
STRAP_FRAC = 0.1
#: So many sessions must have lost it.  Own choice: one slips.
STRAP_SESSIONS = 2
#: So many remarks that need a physician are quoted, the most urgent first.  Own choice.
MOST_QUOTED = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class OneThing:
    """What to do, and why; ``is_test`` says that the cautions of a test go with it."""

    what: Code
    why: Code
    is_test: bool = False

    @property
    def is_shorter(self) -> bool:
        """Whether a shorter test is asked for than usual."""
        return self.what.name in ("shorter test instead", "shorter first test instead")


def one_thing(athlete: AthleteWeek) -> OneThing:
    """The one thing to ask of the athlete.

    Source
    ------
    This project's own choice of order: a physician before everything, then rest, pain, and the way back from
    illness, after which no test is asked until three sessions have passed.
    """
    looked: tuple[Callable[[AthleteWeek], OneThing | None], ...] = (
        _physician, _unwell, _back, _by_effort, _quiet, _strap, _test_due, _disagreement, _easier, _much_more,
    )  # fmt: skip
    for look in looked:
        if (found := look(athlete)) is not None:
            return found
    return OneThing(
        what=code("carry on"), why=code("nothing asks for a change", has_note=bool(athlete.week.note))
    )


def _physician(athlete: AthleteWeek) -> OneThing | None:
    """What was written needs a physician first, until the coach has marked it as settled."""
    if not athlete.red_flags:
        return None
    flags = athlete.red_flags
    what = "emergency number or physician" if flags[0].kind == "now" else "see a physician first"
    told = flags[:MOST_QUOTED]
    why = code(
        "a remark needs a physician", on=tuple(f.on for f in told), quoted=tuple(f.sentence for f in told)
    )
    return OneThing(what=code(what), why=why)


def _unwell(athlete: AthleteWeek) -> OneThing | None:
    block = athlete.week.athlete.block_on(athlete.last_day)
    health = athlete.health
    if health == "ill" or (block is not None and block.kind == "ill"):
        return OneThing(what=code("rest until well"), why=code("you were ill"))
    if block is not None and block.kind == "injured":
        return OneThing(what=code("rest what is hurt"), why=code("you are injured"))
    if health == "pain":
        return OneThing(what=code("leave out what hurts"), why=code("you noted pain"))
    return None


def _back(athlete: AthleteWeek) -> OneThing | None:
    """Newly back from illness or injury: gates before each session, after it and the day after."""
    if athlete.newly_back is None:
        return None
    since_on, n = athlete.newly_back
    return OneThing(
        what=code("gates at each session"), why=code("newly back", since_on=since_on, n_sessions=n)
    )


def _by_effort(athlete: AthleteWeek) -> OneThing | None:
    """Talk and effort take the place of heart rate: in pregnancy, and while a medicine is new."""
    if athlete.week.by_effort is None:
        return None
    person, day = athlete.week.athlete, athlete.last_day
    if person.by_effort_on(day) == "pregnancy":
        return OneThing(what=code("by effort in pregnancy"), why=athlete.week.by_effort)
    new = person.medicine_changes_between(day - MEDICINE_SETTLES, day)
    if not new:
        return None
    why = code("medicine is new", on=new[-1].on, change=new[-1].change)
    return OneThing(what=code("by effort under medicine"), why=why)


def _quiet(athlete: AthleteWeek) -> OneThing | None:
    """A week of which nothing is known asks for a word, not for going on."""
    if athlete.week.sessions or athlete.written_this_week:
        return None
    return OneThing(what=code("write how you are"), why=code("nothing of the week is known"))


def _strap(athlete: AthleteWeek) -> OneThing | None:
    poor = strap_losses(athlete.week.sessions, more_than_frac=STRAP_FRAC)
    if len(poor) < STRAP_SESSIONS:
        return None
    worst = poor[0]
    why = code("heart rate was missing", n_sessions=len(poor), on=worst.session.on, missing_s=worst.missing_s)
    return OneThing(what=code("wet the strap"), why=why)


def _test_due(athlete: AthleteWeek) -> OneThing | None:
    week = athlete.week
    if week.by_effort is not None or not _has_room_for_test(athlete):
        return None
    first = next((t for t in week.thresholds if t.threshold.which == "first"), None)
    if first is None:
        return _first_test(athlete)
    unchecked = first.unchecked
    if unchecked is not None and unchecked["event"] == "altitude":
        return None
    if not first.is_stale and not first.threshold.bounded and unchecked is None:
        return None
    planned = athlete.next_test
    found = setting_at(first.threshold, week.athlete) if planned is None else planned.settings
    what = code(
        "repeat the steady test",
        speed_mps=found.speed_mps if found else None,
        grade=found.grade if found else None,
        power_w=found.power_w if found else None,
        hr_bpm=first.threshold.hr_bpm if planned is None else planned.target_bpm,
    )
    if unchecked is not None:
        return _if_it_fits(athlete, what, code("first threshold untested", **dict(unchecked)))
    name = "first threshold is a bound" if first.threshold.bounded else "first threshold is old"
    return _if_it_fits(athlete, what, code(name, weeks=first.weeks))


def _first_test(athlete: AthleteWeek) -> OneThing:
    """The first test, or the next of the tests from which no threshold was accepted yet."""
    if (planned := athlete.next_test) is not None:
        s = planned.settings
        what = code(
            "next steady test",
            speed_mps=s.speed_mps if s else None,
            grade=s.grade if s else None,
            power_w=s.power_w if s else None,
            hr_bpm=planned.target_bpm,
        )
        return _if_it_fits(athlete, what, code("first threshold not accepted"))
    first = athlete.first_test
    if first is None:
        return _if_it_fits(
            athlete, code("first test", place="open air", hr_bpm=None), code("first threshold not known")
        )
    at = {"place": first.place, "hr_bpm": first.target_bpm}
    test = _if_it_fits(athlete, code("first test", **at), first.why)
    return replace(test, what=code("shorter first test instead", **at)) if test.is_shorter else test


def _disagreement(athlete: AthleteWeek) -> OneThing | None:
    """A test near where ordinary sessions put the first threshold, while they disagree with the accepted one."""
    watch = athlete.season.watch if athlete.season is not None else None
    if watch is None or not watch.latest.disagrees or athlete.week.by_effort is not None:
        return None
    if not _has_room_for_test(athlete):
        return None
    why = code("sessions disagree", accepted_bpm=watch.accepted_bpm or 0.0, seems=watch.latest.disagrees)
    return _if_it_fits(athlete, code("steady test near", hr_bpm=watch.latest.test_near_bpm), why)


def _if_it_fits(athlete: AthleteWeek, test: Code, why: Code) -> OneThing:
    """A test where it may be asked of this person, else what to do instead."""
    planned = next((d.on for d in athlete.planned if d.is_test), None)
    against = athlete.against_test(planned)
    instead = instead_of_test(against)
    if not instead:
        return OneThing(what=test, why=why, is_test=True)
    thing = OneThing(what=instead[0], why=against[0])
    return replace(thing, is_test=thing.is_shorter)


def _has_room_for_test(athlete: AthleteWeek) -> bool:
    """Whether the coming week holds a test, or is not planned yet."""
    return not athlete.planned or any(d.is_test for d in athlete.planned)


def _easier(athlete: AthleteWeek) -> OneThing | None:
    if athlete.kept_below is None:
        return None
    low, _ = threshold_interval(athlete.kept_below)
    return OneThing(what=code("keep easy below", hr_bpm=low), why=code("lower end of the threshold"))


def _much_more(athlete: AthleteWeek) -> OneThing | None:
    """An ordinary week after one far above the athlete's own range."""
    own = athlete.season.load_range if athlete.season is not None else None
    if own is None or own.verdict != "flag" or own.side != "high" or own.low is None or own.high is None:
        return None
    if more_than_usual(athlete) is not None:
        return None
    why = code("load above own range", load=own.load, n_weeks=own.n_weeks, low=own.low, high=own.high)
    return OneThing(what=code("an ordinary week"), why=why)


def more_than_usual(athlete: AthleteWeek) -> tuple[float, float] | None:
    """Minutes planned for the coming week and those of a usual one, where clearly more is planned; None else. [min]"""
    usual_s, planned = athlete.week.usual_moving_s, [d.minutes or 0.0 for d in athlete.planned]
    if not usual_s or sum(planned) * 60 <= usual_s * (1 + ABOUT_USUAL_FRAC):
        return None
    return sum(planned), usual_s / 60
