"""What a check of a roster finds: each as a code, whose sentence and way out are made in ``report.words``."""

from dataclasses import dataclass
from typing import Literal

from coachlib.measures.common.codes import Code

Weight = Literal["problem", "advice"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckFinding:
    """One thing that is not as it should be.

    A "problem" makes a letter wrong or impossible; "advice" only makes it poorer.
    """

    athlete: str
    file: str
    severity: Weight
    code: Code
