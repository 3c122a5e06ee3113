"""Messages that are few and of many forms (laps, sessions, events, devices): read one by one by the decoder.

Their fields that matter are copied into a small FIT file of their own, so that the decoder meets neither the
thousands of records between them nor anything that nobody needs.
"""

import io
import struct
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from coachlib.errors import FileProblem
from coachlib.files.fit.bulk import Clock
from coachlib.files.fit.layout import Definition, Field

#: More values than this are not read one by one: measured as 2 to 4 s; a day of laps of a minute has 12,000.
MOST_VALUES = 400_000
#: A message takes as long as so many values of its own.
_VALUES_A_MESSAGE = 3

#: Kind of message -> the fields that matter, with those that say what another one means (open FIT protocol,
#: profile: file_id, device_info, event, session, lap, sport, activity).
FIELDS: dict[int, frozenset[int]] = {
    0: frozenset((0, 3, 4)),
    23: frozenset((0, 1, 3, 21, 25)),
    21: frozenset((0, 1, 253)),
    18: frozenset((2, 5, 6, 7, 8, 9, 16, 17, 22)),
    19: frozenset((2, 7, 25, 39)),
    12: frozenset((0, 1)),
    34: frozenset((5, 253)),
}
_MAGIC = b".FIT"


def decoded(body: bytes) -> Iterator[tuple[Any, int]]:
    """Every frame of the messages in ``body``, and where it ends in them.

    Raises
    ------
    Exception
        Of any class, where the messages are damaged.
    FileProblem
        When they hold more values than can be read one by one in reasonable time.
    """
    import fitdecode

    header = struct.pack("<BBHI4s", 12, 0x20, 0, len(body), _MAGIC)
    stream = io.BytesIO(header + body + bytes(2))
    # The decoder's own checksum and conversions cost more than the decoding.
    reader = fitdecode.FitReader(
        stream,
        processor=None,
        check_crc=fitdecode.CrcCheck.DISABLED,
        error_handling=fitdecode.ErrorHandling.IGNORE,
    )
    n_values = 0
    for frame in reader:
        end = stream.tell() - len(header)
        if frame.frame_type == fitdecode.FIT_FRAME_DATA:
            n_values += _VALUES_A_MESSAGE + len(frame.fields)
        elif frame.frame_type == fitdecode.FIT_FRAME_DEFINITION:
            n_values += _VALUES_A_MESSAGE + len(frame.field_defs) + len(frame.dev_field_defs)
        else:
            continue
        if end > len(body):
            raise EOFError
        _check_amount(n_values)
        yield frame, end


def _check_amount(n_values: int) -> None:
    """Refuse more values than can be read one by one."""
    if n_values > MOST_VALUES:
        raise FileProblem(
            f"a recording may hold {MOST_VALUES:,} values that are not in plain records and beats; this file "
            "holds more. Export the activity again, or cut it."
        )


def read_singles(
    data: bytes,
    definitions: Sequence[Definition],
    clock: Clock | None,
    take: Callable[[Any, float | None], None],
) -> int | None:
    """Give every message of the kinds in ``FIELDS`` to ``take``, with its time where that stands in its head.

    Returns
    -------
    int or None
        Where the first message begins that the decoder cannot read.
    """
    body, origins = _copied(data, definitions)
    frames = decoded(body)
    for origin in origins:
        try:
            frame, _ = next(frames)
        except (MemoryError, FileProblem):
            raise
        except Exception:  # the decoder's errors on damaged bytes are of every class
            return origin
        if hasattr(frame, "fields"):
            take(frame, clock.at_one(origin) if clock and frame.time_offset is not None else None)
    return None


def _copied(data: bytes, definitions: Sequence[Definition]) -> tuple[bytes, list[int]]:
    """The fields that matter as messages of their own, and where each message began."""
    wanted = sorted((at, number) for number, d in enumerate(definitions) if d.kind in FIELDS for at in d.at)
    kept = [tuple(f for f in d.fields if f.number in FIELDS.get(d.kind, ())) for d in definitions]
    _check_amount(sum(_VALUES_A_MESSAGE + len(kept[number]) for _, number in wanted))
    pieces: list[bytes] = []
    origins: list[int] = []
    written: dict[int, int] = {}
    for at, number in wanted:
        head = data[at]
        local = head >> 5 & 3 if head >= 0x80 else head & 0x0F
        if written.get(local) != number:
            written[local] = number
            pieces.append(_redefined(definitions[number], kept[number], local))
            origins.append(at)
        pieces.append(data[at : at + 1])
        pieces += [data[at + f.offset : at + f.offset + f.size] for f in kept[number]]
        origins.append(at)
    return b"".join(pieces), origins


def _redefined(definition: Definition, kept: Sequence[Field], local: int) -> bytes:
    """A definition with the fields that matter only."""
    head = bytes((0x40 | local,)) + definition.written[1:5] + bytes((len(kept),))
    return head + b"".join(bytes((f.number, f.size, f.base)) for f in kept)
