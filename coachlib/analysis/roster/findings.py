"""What a check of a roster finds: each finding with the way out of it."""

from dataclasses import dataclass
from typing import Literal

Severity = Literal["problem", "advice"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that is not as it should be.

    A "problem" makes a letter wrong or impossible; "advice" only makes it poorer.
    """

    athlete: str
    file: str
    severity: Severity
    sentence: str
    way_out: str
