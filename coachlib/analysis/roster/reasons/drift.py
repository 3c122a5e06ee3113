"""Drift that was high for an easy session, or for this athlete."""

from coachlib.analysis.recording.judged import JudgedRecording, SteadyStretch
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.reasons.kind import ReasonKind, Told
from coachlib.analysis.week.meant import meant_easy
from coachlib.measures.common.codes import code
from coachlib.measures.drift_test.drift import REFERENCE_WINDOW_S
from coachlib.records.decisions import TEST_KINDS
from coachlib.records.roster import TriageSettings

#: Change of drift against one's own usual one that is no day-to-day scatter. [% an hour]  Minimum detectable
#: change (90 %) of two readings in ordinary conditions, own choice.
DRIFT_CHANGE_PCT = 4.6
#: Own drifts needed before they say what is usual.  Own choice.
LEAST_DRIFTS = 4
#: Warm enough to be named beside a drift. [degC]  Own choice.
WARM_C = 25.0
#: What a judgement may say of a drift that is told; where it refuses to tell a side, none is.
TOLD = frozenset({"below", "near", "above", "setting not known"})


def drift(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """A session that drifted past the criterion though meant as easy, or far more than this athlete's own."""
    if athlete.week.by_effort:
        return None
    usual_pct = _usual_pct(athlete)
    high = [
        (session, stretch)
        for session in athlete.week.sessions
        if (stretch := session.steady) is not None
        and session.kind not in TEST_KINDS
        and stretch.meaning.name in TOLD
        and _is_high(session, stretch, usual_pct)
    ]
    if not high:
        return None
    session, stretch = max(high, key=lambda pair: _hourly_pct(pair[1].told.drift_pct, pair[1]))
    told = stretch.told
    warm_c = session.temperature_c
    return Told(
        code=code(
            "drift unusually high", on=session.on, drift_pct=told.drift_pct, low_pct=told.drift_low_pct,
            high_pct=told.drift_high_pct, at_constant_output=stretch.held is not None and stretch.held.is_corrected,
            window_s=stretch.window.length_s,
            hourly_pct=None if usual_pct is None else _hourly_pct(told.drift_pct, stretch), usual_hourly_pct=usual_pct,
            temperature_c=warm_c if warm_c is not None and warm_c >= WARM_C else None,
        ),
        recording=session.recording,
    )  # fmt: skip


def _is_high(session: JudgedRecording, stretch: SteadyStretch, usual_pct: float | None) -> bool:
    """Judged above the criterion although meant as easy, or far beyond the athlete's own and surely above it."""
    meaning = stretch.meaning
    past = meant_easy(session) and "above" in (meaning.name, dict(meaning.values).get("if_held"))
    if past or usual_pct is None:
        return past
    beyond = _hourly_pct(stretch.told.drift_pct, stretch) - usual_pct > DRIFT_CHANGE_PCT
    return beyond and _hourly_pct(stretch.told.day_low_pct, stretch) > usual_pct


def _hourly_pct(drift_pct: float, stretch: SteadyStretch) -> float:
    """Brought to 60 minutes, to be compared with others."""
    return drift_pct * REFERENCE_WINDOW_S / stretch.window.length_s


def _usual_pct(athlete: AthleteWeek) -> float | None:
    """Middle drift, brought to 60 minutes, of the athlete's earlier steady sessions of 45 minutes or more."""
    drifts = athlete.season.drifts if athlete.season is not None else ()
    hourly = [d.an_hour for d in drifts if d.on < athlete.week.start_on]
    earlier = sorted(d.drift_pct for d in hourly if d is not None)
    return earlier[len(earlier) // 2] if len(earlier) >= LEAST_DRIFTS else None


REASONS = (ReasonKind(name="drift unusually high", rank=110, group="look at", where="recording", seen=drift),)
