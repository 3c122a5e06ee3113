"""Pauses, laps and beats of one session, from the file's clock to elapsed seconds."""

import numpy as np
import pandas as pd

from coachlib.files.fit.clocks import LONGEST_RECORDING_S
from coachlib.files.fit.messages import Messages
from coachlib.files.fit.parts import Session
from coachlib.measures.common.sampling import LONGEST_STEP_S


def timer_pauses(messages: Messages, middle: float) -> list[tuple[float, float]]:
    """Stretches between a stop of the timer and its next start, in order, on the file's clock.

    The stop at the end has no start after it and is no pause.
    """
    events = [event for event in messages.timer if abs(event[0] - middle) <= LONGEST_RECORDING_S]
    pauses: list[tuple[float, float]] = []
    stopped_at: float | None = None
    for at, is_start in sorted(events, key=lambda event: event[0]):
        if not is_start:
            stopped_at = at if stopped_at is None else stopped_at
        elif stopped_at is not None:
            if at > stopped_at:
                pauses.append((stopped_at, at))
            stopped_at = None
    return pauses


def pauses_frame(rows: list[tuple[float, float, str]]) -> pd.DataFrame:
    """The table ``Activity.pauses``, with its types even when it is empty."""
    starts, stops, whys = zip(*rows, strict=True) if rows else ((), (), ())
    return pd.DataFrame(
        {
            "start_s": np.array(starts, dtype=float),
            "stop_s": np.array(stops, dtype=float),
            "why": pd.array(whys, "str"),
        }
    )


def laps_frame(rows: list[tuple[float, float]]) -> pd.DataFrame:
    """The table ``Activity.laps``, with its types even when it is empty; laps are numbered from 1."""
    starts, stops = zip(*rows, strict=True) if rows else ((), ())
    return pd.DataFrame(
        {
            "start_s": np.array(starts, dtype=float),
            "stop_s": np.array(stops, dtype=float),
            "number": np.arange(1, len(rows) + 1, dtype=np.int64),
        }
    )


def pauses_of(time_s: np.ndarray, timer: list[tuple[float, float]], start: float) -> pd.DataFrame:
    """Pauses by the timer, and silent stretches no pause explains, inside the recorded time."""
    by_timer = [(max(a - start, 0.0), min(b - start, float(time_s[-1]))) for a, b in timer]
    by_timer = [(a, b) for a, b in by_timer if b > a]
    wide = np.flatnonzero(np.diff(time_s) > LONGEST_STEP_S)
    gaps = list(zip(time_s[wide].tolist(), time_s[wide + 1].tolist(), strict=True))
    rows = [(a, b, "timer") for a, b in by_timer] + [(a, b, "gap") for a, b in _unexplained(gaps, by_timer)]
    return pauses_frame(sorted(rows))


def _unexplained(
    gaps: list[tuple[float, float]], pauses: list[tuple[float, float]]
) -> list[tuple[float, float]]:
    """The pieces of gaps that no pause covers and that are longer than a recorder's longest step."""
    pieces: list[tuple[float, float]] = []
    first = 0
    for begin, end in gaps:
        while first < len(pauses) and pauses[first][1] <= begin:
            first += 1
        at = first
        while at < len(pauses) and pauses[at][0] < end:
            pieces.append((begin, pauses[at][0]))
            begin = max(begin, pauses[at][1])
            at += 1
        pieces.append((begin, end))
    return [(begin, end) for begin, end in pieces if end - begin > LONGEST_STEP_S]


def laps_of(session: Session, start: float, stop: float) -> tuple[pd.DataFrame, int]:
    """Laps of a session from start time and elapsed time, and how many had no usable start.

    A lap's own time stamp is no measure of its end: many programs write something else there.  A lap
    without a length ends where the next begins.
    """
    middle = float(np.median(session.times))
    laps = session.messages.laps
    dated = sorted(
        (lap for lap in laps if abs(lap.start - middle) <= LONGEST_RECORDING_S), key=lambda lap: lap.start
    )
    rows: list[tuple[float, float]] = []
    next_starts = [*(lap.start for lap in dated), stop][1:]
    for lap, next_start in zip(dated, next_starts, strict=False):
        is_sane = 0.0 <= lap.elapsed_s <= 2 * LONGEST_RECORDING_S
        end = lap.start + lap.elapsed_s if is_sane else next_start
        if session.begin <= lap.start < session.end and end > lap.start and end > start and lap.start <= stop:
            rows.append((lap.start - start, end - start))
    return laps_frame(rows), len(laps) - len(dated)


def beats_of(session: Session, start: float) -> tuple[np.ndarray, np.ndarray]:
    """Beat intervals [s] and the elapsed times [s] at which they ended, ``start`` being 0.

    Each message of beats stands behind a record: its beats are laid out from that record's time, and
    never beyond the next record, so that neither pauses nor missed beats shift what comes later.  Beats
    before the first record are counted back from it.

    Notes
    -----
    In some recordings the sum of all beats is the timer's time, in others the
    elapsed time, and it drifts from both.
    """
    messages = session.messages
    beat_s = messages.beat_s
    ok = messages.is_trusted
    times = messages.time - start
    ordered = np.sort(times[ok])
    last_trusted = np.maximum.accumulate(np.where(ok, np.arange(times.size), -1))
    record = messages.beat_record
    anchor_row = np.where(record >= 0, last_trusted[record], -1)
    early = anchor_row < 0
    anchor = np.where(early, -np.inf, times[anchor_row])
    order = np.argsort(anchor, kind="stable")
    beat_s, anchor, early = beat_s[order], anchor[order], early[order]

    total = np.cumsum(beat_s)
    n_early = int(np.count_nonzero(early))
    laid_out = total - (total - beat_s)[np.searchsorted(anchor, anchor, side="left")] + anchor
    following = np.append(ordered, np.inf)[np.searchsorted(ordered, anchor, side="right")]
    ended = np.minimum(laid_out, following)
    if n_early:
        ended[:n_early] = ordered[0] - (total[n_early - 1] - total[:n_early])
        anchor[:n_early] = ordered[0]
    mine = (anchor >= session.times[0] - start) & (anchor <= session.times[-1] - start)
    return beat_s[mine], ended[mine]
