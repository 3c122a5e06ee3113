"""What the weeks say of an athlete whose first threshold is not known yet: hints, each with what it rests on."""

from coachlib.analysis.first_threshold.first_test import hints_at_something
from coachlib.analysis.recording.judged import JudgedRecording, SteadyStretch
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.one_thing import one_thing
from coachlib.analysis.season.season import N_WEEKS
from coachlib.measures.common.codes import code
from coachlib.measures.drift_test.drift import VERDICT_WINDOW_S
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.words import wording
from coachlib.report.words.catalogue import sentence, whole
from coachlib.report.words.recording import meant, seen

#: The newest steady sessions that are told one by one.  Own choice.
N_TOLD = 3
#: A talk answer with what it hints.  The last stage at which speech is comfortable lies at or below the first threshold, one
#: at which it no longer is above it: Quinn, T. J., & Coons, B. A. (2011), J Sports Sci 29:1175-1182.
_TALK = {"comfortable": ("could talk comfortably", "above"), "not": ("could no longer talk", "below")}


def so_far(athlete: AthleteWeek) -> Html:
    """What the weeks were and what they hint at; nothing once a first threshold or a bound is accepted, or where heart rate misleads.

    A first letter has no zones and no easy share; steady sessions and whether one could talk already say something.
    """
    week, season = athlete.week, athlete.season
    if season is None or week.by_effort or week.accepted("first") is not None or not week.sessions:
        return Html("")
    before = season.weeks[0].start_on
    sessions = [s for s in athlete.sessions if before <= s.on < week.stop_on]
    steady = [(s, s.steady) for s in sessions if s.steady is not None and hints_at_something(s.steady)]
    said = [
        *_weeks(sessions, athlete),
        *(_steady(session, stretch) for session, stretch in steady[-N_TOLD:]),
        *([] if steady else _none_yet(sessions)),
        *_talk(sessions),
        *_test(athlete),
    ]
    items = "".join(f"<li>{escape(sentence)}</li>" for sentence in said)
    return (
        Html(f'<section><h2>What the weeks say so far</h2><ul class="hints">{items}</ul></section>')
        if items
        else Html("")
    )


def _weeks(sessions: list[JudgedRecording], athlete: AthleteWeek) -> list[str]:
    """How many, how long, how high, since the first of them."""
    earlier = [s for s in sessions if s.on < athlete.week.start_on]
    if not earlier:
        return []
    n = wording.count(len(sessions), "session")
    n_weeks = min((athlete.week.stop_on - min(s.on for s in sessions)).days // 7 + 1, N_WEEKS)
    rates = sorted(s.hr_mean_bpm for s in sessions if s.hr_mean_bpm)
    at = ""
    if rates:
        low, high = f"{rates[0]:.0f}", wording.heart_rate(rates[-1])
        at = f", at {high}" if high.startswith(f"{low} ") else f", at {low} to {high} on average"
    total = wording.duration(sum(s.moving_s for s in sessions))
    return [f"{n[0].upper()}{n[1:]} in {wording.count(n_weeks, 'week')}, {total} in all{at}."]


def _steady(session: JudgedRecording, stretch: SteadyStretch) -> str:
    """One steady session and what it hints, in the words of every page."""
    return f"{wording.day_and_month(session.on)}: {wording.lower(seen(stretch))}. A hint: {wording.lower(meant(stretch))}."


def _none_yet(sessions: list[JudgedRecording]) -> list[str]:
    """How near the sessions came to a stretch that hints at something, and what would make one."""
    minutes = [
        (s.steady.drift.stop_s - s.steady.drift.start_s) / 60 for s in sessions if s.steady is not None
    ]
    short = [c for s in sessions if (c := s.not_steady) is not None and c.name == "steady too short"]
    longest = max([*minutes, *(m for c in short if isinstance(m := c["minutes"], float))], default=None)
    if longest is None:
        return []
    least = f"{VERDICT_WINDOW_S / 60:.0f} min"
    but = ", but what it shows is not clear" if 60 * longest >= VERDICT_WINDOW_S else ""
    return [
        f"The longest even stretch was {longest:.0f} min{but}. From {least} on, at one effort and on level ground, a session "
        "hints where your first threshold lies."
    ]


def _test(athlete: AthleteWeek) -> list[str]:
    """Which test fits, where something else comes first next week."""
    first = athlete.first_test
    if first is None or one_thing(athlete).is_test:
        return []
    what = code("first test", place=first.place, hr_bpm=first.target_bpm)
    return [f"The test that fits you after that: {sentence(what)}. {whole(first.why)}"]


def _talk(sessions: list[JudgedRecording]) -> list[str]:
    """The highest mean heart rate at which talk was comfortable, and the lowest at which it was not."""
    said = []
    for answer, (could, side) in _TALK.items():
        rates = [s.hr_mean_bpm for s in sessions if s.talk == answer and s.hr_mean_bpm]
        if rates:
            bpm = wording.heart_rate(max(rates) if answer == "comfortable" else min(rates))
            said.append(
                f"You {could} at {bpm} on average: a hint that your first threshold lies {side} that."
            )
    return said
