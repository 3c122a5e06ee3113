"""Records and beat intervals read all at once: each definition's messages are one array.

Source
------
Field numbers, scales and offsets: the open FIT protocol's profile, messages record and hrv.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from coachlib.errors import FileProblem
from coachlib.files.fit.layout import BYTES_TYPE, WHOLE_NUMBERS, Definition, Field
from coachlib.files.fit.values import LATEST_FIT_S

#: Ten days at 200 beats a minute; a file with more is refused.
MOST_BEATS = 3_000_000

RECORD, BEATS = 20, 78
TIME_FIELD = 253
#: Column of ``Activity.samples`` -> (field number, scale, offset) of what may carry it, the best one first.
NUMBERS: dict[str, tuple[tuple[int, float, float], ...]] = {
    "hr_bpm": ((3, 1, 0),),
    "speed_mps": ((73, 1000, 0), (6, 1000, 0)),
    "power_w": ((7, 1, 0),),
    "cadence_rpm": ((4, 1, 0),),
    "altitude_m": ((78, 5, 500), (2, 5, 500)),
    "distance_m": ((5, 100, 0),),
    "temperature_c": ((13, 1, 0),),
}
_FRACTION_OF_CADENCE, _LATITUDE, _LONGITUDE = 53, 0, 1
#: Speed (12 bits) and distance (12 bits, goes on counting) in three bytes.
_SPEED_AND_DISTANCE = 8
#: What a decoder takes apart into other fields; only whole numbers of it are read here.
_TAKEN_APART = (18, 28, 99)
_ONE_NUMBER = {
    TIME_FIELD,
    _FRACTION_OF_CADENCE,
    _LATITUDE,
    _LONGITUDE,
    *_TAKEN_APART,
    *(number for ways in NUMBERS.values() for number, _, _ in ways),
}


class Odd(Exception):
    """The messages are written in a way that only the decoder reads."""


@dataclass(slots=True, kw_only=True, eq=False)
class Records:
    """All records of a file, in its order; NaN where a value is not there."""

    at: np.ndarray
    time: np.ndarray
    samples: dict[str, np.ndarray]
    has_position: np.ndarray


@dataclass(slots=True, kw_only=True, eq=False)
class Clock:
    """Times by where their messages begin, in order."""

    at: np.ndarray
    time: np.ndarray

    def of(self, at: np.ndarray) -> np.ndarray:
        """Times of messages that begin there; each must have one."""
        return self.time[np.searchsorted(self.at, at)]

    def at_one(self, at: int) -> float:
        """Time of one message."""
        return float(self.time[np.searchsorted(self.at, at)])


def table(data: bytes, definition: Definition, fields: Iterable[Field]) -> np.ndarray:
    """Fields of all messages of a definition as a structured array, named by field number; nothing scaled."""
    fields = tuple(fields)
    order = ">" if definition.is_big_endian else "<"
    layout = np.dtype(
        {
            "names": [str(f.number) for f in fields],
            "formats": [_format(f, order) for f in fields],
            "offsets": [f.offset for f in fields],
            "itemsize": definition.size,
        }
    )
    rows = np.lib.stride_tricks.sliding_window_view(np.frombuffer(data, np.uint8), definition.size)
    return np.ascontiguousarray(rows[np.array(definition.at, dtype=np.int64)]).view(layout)[:, 0]


def _format(field: Field, order: str) -> str:
    kind, _ = WHOLE_NUMBERS.get(field.base, ("u1", 0))
    count = field.size // int(kind[1])
    return f"({count},){order}{kind}" if count > 1 else order + kind


def numbers(raw: np.ndarray, base: int) -> np.ndarray:
    """Whole numbers as float, NaN for what means "none"."""
    return np.where(raw == WHOLE_NUMBERS[base][1], np.nan, raw.astype(float))


def read_records(data: bytes, definitions: Sequence[Definition], clock: Clock | None) -> Records:
    """Every record's time and values; ``clock`` is what ``compressed_clock`` found.

    Raises
    ------
    Odd
        When a definition writes a value that matters in an unusual way.
    """
    used = [d for d in definitions if d.kind == RECORD and d.at]
    at = np.sort(np.concatenate([np.zeros(0, dtype=np.int64), *(d.at for d in used)]).astype(np.int64))
    found = Records(
        at=at,
        time=np.full(at.size, np.nan),
        samples={name: np.full(at.size, np.nan) for name in NUMBERS},
        has_position=np.zeros(at.size, dtype=bool),
    )
    triples = []
    for definition in used:
        rows = np.searchsorted(at, definition.at) if len(used) > 1 else np.arange(at.size)
        triples.append(_read_definition(data, definition, rows, found))
    _add_speed_and_distance(found, definitions, triples)
    if clock is not None and at.size:
        in_head = np.isnan(found.time) & (np.frombuffer(data, np.uint8)[at] >= 0x80)
        found.time[in_head] = _within(clock.of(at[in_head]))
    return found


def _check(definition: Definition) -> None:
    """Refuse what is not read here."""
    numbers_seen = [f.number for f in definition.fields]
    for f in definition.fields:
        if f.number in _ONE_NUMBER and not f.is_one_number:
            raise Odd
        if f.number == _SPEED_AND_DISTANCE and (f.base != BYTES_TYPE or f.size != 3):
            raise Odd
        if f.number in _ONE_NUMBER | {_SPEED_AND_DISTANCE} and numbers_seen.count(f.number) > 1:
            raise Odd


def _read_definition(
    data: bytes, definition: Definition, rows: np.ndarray, found: Records
) -> tuple[np.ndarray, np.ndarray]:
    """Fill the rows of one definition; gives rows and values of speed and distance in three bytes."""
    _check(definition)
    wanted = _ONE_NUMBER | {_SPEED_AND_DISTANCE}
    fields = {f.number: f for f in definition.fields if f.number in wanted}
    if not fields:
        return rows[:0], rows[:0]
    raw = table(data, definition, fields.values())
    values = {n: numbers(raw[str(n)], f.base) for n, f in fields.items() if n != _SPEED_AND_DISTANCE}
    if TIME_FIELD in values:
        found.time[rows] = _within(values[TIME_FIELD])
    for name, ways in NUMBERS.items():
        best = None
        for number, scale, offset in reversed(ways):
            if number in values:
                scaled = values[number] / scale - offset
                best = scaled if best is None else np.where(np.isnan(scaled), best, scaled)
        if best is not None:
            found.samples[name][rows] = best
    if _FRACTION_OF_CADENCE in values:
        fraction = values[_FRACTION_OF_CADENCE] / 128.0
        found.samples["cadence_rpm"][rows] += np.where((fraction > 0) & (fraction < 1), fraction, 0.0)
    if _LATITUDE in values and _LONGITUDE in values:
        found.has_position[rows] = np.isfinite(values[_LATITUDE]) & np.isfinite(values[_LONGITUDE])
    if _SPEED_AND_DISTANCE not in fields:
        return rows[:0], rows[:0]
    triple = raw[str(_SPEED_AND_DISTANCE)].astype(np.int64)
    there = (triple != 0xFF).any(axis=1)
    return rows[there], (triple @ (1, 1 << 8, 1 << 16))[there]


def _add_speed_and_distance(
    found: Records, definitions: Sequence[Definition], triples: list[tuple[np.ndarray, np.ndarray]]
) -> None:
    """Speed and distance from three bytes, where no plain field has them."""
    rows = np.concatenate([np.zeros(0, dtype=np.int64), *(r for r, _ in triples)])
    if not rows.size:
        return
    order = np.argsort(rows)
    rows, value = rows[order], np.concatenate([v for _, v in triples])[order]
    begins = [
        at
        for d in definitions
        if d.kind == RECORD and d.field(_SPEED_AND_DISTANCE) is not None
        for at in d.defined_at
    ]
    restarts = np.searchsorted(found.at[rows], np.sort(begins))  # a definition sets the count to 0
    distance = counted_on(value >> 12, bits=12, restarts=restarts[restarts < rows.size])
    for name, derived in (("speed_mps", (value & 0xFFF) / 100.0), ("distance_m", distance / 16.0)):
        column = found.samples[name]
        column[rows] = np.where(np.isnan(column[rows]), derived, column[rows])


def counted_on(low_bits: np.ndarray, *, bits: int, restarts: np.ndarray) -> np.ndarray:
    """A count of which only the low bits are written, which starts from 0 at each of ``restarts``.

    Examples
    --------
    >>> counted_on(np.array([1, 3, 2, 1]), bits=2, restarts=np.array([0])).tolist()
    [1, 3, 6, 9]
    """
    before = np.concatenate(([0], low_bits[:-1]))
    before[restarts] = 0
    total = np.cumsum((low_bits - before) & ((1 << bits) - 1))
    base = np.zeros(low_bits.size, dtype=np.int64)
    base[restarts] = np.where(restarts > 0, total[restarts - 1], 0)
    return total - np.maximum.accumulate(base)


def _within(time: np.ndarray) -> np.ndarray:
    """Times on the file's clock, NaN where they cannot be."""
    return np.where((time >= 0) & (time < LATEST_FIT_S), time, np.nan)


def read_beats(data: bytes, definitions: Sequence[Definition]) -> tuple[np.ndarray, np.ndarray]:
    """Raw beat intervals (thousandths of a second, 0xFFFF for none) and where each one's message begins.

    Raises
    ------
    Odd
        When they are not written as the profile has them.
    FileProblem
        When there are more than any heart makes in a recording.
    """
    found, at = [np.zeros(0, dtype=np.uint16)], [np.zeros(0, dtype=np.int64)]
    for definition in definitions:
        field = definition.field(0)
        if definition.kind != BEATS or not definition.at or field is None:
            continue
        if field.base != 0x84 or field.size % 2 or sum(f.number == 0 for f in definition.fields) > 1:
            raise Odd
        if len(definition.at) * (field.size // 2) > MOST_BEATS:
            raise FileProblem(
                f"a recording may hold {MOST_BEATS:,} beats; this file holds more. "
                "Export the activity again, or cut it."
            )
        raw = table(data, definition, (field,))["0"]
        raw = raw.reshape(raw.shape[0], -1)
        found.append(raw.ravel().astype(np.uint16))
        at.append(np.repeat(np.array(definition.at, dtype=np.int64), raw.shape[1]))
    beats, where = np.concatenate(found), np.concatenate(at)
    order = np.argsort(where, kind="stable")
    return beats[order], where[order]


def compressed_clock(data: bytes, definitions: Sequence[Definition]) -> Clock | None:
    """Times of messages that carry five bits of them in their head; None without any such message.

    Raises
    ------
    Odd
        When a message has its time twice, or not as one whole number.
    """
    heads = np.frombuffer(data, np.uint8)
    used = [(d, np.array(d.at, dtype=np.int64)) for d in definitions if d.at]
    if not any((heads[at] >= 0x80).any() for _, at in used):
        return None
    where, low, whole = [], [], []
    for definition, at in used:
        in_head = heads[at] >= 0x80
        field = definition.field(TIME_FIELD)
        if field is not None:
            is_twice = sum(f.number == TIME_FIELD for f in definition.fields) > 1
            if not field.is_one_number or is_twice or in_head.any():
                raise Odd
            time = numbers(table(data, definition, (field,))[str(TIME_FIELD)], field.base)
            there = np.isfinite(time)
            where.append(at[there])
            low.append(time[there].astype(np.int64) & 31)
            whole.append(time[there])
        elif in_head.any():
            where.append(at[in_head])
            low.append(heads[at[in_head]].astype(np.int64) & 31)
            whole.append(np.full(np.count_nonzero(in_head), np.nan))
    at = np.concatenate(where)
    order = np.argsort(at)
    at, low_bits, time = at[order], np.concatenate(low)[order], np.concatenate(whole)[order]
    is_whole = np.isfinite(time)
    total = np.cumsum(np.where(is_whole, 0, np.diff(low_bits, prepend=0) & 31))
    last = np.maximum.accumulate(np.where(is_whole, np.arange(at.size), -1))
    base = np.where(last >= 0, time[last] - total[last], 0.0)
    return Clock(at=at, time=total + base)
