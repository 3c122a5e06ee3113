"""Recordings that cannot be read, lack heart rate, or wait for the coach."""

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.reasons.kind import ReasonKind, Told
from coachlib.analysis.week.strap import strap_losses
from coachlib.measures.common.codes import code
from coachlib.records.decisions import TEST_KINDS
from coachlib.records.roster import TriageSettings


def unreadable(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """Recordings that cannot be used."""
    bad = athlete.week.unreadable
    if not bad:
        return None
    return Told(code=code("unreadable", what=bad[0].recording, why=bad[0].sentence, n_more=len(bad) - 1))


def cut(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """Recordings whose device summed up something else than the file holds."""
    found = [(s, c) for s in athlete.week.sessions for c in s.caveats if c.name == "totals differ"]
    if not found:
        return None
    session, totals = found[0]
    return Told(
        code=code("recording cut", on=session.on, n_sessions=len(found), **dict(totals.values)),
        recording=session.recording,
    )


def damaged(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """Recordings that lost their end or some of their middle, where no total of the device says how much."""
    found = [
        s
        for s in athlete.week.sessions
        if s.is_damaged and not any(c.name == "totals differ" for c in s.caveats)
    ]
    if not found:
        return None
    first = found[0]
    return Told(
        code=code("recording damaged", on=first.on, read_s=first.moving_s, n_sessions=len(found)),
        recording=first.recording,
    )


def strap(athlete: AthleteWeek, settings: TriageSettings) -> Told | None:
    """Heart rate missing from more of the moving time than a strap should lose."""
    lost = strap_losses(athlete.week.sessions, more_than_frac=settings.strap_missing_pct / 100)
    if not lost:
        return None
    worst = lost[0]
    return Told(
        code=code("strap failing", on=worst.session.on, missing_pct=100 * worst.missing_frac, n_sessions=len(lost)),
        recording=worst.session.recording,
    )  # fmt: skip


def pending(athlete: AthleteWeek, _: TriageSettings) -> Told | None:
    """Tests whose window and exclusions nobody has decided on."""
    waiting = [s for s in athlete.week.sessions if s.kind in TEST_KINDS and not s.decided]
    if not waiting:
        return None
    test = waiting[-1]
    return Told(
        code=code("decisions pending", on=test.on, kind=test.kind or "", n_suggestions=test.n_suggestions),
        recording=test.recording,
    )


REASONS = (
    ReasonKind(name="unreadable", rank=120, group="look at", where="recordings", seen=unreadable),
    ReasonKind(name="recording cut", rank=125, group="look at", where="recordings", seen=cut),
    ReasonKind(name="recording damaged", rank=126, group="look at", where="recordings", seen=damaged),
    ReasonKind(name="strap failing", rank=130, group="look at", where="recording", seen=strap),
    ReasonKind(name="decisions pending", rank=140, group="look at", where="recording", seen=pending),
)
