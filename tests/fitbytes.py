"""A tiny writer of FIT bytes for tests: messages as lists of (field number, type, raw value).

Only what the open FIT protocol says: header, definitions, data, checksum.  Field numbers and raw values
(scaled, offset) are the caller's business; helpers below know those of the messages used here.
"""

import struct

#: name -> (base type number, struct format, invalid value)
TYPES = {
    "enum": (0x00, "B", 0xFF),
    "sint8": (0x01, "b", 0x7F),
    "uint8": (0x02, "B", 0xFF),
    "sint16": (0x83, "h", 0x7FFF),
    "uint16": (0x84, "H", 0xFFFF),
    "sint32": (0x85, "i", 0x7FFFFFFF),
    "uint32": (0x86, "I", 0xFFFFFFFF),
    "uint32z": (0x8C, "I", 0),
    "uint16z": (0x8B, "H", 0),
    "float64": (0x89, "d", None),
    "string": (0x07, "s", None),
    "byte": (0x0D, "B", 0xFF),
}

#: 2026-10-03 07:00:00 UTC on the clock of FIT files. [s]
START = 1_159_945_200

RUNNING, CYCLING, TRANSITION, SWIMMING = 1, 2, 3, 5
GENERIC, TREADMILL, INDOOR_CYCLING = 0, 1, 6


def crc(data: bytes) -> int:
    """The protocol's checksum, one bit a step: slow, and written from its definition."""
    register = 0
    for byte in data:
        register ^= byte
        for _ in range(8):
            register = (register >> 1) ^ (0xA001 if register & 1 else 0)
    return register


class FitBytes:
    """Collects messages; ``bytes()`` gives the file."""

    def __init__(self):
        self.body = b""
        self._definitions = {}

    def message(self, number, *fields, local=None):
        """Append a message of (field number, type, value) fields; None is the type's invalid value."""
        layout = tuple((n, kind, len(v) if isinstance(v, (tuple, bytes)) else 1) for n, kind, v in fields)
        local = self._local(number) if local is None else local
        if self._definitions.get(local) != (number, layout):
            self._definitions[local] = (number, layout)
            self.body += struct.pack("<BBBHB", 0x40 | local, 0, 0, number, len(fields))
            for field, kind, count in layout:
                base, form, _ = TYPES[kind]
                self.body += struct.pack("BBB", field, count * struct.calcsize("<" + form), base)
        self.body += bytes([local])
        for _, kind, value in fields:
            _, form, invalid = TYPES[kind]
            if kind == "string":
                self.body += value
                continue
            for single in value if isinstance(value, tuple) else (value,):
                self.body += struct.pack("<" + form, invalid if single is None else single)
        return self

    def _local(self, number):
        return {0: 0, 18: 1, 19: 2, 20: 3, 21: 4, 34: 5, 78: 6, 23: 7, 12: 8}.get(number, 9)

    def file_id(self, kind=4, serial=12345, created=START):
        return self.message(
            0, (0, "enum", kind), (1, "uint16", 255), (3, "uint32z", serial), (4, "uint32", created)
        )

    def device(self, index, kind=None, *, serial=None, number=None, source=None):
        """A device or connected sensor; ``kind`` is its device type, ``source`` how it is connected."""
        return self.message(
            23,
            (253, "uint32", START),
            (0, "uint8", index),
            (1, "uint8", kind),
            (3, "uint32z", serial),
            (21, "uint16z", number),
            (25, "enum", source),
        )

    def record(self, at, hr=None, *extra):
        return self.message(20, (253, "uint32", at), (3, "uint8", hr), *extra)

    def timer(self, at, event_type):
        return self.message(21, (253, "uint32", at), (0, "enum", 0), (1, "enum", event_type))

    def beats(self, *intervals_s):
        raw = tuple(None if s is None else round(s * 1000) for s in intervals_s)
        return self.message(78, (0, "uint16", raw if len(raw) > 1 else raw[0]))

    def lap(self, start, elapsed_s, *, stamped=None):
        stamp = start + int(elapsed_s) if stamped is None else stamped
        elapsed = None if elapsed_s is None else round(elapsed_s * 1000)
        return self.message(19, (253, "uint32", stamp), (2, "uint32", start), (7, "uint32", elapsed))

    def session(self, start, elapsed_s, sport=RUNNING, sub_sport=GENERIC):
        return self.message(
            18,
            (253, "uint32", start),
            (2, "uint32", start),
            (7, "uint32", round(elapsed_s * 1000)),
            (5, "enum", sport),
            (6, "enum", sub_sport),
        )

    def activity(self, at, local_at):
        return self.message(34, (253, "uint32", at), (5, "uint32", local_at))

    def bytes(self, *, header=14, announced=None, footer=None):
        """The file; sizes and checksum can be given wrong on purpose (``footer`` b"" leaves it out)."""
        size = len(self.body) if announced is None else announced
        head = struct.pack("<BBHI4s", header, 0x20, 2132, size & 0xFFFFFFFF, b".FIT") + (
            b"\0\0" if header != 12 else b""
        )
        data = head + self.body
        return data + (struct.pack("<H", crc(data)) if footer is None else footer)


def steady_run(seconds=600, *, hr=140, sport=RUNNING, sub_sport=TREADMILL):
    """A plain recording, one record a second, with one lap and one session."""
    fit = FitBytes().file_id()
    fit.timer(START, 0)
    for s in range(seconds):
        fit.record(START + s, hr)
    fit.timer(START + seconds - 1, 4)
    fit.lap(START, seconds - 1).session(START, seconds - 1, sport, sub_sport)
    return fit.activity(START + seconds - 1, START + seconds - 1 + 7200)
