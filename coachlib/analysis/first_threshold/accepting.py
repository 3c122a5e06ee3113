"""A first threshold as it would be accepted from a series, and what speaks against accepting it.

Where the tests hold one end only, that end may be accepted as a bound: no value, so no zones come from it.

Source
------
Limits are this project's own choice where nothing else is said.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from coachlib.analysis.first_threshold.agreement import DISAGREES, Held
from coachlib.analysis.first_threshold.consistency import threshold_doubts
from coachlib.analysis.first_threshold.second_opinions import ABOVE, BELOW, TALK_SAYS, TALK_TEST
from coachlib.analysis.first_threshold.series import Series
from coachlib.errors import UnfitTest
from coachlib.measures.common.codes import Code, code
from coachlib.measures.first_threshold.drift_series import CRITERION_PCT
from coachlib.records.athlete import Athlete, Threshold

#: Which side of its heart rate the threshold lies on, where the tests hold one end only.
BOUND_OF: dict[str, Literal["above", "below"] | None] = {"both": None, "below": "above", "above": "below"}
#: So long above the second threshold within a test is no accident. [s]
LEAST_ABOVE_SECOND_S = 60.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """What can be accepted of a series.

    ``threshold`` is None where nothing can; ``is_bound`` where it is one end only; ``why`` says why it is no value.
    ``notes`` go into the athlete's file, ``doubts`` are what speaks against accepting it.
    """

    threshold: Threshold | None
    is_bound: bool
    why: Code | None
    notes: tuple[Code, ...]
    doubts: tuple[Code, ...]


def proposal(series: Series, athlete: Athlete, *, on: date, held: Sequence[Held] = ()) -> Proposal:
    """The threshold as it would be accepted: the best guess, or the end that the tests hold as a bound.

    Parameters
    ----------
    series : Series
        The analysed series.
    athlete : Athlete
        For the second threshold, the maximum and medicine.
    on : date
        From when it shall hold.
    held : sequence of Held
        Other signs held against the estimate.

    Notes
    -----
    A best guess that the tests do not hold is made by what is usual.

    Examples
    --------
    >>> from coachlib.analysis.first_threshold.series import analyse_series
    >>> from coachlib.analysis.first_threshold.comparability import SeriesTest
    >>> anna = Athlete(slug="anna", name="Anna", hr_max_bpm=190)
    >>> hard = SeriesTest(on=date(2026, 10, 3), first_half_bpm=165, drift_pct=9.0, se_pct=0.5, minutes=60)
    >>> found = proposal(analyse_series([hard], anna), anna, on=date(2026, 10, 4))
    >>> found.is_bound, found.why.name
    (True, 'accept as at most')
    """
    found = series.threshold
    if found.is_unresolved:
        return Proposal(threshold=None, is_bound=False, why=code("accept nothing yet"), notes=(), doubts=())
    bound = BOUND_OF[found.bounded]
    low = None if bound == "below" else float(round(found.hr_low_bpm))
    high = None if bound == "above" else float(round(found.hr_high_bpm))
    value = low if bound == "above" else high if bound == "below" else float(round(found.hr_bpm))
    out = series.output if bound is None else None
    threshold = Threshold(
        bounded=bound, which="first", on=on, hr_bpm=value or found.hr_bpm, hr_low_bpm=low,
        hr_high_bpm=high,
        speed_mps=round(out.value * 36) / 36 if out is not None and out.unit == "m/s" else None,
        grade=out.grade if out is not None else None,
        power_w=float(round(out.value)) if out is not None and out.unit == "W" else None,
        method=found.method, tests=tuple(t.test.sha256 for t in series.tests if t.test.sha256),
    )  # fmt: skip
    if series.sport:
        threshold = threshold.model_copy(update={"sport": series.sport})
    why = {None: None, "above": code("accept as at least"), "below": code("accept as at most")}[bound]
    return Proposal(
        threshold=threshold, is_bound=bound is not None, why=why, notes=_notes(series),
        doubts=doubts_about(threshold, series, athlete, held=held),
    )  # fmt: skip


def chosen_by_coach(proposed: Proposal, *, hr_bpm: float, on: date) -> Proposal:
    """The proposal with a value the coach chose inside its interval.

    Raises
    ------
    UnfitTest
        Where nothing can be accepted, a bound was given another number, or the value lies outside the interval.
    """
    threshold = proposed.threshold
    if threshold is None:
        raise UnfitTest(
            "two tests contradict each other, so nothing can be accepted from them. Repeat the test at that setting."
        )
    if proposed.is_bound and hr_bpm != threshold.hr_bpm:
        raise UnfitTest(
            f"the tests hold one end only, at {threshold.hr_bpm:g} bpm; {hr_bpm:g} bpm cannot be accepted as a value "
            f"from them. Accept the end as it is, or test on until both ends are known."
        )
    low, high = threshold.hr_low_bpm, threshold.hr_high_bpm
    if (low is not None and hr_bpm < low) or (high is not None and hr_bpm > high):
        ends = " to ".join("open" if end is None else f"{end:g}" for end in (low, high))
        raise UnfitTest(
            f"{hr_bpm:g} bpm lies outside what the tests allow ({ends} bpm). Choose a value inside."
        )
    if hr_bpm == threshold.hr_bpm:
        return Proposal(
            threshold=threshold.model_copy(update={"on": on}), is_bound=proposed.is_bound, why=proposed.why,
            notes=proposed.notes, doubts=proposed.doubts,
        )  # fmt: skip
    # speed and power belong to the proposed heart rate
    changed = {"hr_bpm": hr_bpm, "on": on, "speed_mps": None, "grade": None, "power_w": None}
    return Proposal(
        threshold=threshold.model_copy(update=changed), is_bound=False, why=None,
        notes=(*proposed.notes, code("value chosen by the coach")), doubts=proposed.doubts,
    )  # fmt: skip


def doubts_about(
    proposed: Threshold, series: Series, athlete: Athlete, *, held: Sequence[Held] = ()
) -> tuple[Code, ...]:
    """What speaks against accepting a first threshold: each a code for the page on which it is accepted."""
    return (
        *_against_the_others(proposed, series, athlete),
        *_against_tests(proposed, series),
        *_against_signs(proposed, series, held),
    )


def _against_the_others(proposed: Threshold, series: Series, athlete: Athlete) -> tuple[Code, ...]:
    """Whether it can stand beside the second threshold and the maximum; under medicine none of that says anything."""
    if athlete.medicine_on(proposed.on):
        return (code("threshold under medicine"),)
    second = athlete.threshold_on("second", proposed.on, series.sport or None)
    return threshold_doubts(proposed, second, hr_max_bpm=athlete.hr_max_bpm)


def _against_tests(proposed: Threshold, series: Series) -> list[Code]:
    found = []
    if series.threshold.contradiction is not None:
        more, less = (series.tests[i].test for i in series.threshold.contradiction)
        found.append(code("tests contradict at accepting", more_on=more.on, less_on=less.on))
    found += [
        code("minutes above the second threshold", on=t.test.on, minutes=t.test.above_second_s / 60.0)
        for t in series.tests
        if t.test.above_second_s is not None and t.test.above_second_s >= LEAST_ABOVE_SECOND_S
    ]
    return found


def _against_signs(proposed: Threshold, series: Series, held: Sequence[Held]) -> list[Code]:
    """Talk answers on the other side of the value, and other signs that disagree."""
    found = []
    for placed in series.tests:
        row, hr_bpm = placed.test.conditions, placed.reference_hr_bpm
        says = TALK_SAYS.get(row.talk) if row is not None and row.talk else None
        if (says == ABOVE and hr_bpm <= proposed.hr_bpm) or (says == BELOW and hr_bpm >= proposed.hr_bpm):
            found.append(code("talk speaks against it", on=placed.test.on, hr_bpm=hr_bpm, says=says))
    told = {c["on"] for c in found}
    return found + [
        code("sign disagrees", source=h.opinion.source, on=h.opinion.on, hr_bpm=h.opinion.hr_bpm)
        for h in held
        if h.verdict == DISAGREES
        and not h.opinion.is_doubtful
        and not (h.opinion.source == TALK_TEST and h.opinion.on in told)
    ]


def _notes(series: Series) -> tuple[Code, ...]:
    found = []
    if typed := sum(t.test.typed for t in series.tests):
        found.append(code("typed tests counted", n=typed))
    if series.threshold.criterion_pct != CRITERION_PCT:
        found.append(code("another criterion", criterion_pct=series.threshold.criterion_pct))
    return tuple(found)
