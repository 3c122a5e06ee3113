"""What the weeks say of an athlete whose first threshold is not known yet: hints, each with what it rests on."""

from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.season.season import N_WEEKS, SteadyDrift
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.words import wording

#: The newest steady sessions that are told one by one.  Own choice.
N_TOLD = 3
#: A talk answer with what it hints.  The last stage at which speech is comfortable lies at or below the first threshold, one
#: at which it no longer is above it: Quinn, T. J., & Coons, B. A. (2011), J Sports Sci 29:1175-1182.
_TALK = {"comfortable": ("could talk comfortably", "above"), "not": ("could no longer talk", "below")}


def so_far(athlete: AthleteWeek) -> Html:
    """What the weeks were and what they hint at; nothing once a first threshold or a bound is accepted, or under medicine.

    A first letter has no zones and no easy share; steady sessions and whether one could talk already say something.
    """
    week, season = athlete.week, athlete.season
    if season is None or week.on_medicine or week.accepted("first") is not None or not week.sessions:
        return Html("")
    before = season.weeks[0].start_on
    sessions = [s for s in athlete.sessions if before <= s.on < week.stop_on]
    steady = season.drifts[-N_TOLD:]
    said = [
        *_weeks(sessions, athlete),
        *(_steady(drift, week.settings.criterion_pct) for drift in steady),
        *([] if steady else _none_steady(sessions)),
        *_talk(sessions),
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


def _steady(drift: SteadyDrift, criterion_pct: float) -> str:
    """One steady session and what it hints; too short a one hints at nothing yet."""
    at = wording.heart_rate(drift.first_half_bpm)
    seen = f"{wording.day_and_month(drift.on)}, steady at {at}: drift {wording.drift(drift)} in {drift.minutes:.0f} min"
    hourly = drift.an_hour
    if hourly is None:
        return f"{seen}. From 45 min on it would hint where your first threshold lies."
    if hourly.drift_high_pct < criterion_pct:
        return f"{seen}. That is below {criterion_pct:g} % an hour: a hint that your first threshold lies above {at}."
    if hourly.drift_low_pct > criterion_pct:
        return f"{seen}. That is above {criterion_pct:g} % an hour: a hint that your first threshold lies below {at}."
    return (
        f"{seen}. That is near {criterion_pct:g} % an hour: a hint that your first threshold lies near {at}."
    )


def _none_steady(sessions: list[JudgedRecording]) -> list[str]:
    """How near the sessions came to a steady stretch, and what would make one."""
    short = [c for s in sessions if (c := s.not_steady) is not None and c.name == "steady too short"]
    longest = max((m for c in short if isinstance(m := c["minutes"], float)), default=None)
    if longest is None:
        return []
    needed = short[0]["needed_min"]
    return [
        f"The longest even stretch was {longest:.0f} min. From {needed:.0f} min on, at one effort and on level ground, drift "
        "can be read, and with it the first hint."
    ]


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
