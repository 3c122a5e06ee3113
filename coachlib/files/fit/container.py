"""The outside of a FIT file: what kind of file it is, where its parts lie, whether its checksum fits.

A FIT file is a header (12 or 14 bytes), a body of messages, and a checksum of two bytes; several may
follow one another.  A recorder that was switched off leaves the header's size at zero and no checksum.

Source
------
Layout and checksum: the open FIT protocol (file header, CRC-16 with polynomial 0xA001, reflected).  The
repairs are this project's own choice: everything that was written is worth reading.
"""

import functools
import math
import struct
from dataclasses import dataclass

import numpy as np

from coachlib.errors import FileProblem
from coachlib.measures.common.codes import Code, code

#: Larger files are refused: a day-long recording with every sensor has about 6 MB, and this one takes 2 to 3 s.
#: [bytes]
LARGEST_FILE_BYTES = 50_000_000

#: More files than this behind one another are not read.
MOST_SEGMENTS = 50

_MAGIC = b".FIT"
_HEADER = struct.Struct("<BBHI4s")
#: The checksum at the end of a FIT file.  [bytes]
FOOTER_BYTES = 2
#: How a body begins in practice: define local message 0; tells 12-byte headers from 14-byte ones.
_FIRST_DEFINITION = b"\x40\x00"


@dataclass(frozen=True, slots=True, kw_only=True)
class Segment:
    """One FIT file inside the bytes, made whole: ``data`` has a true header, the body and a checksum.

    ``start`` is where it begins in the bytes that were read; ``may_end_in_checksum`` where the end is a
    guess, so that the last two bytes may be a checksum and no message.
    """

    data: bytes
    start: int
    next_start: int
    may_end_in_checksum: bool
    caveats: tuple[Code, ...]

    @property
    def body_start(self) -> int:
        """Where the messages begin in ``data``."""
        return self.data[0]


def split(data: bytes) -> list[Segment]:
    """Every FIT file inside the bytes, repaired where only the container is damaged.

    Raises
    ------
    FileProblem
        When the bytes are too many, or are not a FIT file; says what they look like.
    """
    if len(data) > LARGEST_FILE_BYTES:
        raise FileProblem(
            f"a recording may have {LARGEST_FILE_BYTES / 1e6:.0f} MB; this file has more. "
            "Export the activity again, or cut it."
        )
    if not _has_header(data, 0):
        raise FileProblem(_what_it_is(data))
    segments = [_segment(data, 0)]
    while len(segments) < MOST_SEGMENTS and _header_fits(data, segments[-1].next_start):
        segments.append(_segment(data, segments[-1].next_start))
    return segments


def checksum(data: bytes) -> int:
    """The FIT protocol's checksum of some bytes: of many stretches side by side, then put together.

    The checksum is linear: that of a whole is that of its first part, moved on by the second part's length,
    combined with that of the second.  Zeros in front change nothing.

    Examples
    --------
    >>> hex(checksum(b"123456789"))
    '0xbb3d'
    """
    table = _checksum_table()
    lanes = max(1, math.isqrt(len(data)))
    steps = -(-len(data) // (2 * lanes))
    words = np.frombuffer(bytes(2 * lanes * steps - len(data)) + data, dtype="<u2").reshape(lanes, steps)
    bits = (1 << np.arange(16)).astype(np.uint16)
    register = np.concatenate((np.zeros(lanes, dtype=np.uint16), bits))
    for step in np.ascontiguousarray(words.T):
        register[:lanes] ^= step
        register = table[register]
    low, high = _combinations(register[lanes : lanes + 8]), _combinations(register[lanes + 8 :])
    crc = 0
    for stretch in register[:lanes].tolist():
        crc = low[crc & 0xFF] ^ high[crc >> 8] ^ stretch
    return crc


def _combinations(of_bits: np.ndarray) -> list[int]:
    """For every byte what its bits' values make together."""
    total = np.zeros(256, dtype=np.uint16)
    for bit, value in enumerate(of_bits):
        total ^= np.where(np.arange(256) >> bit & 1, value, np.uint16(0))
    return [int(entry) for entry in total]


@functools.cache
def _checksum_table() -> np.ndarray:
    """What every 16-bit register becomes after 16 steps."""
    register = np.arange(65536)
    for _ in range(16):
        register = (register >> 1) ^ (0xA001 * (register & 1))
    return register.astype(np.uint16)


def _has_header(data: bytes, start: int) -> bool:
    return data[start + 8 : start + 12] == _MAGIC


def _header_fits(data: bytes, start: int) -> bool:
    """Whether a header that was not asked for can be trusted: its sizes are possible."""
    if start < 0 or start + _HEADER.size > len(data):
        return False
    header_bytes, _, _, body_bytes, magic = _HEADER.unpack_from(data, start)
    fits = start + header_bytes + body_bytes <= len(data)
    return magic == _MAGIC and header_bytes in (12, 14) and fits


def _next_header(data: bytes, start: int) -> int:
    """Where the next trustworthy header begins, or the end of the bytes; all that may be one are looked at at once."""
    if data.find(_MAGIC, start + 8) < 0:
        return len(data)
    text = np.frombuffer(data, np.uint8, offset=start)
    n_places = text.size - _HEADER.size + 1
    is_magic = np.ones(max(0, n_places), dtype=bool)
    for offset, letter in enumerate(_MAGIC, start=8):
        is_magic &= text[offset : offset + n_places] == letter
    places = np.flatnonzero(is_magic)
    body_bytes = sum(text[places + 4 + byte].astype(np.int64) << 8 * byte for byte in range(4))
    header_bytes = text[places].astype(np.int64)
    fits = np.isin(header_bytes, (12, 14)) & (places + header_bytes + body_bytes <= text.size)
    return start + int(places[fits][0]) if fits.any() else len(data)


def _segment(data: bytes, start: int) -> Segment:
    """The FIT file that begins at ``start``, with a header that is true."""
    header_bytes, protocol, profile, announced, _ = _HEADER.unpack_from(data, start)
    caveats: list[Code] = []
    if header_bytes not in (12, 14):
        caveats.append(code("header mended", found_bytes=header_bytes))
        header_bytes = 12 if data[start + 12 : start + 14] == _FIRST_DEFINITION else 14
    body = start + header_bytes
    stop, next_start, caveat = _extent(data, start, body, announced)
    messages = data[body:stop]
    header = _HEADER.pack(header_bytes, protocol, profile, len(messages), _MAGIC) + bytes(header_bytes - 12)
    return Segment(
        data=header + messages + bytes(FOOTER_BYTES),
        start=start,
        next_start=next_start,
        may_end_in_checksum=next_start == stop,
        caveats=(*caveats, caveat) if caveat else tuple(caveats),
    )


def _extent(data: bytes, start: int, body: int, announced: int) -> tuple[int, int, Code | None]:
    """Where the messages end, where the next file may begin (the same where that is a guess), a caveat."""
    stop = body + announced
    if announced == 0 or stop > len(data):
        stop = _next_header(data, body)
        return stop, stop, code("file cut", announced_bytes=announced, found_bytes=max(0, stop - body))
    footer = stop + FOOTER_BYTES
    if footer > len(data):
        return stop, footer, code("checksum missing")
    fits = checksum(data[start:stop]) == int.from_bytes(data[stop:footer], "little")
    leftover = 0 if _has_header(data, footer) else len(data) - footer
    if leftover and not fits:
        stop = _next_header(data, footer)
        return stop, stop, code("file goes on", n_bytes=leftover)
    if leftover:
        return stop, footer, code("bytes left unread", n_bytes=leftover)
    return stop, footer, None if fits else code("checksum wrong")


def _what_it_is(data: bytes) -> str:
    """A sentence for bytes that are not a FIT file."""
    asked = "a recording must be a FIT file"
    if not data:
        return f"{asked}; this file is empty (0 bytes). Copy it from the device again."
    start = data[:4096].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if data[:2] == b"\x1f\x8b":
        return f"{asked}; this one is packed (gzip). Unpack it first and add the FIT file inside."
    if data[:4] == b"PK\x03\x04":
        return f"{asked}; this one is a zip archive. Unpack it first and add the FIT file inside."
    if start.startswith((b"<!doctype html", b"<html")):
        return f"{asked}; this one is a web page (HTML), perhaps an error page. Download the activity again."
    if start.startswith(b"<"):
        kind = "GPX" if b"<gpx" in start else "XML"
        return f"{asked}; this one is in another format ({kind}). Export the device's original FIT file."
    return (
        f'{asked}; this file of {len(data):,} bytes does not begin like one (no ".FIT" at byte 8). '
        "Copy it from the device again."
    )
