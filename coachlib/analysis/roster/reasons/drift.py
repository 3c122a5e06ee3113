"""Drift that was high for an easy session, or for this athlete."""

from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.reasons.kind import ReasonKind, Told
from coachlib.analysis.week.meant import meant_easy
from coachlib.measures.common.codes import code
from coachlib.measures.drift_test.drift import REFERENCE_WINDOW_S, HeartRateDrift, scaled_criterion_pct
from coachlib.records.decisions import TEST_KINDS
from coachlib.records.roster import TriageSettings

#: Change of drift against one's own usual one that is no day-to-day scatter. [% an hour]  Minimum detectable
#: change (90 %) of two readings in ordinary conditions, see ``measures.season.detectable``; own choice.
DRIFT_CHANGE_PCT = 4.6
#: Own drifts needed before they say what is usual.  Own choice.
LEAST_DRIFTS = 4
#: A shorter window carries no verdict and is not brought to an hour. [s]  Own choice.
LEAST_WINDOW_S = 45 * 60.0
#: Warm enough to be named beside a drift. [degC]  Own choice.
WARM_C = 25.0
#: What a judged stretch may say of itself that leaves its drift untold.
NOT_TOLD = frozenset({"void", "output changed", "too short"})


def drift(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """A session that drifted past the criterion though meant as easy, or far more than this athlete's own."""
    if athlete.week.on_medicine:
        return None
    usual_pct = _usual_pct(athlete)
    criterion_pct = athlete.week.settings.criterion_pct
    high = [
        (session, found)
        for session in athlete.week.sessions
        if (found := session.drift) is not None
        and session.kind not in TEST_KINDS
        and _may_be_told(session, found)
        and _is_high(session, found, usual_pct, criterion_pct)
    ]
    if not high:
        return None
    session, found = max(high, key=lambda pair: _hourly_pct(pair[1].drift_pct, pair[1]))
    warm_c = session.temperature_c
    return Told(
        code=code(
            "drift unusually high", on=session.on, drift_pct=found.drift_pct, low_pct=found.drift_low_pct,
            high_pct=found.drift_high_pct, window_s=found.stop_s - found.start_s,
            hourly_pct=None if usual_pct is None else _hourly_pct(found.drift_pct, found), usual_hourly_pct=usual_pct,
            temperature_c=warm_c if warm_c is not None and warm_c >= WARM_C else None,
        ),
        recording=session.recording,
    )  # fmt: skip


def _may_be_told(session: JudgedRecording, found: HeartRateDrift) -> bool:
    """Whether the window is long enough for a verdict, and the judgement of it lets it stand."""
    steady = session.steady
    refused = steady is None or steady.is_void or steady.meaning.name in NOT_TOLD
    return not refused and found.stop_s - found.start_s >= LEAST_WINDOW_S


def _is_high(
    session: JudgedRecording, found: HeartRateDrift, usual_pct: float | None, criterion_pct: float
) -> bool:
    """Past the criterion although meant as easy, or far beyond the athlete's own and surely above it."""
    limit_pct = scaled_criterion_pct(criterion_pct, found.stop_s - found.start_s)
    past = meant_easy(session) and found.day_low_pct > limit_pct
    if past or usual_pct is None:
        return past
    beyond = _hourly_pct(found.drift_pct, found) - usual_pct > DRIFT_CHANGE_PCT
    return beyond and _hourly_pct(found.day_low_pct, found) > usual_pct


def _hourly_pct(drift_pct: float, found: HeartRateDrift) -> float:
    """Brought to 60 minutes, to be compared with others."""
    return drift_pct * REFERENCE_WINDOW_S / (found.stop_s - found.start_s)


def _usual_pct(athlete: AthleteWeek) -> float | None:
    """Middle drift, brought to 60 minutes, of the athlete's earlier steady sessions of 45 minutes or more."""
    drifts = athlete.season.drifts if athlete.season is not None else ()
    earlier = sorted(
        d.drift_pct * 60 / d.minutes
        for d in drifts
        if d.on < athlete.week.start_on and 60 * d.minutes >= LEAST_WINDOW_S
    )
    return earlier[len(earlier) // 2] if len(earlier) >= LEAST_DRIFTS else None


REASONS = (ReasonKind(name="drift unusually high", rank=110, group="look at", where="recording", seen=drift),)
