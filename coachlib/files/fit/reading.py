"""Reading a FIT activity file.

Whatever the bytes, the answer is an :class:`~coachlib.records.activity.Activity`, with caveats that say
what was salvaged, skipped or odd, or a :class:`~coachlib.errors.FileProblem` that says what the file is.
Everything that was written before damage is kept.
"""

import hashlib
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from coachlib.errors import CoachError, FileProblem, NoSession
from coachlib.files.fit.clocks import CLOCK_SET_S
from coachlib.files.fit.container import LARGEST_FILE_BYTES, split
from coachlib.files.fit.messages import Messages, gather
from coachlib.files.fit.parts import Session, chosen, parts_of, sessions_of
from coachlib.files.fit.samples import samples_of
from coachlib.files.fit.stretches import beats_of, laps_of, pauses_of, timer_pauses
from coachlib.files.fit.totals import totals_caveat
from coachlib.measures.common.codes import Code, code
from coachlib.records.activity import Activity, Part

#: Rises when the same bytes give another activity.
READER_VERSION = 4

#: Where the clock of FIT files starts (open FIT protocol, type date_time).
FIT_EPOCH = datetime(1989, 12, 31, tzinfo=UTC)

#: Local time is believed when it differs from UTC by whole quarter hours, and by no more than this.  [s]
LARGEST_UTC_OFFSET_S = 14 * 3600.0

_INDOOR = ("treadmill", "spin", "elliptical", "stair_climbing", "virtual_activity")


def read_fit(path: Path | str, *, part: int | None = None) -> Activity:
    """Read a FIT activity file.

    Parameters
    ----------
    path : Path or str
        The file; it is not changed.
    part : int, optional
        Which session of a file that holds several, from 0; else the one with the most heart rate.

    Returns
    -------
    Activity
        Elapsed time starts at the first record of the part.

    Raises
    ------
    FileProblem
        When the file cannot be opened, is no FIT activity, or holds no records or no such part.

    Source
    ------
    The open FIT protocol for the layout; what is done about odd recordings is this project's own choice,
    named in the caveats.

    Examples
    --------
    >>> read_fit("no_such_file.fit")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    coachlib.errors.FileProblem: the recording no_such_file.fit cannot be opened: No such file ...
    """
    return read_fit_bytes(fit_bytes(path), part=part)


def fit_bytes(path: Path | str) -> bytes:
    """The bytes of a recording, read once; files that are too large are not read.

    Raises
    ------
    FileProblem
        When the file cannot be opened, or is larger than ``LARGEST_FILE_BYTES``.

    Examples
    --------
    >>> fit_bytes(".")
    Traceback (most recent call last):
    ...
    coachlib.errors.FileProblem: the recording . is not a file. Choose a FIT file.
    """
    try:
        path = Path(path)
        if path.exists() and not path.is_file():
            raise FileProblem(f"the recording {path} is not a file. Choose a FIT file.")
        with path.open("rb") as file:
            return file.read(LARGEST_FILE_BYTES + 1)
    except (OSError, ValueError, TypeError) as problem:
        reason = getattr(problem, "strerror", None) or str(problem)
        raise FileProblem(
            f"the recording {path} cannot be opened: {reason}. Check its name, and whether you may read it."
        ) from problem


def read_fit_bytes(data: bytes, *, part: int | None = None) -> Activity:
    """Read a FIT activity from the bytes of its file; as :func:`read_fit`.

    Examples
    --------
    >>> read_fit_bytes(b"")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    coachlib.errors.FileProblem: a recording must be a FIT file; this file is empty (0 bytes). ...
    """
    return chosen(read_parts(data), part)


def read_parts(data: bytes) -> tuple[Activity, ...]:
    """Every session of a FIT file that holds records, in order of time; each starts at its own first record.

    Raises
    ------
    FileProblem
        As :func:`read_fit`.

    Examples
    --------
    >>> read_parts(b"PK")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    coachlib.errors.FileProblem: a recording must be a FIT file; this file of 2 bytes does not begin like one ...
    """
    try:
        return _read(data)
    except (CoachError, MemoryError):
        raise
    except Exception as problem:  # a damaged file must never stop the coach's Monday
        raise FileProblem(
            f"this file of {len(data):,} bytes is damaged in a way that cannot be read around "
            f"({type(problem).__name__}). Copy it from the device again."
        ) from problem


def _read(data: bytes) -> tuple[Activity, ...]:
    """Container, messages, sessions, then each of them."""
    files = _activities([gather(segment) for segment in split(data)])
    sessions = [session for messages in files for session in sessions_of(messages)]
    if not any(session.rows.size for session in sessions):
        n_records = sum(messages.time.size for messages in files)
        raise FileProblem(
            f"a recording must hold records with a time; this file holds {n_records:,} records, "
            "none of them with a usable time. Copy it from the device again."
        )
    parts = parts_of(sessions)
    caveats = [caveat for messages in files for caveat in _file_caveats(messages, len(data))]
    caveats += _separate_heart_rate(files)
    sha256 = hashlib.sha256(data).hexdigest()
    return tuple(
        _activity(session, parts, number, caveats, sha256)
        for number, session in enumerate(sessions)
        if session.rows.size
    )


def _activities(files: list[Messages]) -> list[Messages]:
    """The files that are activities, or may be: a damaged one may not say so."""
    kept = [messages for messages in files if messages.kind in ("activity", None, "")]
    if not kept:
        kind = (files[0].kind or "").replace("_", " ")
        raise NoSession(
            f"a recording must be an activity; this FIT file is of the kind “{kind}”. "
            "Choose the activity's own file."
        )
    return kept


def _file_caveats(messages: Messages, n_bytes: int) -> list[Code]:
    """What is odd about one file as a whole."""
    caveats = list(messages.segment.caveats)
    ok = messages.is_trusted
    n_records = int(messages.time.size)
    if messages.damaged_at_byte is not None:
        last = _instant(float(messages.time[ok][-1])) if ok.any() else None
        caveats.append(
            code(
                "file damaged",
                n_records=n_records,
                at_byte=messages.damaged_at_byte,
                n_bytes=n_bytes,
                last_good_utc=f"{last:%Y-%m-%d %H:%M:%S}" if last else "",
            )
        )
    n_untimed = n_records - int(np.count_nonzero(ok))
    if n_untimed and ok.any():
        caveats.append(code("records without time", n_records=n_untimed))
    if messages.n_not_numbers:
        caveats.append(code("values no numbers", n_values=messages.n_not_numbers))
    return caveats


def _separate_heart_rate(files: list[Messages]) -> list[Code]:
    """A code where heart rate came, but not with the records."""
    has_heart_rate = any((messages.samples["hr_bpm"] > 0).any() for messages in files)
    if has_heart_rate or not any(messages.n_heart_rate_messages for messages in files):
        return []
    return [code("heart rate apart")]


def _instant(clock_s: float) -> datetime:
    return FIT_EPOCH + timedelta(seconds=clock_s)


def _activity(
    session: Session, parts: tuple[Part, ...], number: int, caveats: list[Code], sha256: str
) -> Activity:
    """One session of a file as an activity."""
    messages = session.messages
    timer = timer_pauses(messages, float(np.median(session.times)))
    samples, start, odd_samples = samples_of(session, timer)
    time_s = samples["time_s"].to_numpy()
    stop = start + float(time_s[-1])
    laps, n_undated_laps = laps_of(session, start, stop)
    rr_s, rr_time_s = beats_of(session, start) if messages.beat_s.size else (np.zeros(0), np.zeros(0))
    started_at, utc_offset_s, odd_dates = _dates(messages, start)
    pauses = pauses_of(time_s, timer, start)
    found = [*caveats, *odd_samples, *odd_dates]
    if len(parts) > 1:
        found.append(code("several sessions", sports=tuple(p.sport for p in parts), part=number))
    if session.is_derived:
        found.append(code("session not summed up"))
    elif (differing := totals_caveat(samples, pauses, session.totals)) is not None:
        found.append(differing)
    if n_undated_laps:
        found.append(code("laps without start", n_laps=n_undated_laps))
    is_indoor = session.sub_sport.startswith("indoor_") or session.sub_sport in _INDOOR
    return Activity(
        samples=samples,
        laps=laps,
        pauses=pauses,
        rr_s=rr_s,
        rr_time_s=rr_time_s,
        started_at=started_at,
        utc_offset_s=utc_offset_s,
        sport=session.sport,
        sub_sport=session.sub_sport,
        is_indoor=bool(is_indoor or not messages.has_position[session.rows].any()),
        sha256=sha256,
        part=number,
        parts=parts,
        device=messages.serial,
        heart_rate_sensor=messages.sensor("heart rate"),
        power_sensor=messages.sensor("power"),
        stride_sensor=messages.sensor("stride"),
        n_developer_fields=len(messages.developer_fields),
        totals=session.totals,
        caveats=tuple(dict.fromkeys(found)),
    )


def _dates(messages: Messages, start: float) -> tuple[datetime, float | None, list[Code]]:
    """When the session started, local time minus UTC where that is sane, and what is odd about the clock."""
    offset = messages.closed_at_local - messages.closed_at
    if start < CLOCK_SET_S:
        # The moment of closing, in local time, is the only date such a file knows.
        is_dated = messages.closed_at < CLOCK_SET_S <= messages.closed_at_local
        caveat = code("counted from power-on", is_dated=bool(is_dated))
        return _instant(start + offset if is_dated else start), None, [caveat]
    is_sane = abs(offset) <= LARGEST_UTC_OFFSET_S and offset % 900.0 == 0.0
    is_odd = offset == offset and not is_sane
    return _instant(start), offset if is_sane else None, [code("local time odd")] if is_odd else []
