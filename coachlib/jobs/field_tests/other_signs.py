"""Signs about the first threshold beside drift, read from an athlete's recordings: beat intervals and lactate."""

from collections.abc import Callable, Sequence
from functools import partial

from coachlib.analysis.first_threshold.second_opinions import (
    Opinion,
    beats_opinion,
    lactate_opinion,
    ramp_opinion,
)
from coachlib.analysis.recording.judged import SteadyStretch
from coachlib.analysis.second_threshold.efforts import step_test_of
from coachlib.errors import CoachError
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.field_tests.decided import Decided, decided_as
from coachlib.jobs.recordings import Recordings


def read_other_signs(
    folder: RosterFolder,
    own: AthleteFolder,
    judged: Sequence[tuple[Decided, SteadyStretch]],
    *,
    recordings: Recordings | None = None,
) -> tuple[tuple[Opinion, ...], tuple[str, ...]]:
    """Beat intervals of the drift tests and of ramps, lactate of step tests; nothing where there are none.

    Parameters
    ----------
    folder, own : RosterFolder, AthleteFolder
        Whose.
    judged : sequence of (Decided, SteadyStretch)
        The drift tests that could be judged.
    recordings : Recordings, optional
        The athlete's recordings where they were opened already.

    Returns
    -------
    opinions, silent
        What was found, and in sentences why a sign that is there says nothing.
    """
    asked: list[tuple[Decided, Callable[[], Opinion | None]]] = [
        (d, partial(beats_opinion, d.activity, d.decisions, result, on=d.on)) for d, result in judged
    ]
    asked += [
        (d, partial(ramp_opinion, d.activity, d.decisions, on=d.on))
        for d in decided_as(folder, own, "ramp", [], recordings=recordings)
    ]
    asked += [
        (d, partial(_lactate_of, d)) for d in decided_as(folder, own, "step test", [], recordings=recordings)
    ]
    opinions, silent = [], []
    for decided, ask in asked:
        try:
            opinion = ask()
        except CoachError as refusal:
            silent.append(f"{decided.path.stem}: {refusal}")
            continue
        if opinion is not None:
            opinions.append(opinion)
    return tuple(opinions), tuple(silent)


def _lactate_of(decided: Decided) -> Opinion | None:
    """What lactate of a step test says; None where no stage has any."""
    test = step_test_of(decided.activity, decided.decisions, on=decided.on)
    if test is None:
        return None
    return lactate_opinion(test.load, test.lactate_mmol_l, test.hr_bpm, on=test.on, sha256=test.sha256)
