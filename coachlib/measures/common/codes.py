"""What was found, as a name with its numbers: the sentence for it is made in ``report.words``, once for every reader."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Literal

Value = float | int | str | bool | date | None | tuple[str, ...] | tuple[date, ...]
#: How much a finding weighs: it leaves no result, it makes a result doubtful, or it is good to know.
Severity = Literal["void", "doubt", "note"]


@dataclass(frozen=True, slots=True)
class Code:
    """A finding, caveat, reason or refusal to tell: a name, and the numbers that go with it.

    Names are lower case with blanks, as they may stand in a list; each has one sentence in
    ``report.words.catalogue``, and a test holds the two together.

    Parameters
    ----------
    name : str
        What it is.
    values : tuple of (str, Value)
        Numbers with their unit in the name, dates, and words of the trade; see ``code``.  An instant is a text in ISO 8601,
        since what is kept as JSON is read back as it was.

    Examples
    --------
    >>> code("heat", temperature_c=26.0)["temperature_c"]
    26.0
    """

    name: str
    values: tuple[tuple[str, Value], ...] = ()

    def __getitem__(self, key: str) -> Value:
        """One of the values by its name."""
        for name, value in self.values:
            if name == key:
                return value
        raise KeyError(key)

    def __iter__(self) -> Iterator[tuple[str, Value]]:
        """The values with their names."""
        return iter(self.values)


def code(name: str, /, **values: Value) -> Code:
    """Make a code.

    Examples
    --------
    >>> code("no heart rate")
    Code(name='no heart rate', values=())
    """
    return Code(name, tuple(values.items()))


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """A code with its weight: what speaks against a result, or should be known about it."""

    code: Code
    severity: Severity

    @property
    def name(self) -> str:
        """The code's name."""
        return self.code.name


def found(name: str, severity: Severity, /, **values: Value) -> Finding:
    """Make a finding.

    Examples
    --------
    >>> found("heat", "doubt", temperature_c=26.0).code["temperature_c"]
    26.0
    """
    return Finding(code=code(name, **values), severity=severity)
