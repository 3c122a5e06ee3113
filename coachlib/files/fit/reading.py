"""Reading a FIT activity file.

Whatever the bytes, the answer is an :class:`~coachlib.records.activity.Activity`, with caveats that say
what was salvaged, skipped or odd, or a :class:`~coachlib.errors.FileProblem` that says what the file is.
Everything that was written before damage is kept.
"""

import hashlib
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from coachlib.errors import CoachError, FileProblem
from coachlib.files.fit.container import LARGEST_FILE_BYTES, split
from coachlib.files.fit.messages import Messages, gather
from coachlib.files.fit.parts import CLOCK_SET_S, Session, choose, listed, parts_of, sessions_of, trusted
from coachlib.files.fit.samples import samples_of
from coachlib.files.fit.stretches import beats_of, laps_of, pauses_of, timer_pauses
from coachlib.records.activity import Activity, Part

#: Rises when the same bytes give another activity.
READER_VERSION = 2

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
    try:
        return _read(data, part)
    except (CoachError, MemoryError):
        raise
    except Exception as problem:  # a damaged file must never stop the coach's Monday
        raise FileProblem(
            f"this file of {len(data):,} bytes is damaged in a way that cannot be read around "
            f"({type(problem).__name__}). Copy it from the device again."
        ) from problem


def _read(data: bytes, part: int | None) -> Activity:
    """Container, messages, sessions, then one of them."""
    segments = split(data)
    files = _activities([gather(segment) for segment in segments])
    sessions = [session for messages in files for session in sessions_of(messages)]
    if not any(session.rows.size for session in sessions):
        n_records = sum(len(messages.time) for messages in files)
        raise FileProblem(
            f"a recording must hold records with a time; this file holds {n_records:,} records, "
            "none of them with a usable time. Copy it from the device again."
        )
    parts = parts_of(sessions)
    number = choose(parts, sessions, part)
    caveats = [caveat for messages in files for caveat in _file_caveats(messages, len(data))]
    caveats += _separate_heart_rate(files)
    if len(parts) > 1:
        caveats.append(_part_caveat(parts, number, part))
    return _activity(sessions[number], parts, number, caveats, hashlib.sha256(data).hexdigest())


def _activities(files: list[Messages]) -> list[Messages]:
    """The files that are activities, or may be: a damaged one may not say so."""
    kept = [messages for messages in files if messages.kind in ("activity", None, "")]
    if not kept:
        kind = (files[0].kind or "").replace("_", " ")
        raise FileProblem(
            f"a recording must be an activity; this FIT file is of the kind “{kind}”. "
            "Choose the activity's own file."
        )
    return kept


def _file_caveats(messages: Messages, n_bytes: int) -> list[str]:
    """What is odd about one file as a whole."""
    caveats = list(messages.segment.caveats)
    time = messages.time
    ok = trusted(time)
    if messages.damaged_at_byte is not None:
        last = (
            f"; the last good time is {_instant(float(time[ok][-1])):%Y-%m-%d %H:%M:%S} UTC"
            if ok.any()
            else ""
        )
        caveats.append(
            f"{time.size:,} records were read before byte {messages.damaged_at_byte:,} of {n_bytes:,}, "
            f"where the file is damaged{last}"
        )
    n_untimed = int(time.size - np.count_nonzero(ok))
    if n_untimed and ok.any():
        caveats.append(f"{n_untimed:,} records have no time or one that cannot be; they were left out")
    if messages.n_not_numbers:
        caveats.append(
            f"{messages.n_not_numbers:,} values are not numbers, or no beat intervals; they count as missing"
        )
    return caveats


def _separate_heart_rate(files: list[Messages]) -> list[str]:
    """A sentence where heart rate came, but not with the records."""
    has_heart_rate = any((messages.samples["hr_bpm"] > 0).any() for messages in files)
    if has_heart_rate or not any(messages.n_heart_rate_messages for messages in files):
        return []
    return [
        "the file brings its heart rate in separate messages, as some chest straps do after a swim; "
        "these are not read"
    ]


def _part_caveat(parts: tuple[Part, ...], number: int, asked: int | None) -> str:
    """Which of several sessions this is."""
    why = "as was asked for" if asked is not None else "the one with the most heart rate"
    return f"the file holds {len(parts)} sessions, {listed(parts)}; this is session {number}, {why}"


def _instant(clock_s: float) -> datetime:
    return FIT_EPOCH + timedelta(seconds=clock_s)


def _activity(
    session: Session, parts: tuple[Part, ...], number: int, caveats: list[str], sha256: str
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
    has_position = messages.has_position[session.rows].any()
    if session.is_derived:
        odd_dates.append("the file holds no summary of this session; it was made from the records")
    if n_undated_laps:
        odd_dates.append(f"{n_undated_laps:,} laps have no usable start; they were left out")
    is_indoor = session.sub_sport.startswith("indoor_") or session.sub_sport in _INDOOR
    return Activity(
        samples=samples,
        laps=laps,
        pauses=pauses_of(time_s, timer, start),
        rr_s=rr_s,
        rr_time_s=rr_time_s,
        started_at=started_at,
        utc_offset_s=utc_offset_s,
        sport=session.sport,
        sub_sport=session.sub_sport,
        is_indoor=bool(is_indoor or not has_position),
        sha256=sha256,
        part=number,
        parts=parts,
        device=messages.serial,
        heart_rate_sensor=messages.sensor("heart rate"),
        power_sensor=messages.sensor("power"),
        stride_sensor=messages.sensor("stride"),
        n_developer_fields=len(messages.developer_fields),
        caveats=tuple(dict.fromkeys((*caveats, *odd_samples, *odd_dates))),
    )


def _dates(messages: Messages, start: float) -> tuple[datetime, float | None, list[str]]:
    """When the session started, local time minus UTC where that is sane, and what is odd about the clock."""
    offset = messages.closed_at_local - messages.closed_at
    if start < CLOCK_SET_S:
        # The moment of closing, in local time, is the only date such a file knows.
        is_dated = messages.closed_at < CLOCK_SET_S <= messages.closed_at_local
        source = "its date is the local one at which the file was closed" if is_dated else "it knows no date"
        caveat = f"the file counts seconds since the device was switched on; {source}, so check the date"
        return _instant(start + offset if is_dated else start), None, [caveat]
    caveats = []
    started_at = _instant(start)
    if not datetime(2000, 1, 1, tzinfo=UTC) <= started_at <= datetime.now(UTC) + timedelta(days=1):
        caveats.append(f"the device's clock was not set: the file says {started_at:%Y-%m-%d}")
    is_sane = abs(offset) <= LARGEST_UTC_OFFSET_S and offset % 900.0 == 0.0
    if offset == offset and not is_sane:
        caveats.append("the file's local time does not fit its UTC time; the athlete's time zone is needed")
    return started_at, offset if is_sane else None, caveats
