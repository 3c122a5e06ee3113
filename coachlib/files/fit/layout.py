"""Where each message of a FIT file lies, and how its values are written: the file walked once, nothing decoded.

Source
------
Open FIT protocol: record headers (normal, compressed time), definition messages, base types with the value
that each keeps for "none".
"""

from bisect import bisect_left
from collections.abc import Callable, Collection
from dataclasses import dataclass, field

from coachlib.errors import FileProblem

#: A file with more messages is refused: ten days of a record and a beat message each second have fewer.
MOST_MESSAGES = 3_000_000
#: So are files that define their messages more often, or in more ways: measured as a second or two each.
MOST_DEFINITIONS, MOST_DIFFERENT_DEFINITIONS = 300_000, 5_000
#: Messages are counted after so many bytes; each has at least one.  [bytes]
_STRIDE = 500_000

#: Base type of whole numbers -> how numpy writes it, and the value that means "none".
WHOLE_NUMBERS: dict[int, tuple[str, int]] = {
    0x00: ("u1", 0xFF),
    0x01: ("i1", 0x7F),
    0x02: ("u1", 0xFF),
    0x83: ("i2", 0x7FFF),
    0x84: ("u2", 0xFFFF),
    0x85: ("i4", 0x7FFFFFFF),
    0x86: ("u4", 0xFFFFFFFF),
    0x0A: ("u1", 0),
    0x8B: ("u2", 0),
    0x8C: ("u4", 0),
}
BYTES_TYPE = 0x0D


@dataclass(frozen=True, slots=True)
class Field:
    """A field as a definition has it: its number, where it begins behind the message's head, size and type."""

    number: int
    offset: int
    size: int
    base: int

    @property
    def is_one_number(self) -> bool:
        """Whether it holds a single whole number."""
        return self.base in WHOLE_NUMBERS and self.size == int(WHOLE_NUMBERS[self.base][0][1])


@dataclass(slots=True, eq=False)
class Definition:
    """How a kind of message is written, and where its messages (``at``) and definitions (``defined_at``) begin.

    ``size`` is that of one message with its head; 0 where no message can be read by it.
    """

    kind: int
    is_big_endian: bool
    fields: tuple[Field, ...]
    developer_fields: tuple[tuple[int, int, int], ...]
    size: int
    written: bytes
    at: list[int] = field(default_factory=list)
    defined_at: list[int] = field(default_factory=list)

    def field(self, number: int) -> Field | None:
        """The field of a number; None where it has none."""
        return next((f for f in self.fields if f.number == number), None)


@dataclass(slots=True, kw_only=True)
class Layout:
    """Every definition that is used or not, in order, and where the first unreadable message begins, if any."""

    definitions: tuple[Definition, ...]
    damaged_at: int | None

    def cut(self, at: int) -> None:
        """Forget what begins there or behind it."""
        for d in self.definitions:
            d.at = d.at[: bisect_left(d.at, at)]
            d.defined_at = d.defined_at[: bisect_left(d.defined_at, at)]


def walk(data: bytes, start: int, stop: int) -> Layout:
    """Find every message in ``data[start:stop]``, up to the first that cannot be read.

    Raises
    ------
    FileProblem
        When there are more messages than any recording has.
    """
    known: dict[bytes, Definition] = {}
    sizes = [0] * 256
    takes: list[Callable[[int], None]] = [_nowhere] * 256
    at, damaged_at = start, None
    while at < stop and damaged_at is None:
        for_now = min(stop, at + _STRIDE)
        while at < for_now:
            head = data[at]
            if size := sizes[head]:
                takes[head](at)
                at += size
            elif head & 0xC0 == 0x40 and (end := _end_of_definition(data, at, stop)):
                written = data[at:end]
                key = bytes((head & 0x20,)) + written[1:]
                definition = known.get(key) or known.setdefault(key, _definition(written))
                definition.defined_at.append(at)
                _use(definition, head & 0x0F, sizes, takes)
                at = end
            else:
                damaged_at = at
                break
        _check_amount(known.values())
    if at > stop:  # the last message passes the end
        last = max((d for d in known.values() if d.at), key=lambda d: d.at[-1])
        damaged_at = last.at.pop()
    return Layout(definitions=tuple(known.values()), damaged_at=damaged_at)


def _check_amount(definitions: Collection[Definition]) -> None:
    """Refuse what would take too long to read."""
    n_defined = sum(len(d.defined_at) for d in definitions)
    for n_found, most, what in (
        (n_defined + sum(len(d.at) for d in definitions), MOST_MESSAGES, "messages"),
        (n_defined, MOST_DEFINITIONS, "definitions of messages"),
        (len(definitions), MOST_DIFFERENT_DEFINITIONS, "different kinds of message"),
    ):
        if n_found > most:
            raise FileProblem(
                f"a recording may hold {most:,} {what}; this file holds more. "
                "Export the activity again, or cut it."
            )


def _nowhere(at: int) -> None:
    """No message is taken by a head that was never defined."""


def _end_of_definition(data: bytes, at: int, stop: int) -> int:
    """Where a definition ends; 0 where it passes the end."""
    end = at + 6
    if end > stop:
        return 0
    end += 3 * data[end - 1]
    if data[at] & 0x20:
        if end >= stop:
            return 0
        end += 1 + 3 * data[end]
    return end if end <= stop else 0


def _definition(written: bytes) -> Definition:
    """A definition from its bytes."""
    is_big_endian = bool(written[2])
    n_fields = written[5]
    fields, offset = [], 1
    is_readable = True
    for at in range(6, 6 + 3 * n_fields, 3):
        number, size, base = written[at : at + 3]
        fields.append(Field(number, offset, size, base))
        offset += size
        is_readable &= size > 0
    developer_fields = []
    for at in range(7 + 3 * n_fields, len(written), 3):
        number, size, index = written[at : at + 3]
        developer_fields.append((index, number, size))
        offset += size
        is_readable &= size > 0
    return Definition(
        kind=int.from_bytes(written[3:5], "big" if is_big_endian else "little"),
        is_big_endian=is_big_endian,
        fields=tuple(fields),
        developer_fields=tuple(developer_fields),
        size=offset if is_readable else 0,
        written=written,
    )


def _use(definition: Definition, local: int, sizes: list[int], takes: list[Callable[[int], None]]) -> None:
    """From here on messages of this local number are written by this definition."""
    take = definition.at.append
    for head in range(local, 0x40, 0x10):
        sizes[head], takes[head] = definition.size, take
    if local < 4:
        first = 0x80 | local << 5
        sizes[first : first + 32] = [definition.size] * 32
        takes[first : first + 32] = [take] * 32
