"""One week of a season in numbers: time, domains, easy share, load, temperature, sleep, illness."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from coachlib.analysis.recording.domains import DomainTime, summed_domains
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.week.easy import EasyTime, easy_time
from coachlib.records.athlete import Athlete
from coachlib.records.diary import DiaryRow

#: Load is told by heart rate where this share of the sessions has it, else by session RPE.  Own choice.
LOAD_SHARE = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonWeek:
    """One week in numbers; None where nothing is known.  ``apart`` is the kind of a block, "" outside one."""

    name: str
    start_on: date
    n_sessions: int
    moving_s: float
    domains: DomainTime | None
    easy: EasyTime | None
    load: float | None
    temperature_c: float | None
    sleep_h: float | None
    n_unwell: int
    apart: str


def season_week(
    name: str,
    start: date,
    sessions: Sequence[JudgedRecording],
    rows: Sequence[DiaryRow],
    athlete: Athlete,
    load_kind: str,
    *,
    unrecorded: Sequence[DiaryRow] = (),
) -> SeasonWeek:
    """One week's sums and means; ``unrecorded`` are rows of the diary that belong to no recording."""
    stop = start + timedelta(days=7)
    now = [s for s in sessions if start <= s.on < stop]
    done = [r for r in unrecorded if start <= r.on < stop and r.was_done]
    written = [r for r in rows if start <= r.on < stop]
    temperatures = [s.temperature_c for s in now if s.temperature_c is not None]
    sleep = [r.sleep_h for r in written if r.sleep_h is not None]
    unwell = {r.on for r in written if r.health in ("ill", "pain")}
    unwell |= {s.on for s in now if s.health in ("ill", "pain")}
    blocks = [b for b in (athlete.block_on(start + timedelta(days=d)) for d in range(7)) if b is not None]
    return SeasonWeek(
        name=name,
        start_on=start,
        n_sessions=len(now) + len(done),
        moving_s=sum(s.moving_s for s in now) + sum(r.moving_s for r in done),
        domains=summed_domains(s.domains for s in now),
        easy=easy_time(now, athlete),
        load=load_of((*now, *done), load_kind),
        temperature_c=float(np.mean(temperatures)) if temperatures else None,
        sleep_h=float(np.mean(sleep)) if sleep else None,
        n_unwell=len(unwell),
        apart=blocks[0].kind if blocks else "",
    )


def load_kind_of(sessions: Sequence[JudgedRecording]) -> str:
    """Load by heart rate, unless session RPE is what is known."""
    n = max(len(sessions), 1)
    by_rate = sum(s.trimp is not None for s in sessions) / n
    by_rpe = sum(s.rpe_load is not None for s in sessions) / n
    return "session RPE" if by_rate < LOAD_SHARE <= by_rpe else "heart rate"


def load_of(sessions: Sequence[JudgedRecording | DiaryRow], kind: str) -> float | None:
    """Load of a week's sessions; None where that of one is unknown.

    Load by rating counts what was done without a recording too, load by heart rate only what was recorded.
    """
    if kind == "session RPE":
        loads = [s.rpe_load for s in sessions]
    else:
        loads = [s.trimp for s in sessions if isinstance(s, JudgedRecording)]
    known = [x for x in loads if x is not None]
    return sum(known, 0.0) if len(known) == len(loads) else None
