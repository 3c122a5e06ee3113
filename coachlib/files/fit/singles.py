"""Messages that are few and of many forms (laps, sessions, events, devices): read one by one by the decoder.

They are copied, with the definitions they need, into a small FIT file of their own, so that the decoder does
not meet the thousands of records between them.
"""

import io
import struct
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from coachlib.errors import FileProblem
from coachlib.files.fit.bulk import BEATS, RECORD, TIME_FIELD, Clock, Odd
from coachlib.files.fit.layout import Definition

#: More values than this are not read one by one: about 2 s; 2,000 laps have a tenth of it.
MOST_VALUES = 1_000_000

#: A developer's own fields are described here; the decoder needs both to know their size.
_DESCRIPTIONS = (206, 207)
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
    import fitdecode  # noqa: PLC0415  takes longer to load than a stored recording to read

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
            n_values += 2 + len(frame.fields)
        elif frame.frame_type == fitdecode.FIT_FRAME_DEFINITION:
            n_values += 2 + len(frame.field_defs) + len(frame.dev_field_defs)
        else:
            continue
        if end > len(body):
            raise EOFError
        check_amount(n_values)
        yield frame, end


def check_amount(n_values: int) -> None:
    """Refuse more values than can be read one by one."""
    if n_values > MOST_VALUES:
        raise FileProblem(
            f"a recording may hold {MOST_VALUES:,} values outside plain records and beats; this file holds more. "
            "Export the activity again, or cut it."
        )


def read_singles(
    data: bytes,
    definitions: Sequence[Definition],
    clock: Clock | None,
    kinds: frozenset[int],
    take: Callable[[Any, float | None], None],
) -> int | None:
    """Give every message of some kinds to ``take``, with its time where that stands in its head.

    Returns
    -------
    int or None
        Where the first message begins that the decoder cannot read.

    Raises
    ------
    Odd
        When developer fields are no whole multiple of their type, so that the decoder would lose its place.
    """
    body, origins = _copied(data, definitions, kinds)
    frames = decoded(body)
    for origin in origins:
        try:
            frame, _ = next(frames)
        except (MemoryError, FileProblem):
            raise
        except Exception:  # the decoder's errors on damaged bytes are of every class
            return origin
        if hasattr(frame, "dev_field_defs"):
            if any(d.size % d.base_type.size for d in frame.dev_field_defs):
                raise Odd
        else:
            in_head = frame.time_offset is not None and clock is not None
            take(frame, float(clock.of(origin)) if in_head else None)
    return None


def _copied(
    data: bytes, definitions: Sequence[Definition], kinds: frozenset[int]
) -> tuple[bytes, list[int]]:
    """The messages of some kinds with their definitions, and where each began."""
    wanted = [(at, d) for d in definitions if d.kind in kinds or d.kind in _DESCRIPTIONS for at in d.at]
    wanted += [(at, d) for d in definitions if d.developer_fields for at in d.defined_at]
    wanted.sort(key=lambda item: item[0])
    check_amount(sum(2 + len(d.fields) + len(d.developer_fields) for _, d in wanted))
    pieces: list[bytes] = []
    origins: list[int] = []
    written: dict[int, Definition] = {}
    described: set[Definition] = set()  # definitions that know the latest descriptions
    for at, definition in wanted:
        head = data[at]
        local = head >> 5 & 3 if head >= 0x80 else head & 0x0F
        is_definition = head & 0xC0 == 0x40
        if is_definition and definition in described:
            continue
        if is_definition or written.get(local) is not definition:
            pieces.append(bytes((0x40 | definition.written[0] & 0x20 | local,)) + definition.written[1:])
            origins.append(at)
            written[local] = definition
            described.add(definition)
        if not is_definition:
            pieces.append(data[at : at + definition.size])
            origins.append(at)
            if definition.kind in _DESCRIPTIONS:
                described.clear()
    return b"".join(pieces), origins
