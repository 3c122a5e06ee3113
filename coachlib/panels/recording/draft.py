"""The draft of the decisions about one recording, and what it must fit."""

from dataclasses import dataclass
from typing import Any

from coachlib.errors import DecisionProblem
from coachlib.measures.common.spans import Span
from coachlib.records.decisions import Decisions, Exclusion


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """A stretch that may be left out: where, why, and which detector found it."""

    start_s: float
    stop_s: float
    reason: str
    found_by: str


@dataclass(frozen=True, kw_only=True)
class Frame:
    """What an edit must fit: the recording's length, its laps, and what the program suggests."""

    length_s: float
    suggestions: tuple[Suggestion, ...] = ()
    suggested_window: Span | None = None
    suggested_pauses: tuple[Exclusion, ...] = ()
    laps: tuple[Span, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Draft:
    """Decisions as they stand on the screen, and the suggestions (by number) that were turned down."""

    decisions: Decisions
    rejected: frozenset[int] = frozenset()


def exclusion_of(suggestion: Suggestion) -> Exclusion:
    """The exclusion that accepting a suggestion makes; it says who found it."""
    return Exclusion(
        start_s=suggestion.start_s,
        stop_s=suggestion.stop_s,
        reason=suggestion.reason,
        found_by=suggestion.found_by,
    )


def numbered(things: tuple[Any, ...], number: int, noun: str) -> Any:
    """One of several by its number from 0; a refusal names it as a person counts."""
    if not 0 <= number < len(things):
        raise DecisionProblem(f"there is no {noun} {number + 1}; there are {len(things)}.")
    return things[number]
