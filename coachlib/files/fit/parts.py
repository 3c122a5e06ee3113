"""Which session of the file each record belongs to; times are seconds on the file's clock."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from coachlib.errors import FileProblem
from coachlib.files.fit.clocks import LONGEST_RECORDING_S
from coachlib.files.fit.messages import Messages, WrittenStretch
from coachlib.measures.common.sampling import time_weights
from coachlib.records.activity import Activity, Part, Totals

#: A file with more sessions than this is damaged; its records are taken as one session.
MOST_SESSIONS = 50

#: In a damaged file, records later than this after the last session belong to one that was not written.  [s]
AFTER_SESSION_S = 60.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Session:
    """The records of one session: ``rows`` are numbers of records in order of time, times in [begin, end)."""

    messages: Messages
    rows: np.ndarray
    begin: float
    end: float
    sport: str
    sub_sport: str
    totals: Totals
    is_derived: bool

    @property
    def times(self) -> np.ndarray:
        """Times [s] of the rows on the file's clock."""
        return self.messages.time[self.rows]

    def hr_s(self) -> float:
        """Time [s] that carries a heart rate."""
        hr = self.messages.samples["hr_bpm"][self.rows]
        return float(time_weights(self.times, hr > 0).sum())


def sessions_of(messages: Messages) -> list[Session]:
    """The sessions of one FIT file in order of time; one derived from the records where none is written."""
    time = messages.time
    rows = np.flatnonzero(messages.is_trusted)
    rows = rows[np.argsort(time[rows], kind="stable")]
    if not rows.size:
        return []
    times = time[rows]
    written = _dated(messages.sessions, float(np.median(times)))
    if not 0 < len(written) <= MOST_SESSIONS:
        return [_session(messages, rows, times, -np.inf, np.inf, _only(messages))]
    begins = [-np.inf, *(s.start for s in written[1:])]
    stretches: list[WrittenStretch | None] = list(written)
    last_stop = written[-1].start + written[-1].elapsed_s + AFTER_SESSION_S
    if messages.damaged_at_byte is not None and times[-1] > last_stop:
        begins.append(last_stop - AFTER_SESSION_S)
        stretches.append(None)
    ends = [*begins[1:], np.inf]
    return [
        _session(messages, rows, times, begin, end, stretch)
        for begin, end, stretch in zip(begins, ends, stretches, strict=True)
    ]


def _dated(sessions: list[WrittenStretch], middle: float) -> list[WrittenStretch]:
    """Sessions with a believable start, in order; of two that start together the longer one goes first."""
    dated = [s for s in sessions if abs(s.start - middle) <= LONGEST_RECORDING_S]
    return sorted(dated, key=lambda s: (s.start, -s.elapsed_s if s.elapsed_s == s.elapsed_s else 0.0))


def _only(messages: Messages) -> WrittenStretch | None:
    """The only session of a file, though its time cannot be believed: it still knows the sport."""
    return messages.sessions[0] if len(messages.sessions) == 1 else None


def _session(
    messages: Messages,
    rows: np.ndarray,
    times: np.ndarray,
    begin: float,
    end: float,
    written: WrittenStretch | None,
) -> Session:
    """The records in [begin, end), with the sport from the session, the sport setting or the last lap."""
    hints = (written, messages.sport_setting, *messages.laps[-1:])
    named = next((hint for hint in hints if hint is not None and hint.sport), None)
    return Session(
        messages=messages,
        rows=rows[(times >= begin) & (times < end)],
        begin=begin,
        end=end,
        sport=named.sport if named else "",
        sub_sport=named.sub_sport if named else "",
        totals=written.totals if written else Totals(),
        is_derived=written is None,
    )


def parts_of(sessions: list[Session]) -> tuple[Part, ...]:
    """What each session is, in seconds since the file's first record."""
    first = min(float(s.times[0]) for s in sessions if s.rows.size)
    return tuple(
        Part(
            number=number,
            sport=session.sport,
            start_s=float(session.times[0]) - first if session.rows.size else 0.0,
            stop_s=float(session.times[-1]) - first if session.rows.size else 0.0,
            hr_s=session.hr_s() if session.rows.size else 0.0,
        )
        for number, session in enumerate(sessions)
    )


def listed(parts: tuple[Part, ...]) -> str:
    """The parts in words, as many as a person can take in."""
    words = [f"{part.number} ({part.sport or 'unknown sport'})" for part in parts[:10]]
    return ", ".join(words) + (f" and {len(parts) - 10} more" if len(parts) > 10 else "")


def chosen(activities: Sequence[Activity], part: int | None) -> Activity:
    """The part of a file that is asked for; else the sport with the most heart rate.

    Raises
    ------
    FileProblem
        When the part does not exist or holds no records.
    """
    parts = activities[0].parts
    if part is None:
        return max(activities, key=lambda a: (not a.is_transition, parts[a.part].hr_s, a.elapsed_s, -a.part))
    if not isinstance(part, int) or part not in range(len(parts)):
        raise FileProblem(
            f"part {part!r} of the recording was asked for; it holds part {listed(parts)}. Choose one of these."
        )
    found = next((a for a in activities if a.part == part), None)
    if found is None:
        raise FileProblem(
            f"part {part} of the recording holds no records; it holds part {listed(parts)}. Choose another one."
        )
    return found
