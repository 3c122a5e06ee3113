"""The reasons an athlete may stand on the call sheet for: each says what was seen and how to settle it.

Every function looks for one reason and gives its sentence, the way to settle it and where, or None.
Where that is a workbook, the recording to choose in it stands beside.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.season.season import Season
from coachlib.analysis.week.calendar import MONTHS
from coachlib.analysis.week.meant import meant_easy
from coachlib.analysis.week.week import WeekResult
from coachlib.measures.drift_test.drift import REFERENCE_WINDOW_S, HeartRateDrift, scaled_criterion_pct
from coachlib.records.decisions import TEST_KINDS
from coachlib.records.roster import TriageSettings

#: Change of drift against one's own usual one that is no day-to-day scatter. [% an hour]  Minimum detectable
#: change (90 %) of two readings in ordinary conditions, see ``measures.season.detectable``; own choice.
DRIFT_CHANGE_PCT = 4.6
#: Own drifts needed before they say what is usual.  Own choice.
LEAST_DRIFTS = 4
#: Warm enough to be named beside a drift. [degC]  Own choice.
WARM_C = 25.0

# not by locale: the sheet is in English wherever it is made
_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


@dataclass(frozen=True, slots=True, kw_only=True)
class AthleteWeek:
    """One athlete's Monday: the week, the season where there is one, and the day of the last recording."""

    week: WeekResult
    season: Season | None = None
    last_recording_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What was seen, how to settle it, and where: a workbook (with its recording), a file or the letter."""

    sentence: str
    settle: str
    where: str
    recording: str = ""


def unwell(athlete: AthleteWeek) -> Told | None:
    """Illness or pain in the diary of the week."""
    week = athlete.week
    days = [(s.on, s.health, s.remarks) for s in week.sessions] + [
        (r.on, r.health, r.remarks) for r in week.unrecorded
    ]
    unwell = sorted(
        ((on, health, said) for on, health, said in days if health in ("ill", "pain")), key=lambda d: d[0]
    )
    if not unwell:
        return None
    on, health, said = unwell[-1]
    words = f', "{said}"' if said else ""
    more = f" ({len(unwell)} times this week)" if len(unwell) > 1 else ""
    return Told(
        sentence=f"wrote {health} on {_day(on)}{words}{more}",
        settle="call; rest and a physician come first",
        where="diary",
    )


def silent(athlete: AthleteWeek, settings: TriageSettings) -> Told | None:
    """No recording for longer than usual, outside days marked as ill, travel or altitude."""
    week = athlete.week
    last_day = week.stop_on - timedelta(days=1)
    if week.sessions or week.athlete.block_on(last_day):
        return None
    if athlete.last_recording_on is None:
        return Told(
            sentence="no recording so far",
            settle="ask whether training was recorded; file it away",
            where="recordings",
        )
    days = (last_day - athlete.last_recording_on).days
    if days < settings.silent_days:
        return None
    return Told(
        sentence=f"no recording for {days} days, the last on {_day(athlete.last_recording_on)}",
        settle="ask what happened; mark the days where ill or travelling",
        where="recordings",
    )


def not_easy(athlete: AthleteWeek) -> Told | None:
    """Easy sessions that were surely not easy, against the athlete's own usual weeks."""
    easy = None if athlete.week.easy is None else athlete.week.easy.share
    if easy is None or easy.verdict != "not easy":
        return None
    above = 100 * (1 - easy.share_frac)
    low, high = 100 * (1 - easy.share_high_frac), 100 * (1 - easy.share_low_frac)
    usual = ""
    if athlete.season is not None:
        before = [w.easy.share for w in athlete.season.weeks[:-1] if w.easy is not None]
        shares = [100 * (1 - e.share_frac) for e in before]
        if len(shares) >= 3:
            usual = f", usually {min(shares):.0f} to {max(shares):.0f} %"
    return Told(
        sentence=f"easy sessions {above:.0f} % above the first threshold ({low:.0f} to {high:.0f}){usual}",
        settle="ask for slower easy days, or test whether the threshold has moved",
        where="weekly letter",
    )


def load(athlete: AthleteWeek) -> Told | None:
    """A week's load outside the athlete's own range."""
    season = athlete.season
    found = season.load_range if season is not None else None
    if (
        season is None
        or found is None
        or found.verdict != "flag"
        or found.usual is None
        or season.weeks[-1].apart
    ):
        return None
    return Told(
        sentence=f"load by {season.load_kind} {found.load / found.usual:.1f} times the usual week "
        f"({found.load:.0f}; own range {found.low or 0:.0f} to {found.high or 0:.0f})",
        settle="was it meant? plan the coming week with it in mind",
        where="weekly letter",
    )


def drift(athlete: AthleteWeek) -> Told | None:
    """An easy session that drifted past the criterion, or far more than this athlete's own."""
    usual = _usual_drift(athlete)
    high = [
        (session, found)
        for session in athlete.week.sessions
        if (found := session.drift) is not None
        and session.kind not in TEST_KINDS
        and _is_high(session, found, usual, athlete.week.settings.criterion_pct)
    ]
    if not high:
        return None
    session, found = max(high, key=lambda pair: _hourly(pair[1].drift_pct, pair[1]))
    warm = session.temperature_c is not None and session.temperature_c >= WARM_C
    return Told(
        sentence=f"heart rate drifted {_hourly(found.drift_pct, found):.1f} % an hour "
        f"({_hourly(found.drift_low_pct, found):.1f} to {_hourly(found.drift_high_pct, found):.1f}) "
        f"on {_day(session.on)}"
        + ("" if usual is None else f", usually {usual:.1f}")
        + (f"; it was {session.temperature_c:.0f} °C" if warm else ""),
        settle="look for heat, thirst, tiredness or artefacts before reading more into it",
        where="recording",
        recording=session.recording,
    )


def _is_high(
    session: JudgedRecording, found: HeartRateDrift, usual: float | None, criterion_pct: float
) -> bool:
    """Past the criterion although meant as easy, or far beyond the athlete's own and surely above it.

    The second half of that keeps short windows quiet, whose noise grows as they are brought to an hour.
    """
    limit = scaled_criterion_pct(criterion_pct, found.stop_s - found.start_s)
    past = meant_easy(session) and found.day_low_pct > limit
    if past or usual is None:
        return past
    return (
        _hourly(found.drift_pct, found) - usual > DRIFT_CHANGE_PCT
        and _hourly(found.day_low_pct, found) > usual
    )


def _hourly(drift_pct: float, found: HeartRateDrift) -> float:
    return drift_pct * REFERENCE_WINDOW_S / (found.stop_s - found.start_s)


def _usual_drift(athlete: AthleteWeek) -> float | None:
    """Middle drift an hour of the athlete's earlier steady sessions."""
    if athlete.season is None:
        return None
    earlier = sorted(
        d.drift_pct * 60 / d.minutes for d in athlete.season.drifts if d.on < athlete.week.start_on
    )
    return earlier[len(earlier) // 2] if len(earlier) >= LEAST_DRIFTS else None


def unreadable(athlete: AthleteWeek) -> Told | None:
    """Recordings that cannot be used."""
    bad = athlete.week.unreadable
    if not bad:
        return None
    more = f" and {len(bad) - 1} more" if len(bad) > 1 else ""
    return Told(
        sentence=f"{bad[0].recording}{more}: {bad[0].sentence}",
        settle="repair or remove the file; `coachlib check` tells all",
        where="recordings",
    )


def strap(athlete: AthleteWeek, settings: TriageSettings) -> Told | None:
    """Heart rate missing from more of the moving time than a strap should lose."""
    worst: tuple[float, JudgedRecording] | None = None
    for session in athlete.week.sessions:
        if session.moving_s <= 0 or session.hr_s + session.excluded_s <= 0:
            continue
        missing = 100 * max(0.0, 1 - (session.hr_s + session.excluded_s) / session.moving_s)
        if missing > settings.strap_missing_pct and (worst is None or missing > worst[0]):
            worst = missing, session
    if worst is None:
        return None
    return Told(
        sentence=f"heart rate missing for {worst[0]:.0f} % of the session on {_day(worst[1].on)}",
        settle="wet the strap, wash it, change its battery",
        where="recording",
        recording=worst[1].recording,
    )


def pending(athlete: AthleteWeek) -> Told | None:
    """Tests whose window and exclusions nobody has decided on."""
    waiting = [s for s in athlete.week.sessions if s.kind in TEST_KINDS and not s.decided]
    if not waiting:
        return None
    test = waiting[-1]
    spans = f", {test.n_suggestions} suggested exclusions" if test.n_suggestions else ""
    return Told(
        sentence=f"the {test.kind} of {_day(test.on)} waits for your decisions{spans}",
        settle="open it, set the window, accept or reject what is suggested",
        where="recording",
        recording=test.recording,
    )


def doubt(athlete: AthleteWeek, settings: TriageSettings) -> Told | None:
    """Ordinary sessions that disagree with the accepted threshold, or have long said nothing about it."""
    season = athlete.season
    watch = season.watch if season is not None else None
    if season is None or watch is None or watch.accepted_bpm is None:
        return None
    now = watch.latest
    if now.disagrees:
        middle = (now.hr_low_bpm + now.hr_high_bpm) / 2 if now.hr_bpm is None else now.hr_bpm
        return Told(
            sentence=f"ordinary sessions disagree with the threshold of {watch.accepted_bpm:.0f} bpm: it seems "
            f"{now.disagrees} "
            f"({now.hr_low_bpm:.0f} to {now.hr_high_bpm:.0f})",
            settle=f"plan a test near {middle:.0f} bpm; the accepted threshold stays until then",
            where="first_threshold",
        )
    if now.silent_weeks >= settings.unchecked_weeks and watch.n_sessions:
        return Told(
            sentence=f"no session has said anything about the threshold of {watch.accepted_bpm:.0f} bpm for "
            f"{now.silent_weeks} weeks",
            settle="a steady hour within 10 bpm of it would",
            where="first_threshold",
        )
    return None


def stale(athlete: AthleteWeek) -> Told | None:
    """A threshold older than the roster allows."""
    old = [t for t in athlete.week.thresholds if t.is_stale]
    if not old:
        return None
    oldest = max(old, key=lambda t: t.weeks)
    return Told(
        sentence=f"the {oldest.threshold.which} threshold ({oldest.threshold.hr_bpm:.0f} bpm) is "
        f"{oldest.weeks:.0f} weeks old; "
        f"after {athlete.week.settings.stale_after_weeks} it should be tested again",
        settle="plan a test",
        where="first_threshold",
    )


def due(athlete: AthleteWeek) -> Told | None:
    """Without a first threshold there is nothing to judge easy days by."""
    if any(t.threshold.which == "first" for t in athlete.week.thresholds):
        return None
    tests = [s for s in athlete.week.sessions if s.kind == "drift test"]
    typed = len(athlete.week.athlete.typed_tests)
    known = f"; {len(tests) + typed} tests are there to estimate it from" if tests or typed else ""
    return Told(
        sentence=f"no first threshold has been accepted{known}",
        settle="do a drift test, or accept an estimate",
        where="first_threshold",
    )


def _day(on: date) -> str:
    return f"{_DAYS[on.weekday()]} {on.day} {MONTHS[on.month - 1]}"
