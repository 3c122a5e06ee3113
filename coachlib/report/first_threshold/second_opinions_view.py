"""What other signs say about the first threshold, beside what drift says: a sentence and a small table."""

from collections.abc import Sequence
from datetime import date

from coachlib.analysis.first_threshold.agreement import AGREES, DISAGREES, Held
from coachlib.analysis.first_threshold.second_opinions import BEATS, LACTATE, RAMP, TALK_TEST, Opinion
from coachlib.measures.first_threshold.alpha1_threshold import FIRST_THRESHOLD_ALPHA1, SteadyAlpha1
from coachlib.report.look.tables import table
from coachlib.report.look.text import escape
from coachlib.report.page.blocks import Html
from coachlib.report.words import wording

#: What the section needs beyond the letter's own style.
STYLE = "<style>.letter table+.small{margin-top:.8rem}</style>"
#: Each sign as it stands in a sentence, and its verbs.
_NAMED = {
    TALK_TEST: ("the talk test", "agrees", "disagrees", "is"),
    BEATS: ("beat intervals", "agree", "disagree", "are"),
    RAMP: ("the ramp with beat intervals", "agrees", "disagrees", "is"),
    LACTATE: ("lactate steps", "agree", "disagree", "are"),
}
_EXPLAINED = {
    TALK_TEST: (
        "Talk test: “comfortable” speaks for below the first threshold, “equivocal” for near it, “not” for above it. "
        "Common practice; in 18 trained cyclists the equivocal answer fell at 148 bpm and the ventilatory threshold at "
        "150, with about 7 bpm of scatter."
    ),
    BEATS: (
        f"Beat intervals: alpha1 says how much each interval follows from those before it. It falls as intensity rises, "
        f"through about {FIRST_THRESHOLD_ALPHA1} at the first threshold; read in the first 20 minutes of the window. The "
        "brackets hold nine people in ten."
    ),
    RAMP: (
        f"Ramp: the heart rate at which alpha1 falls through {FIRST_THRESHOLD_ALPHA1}. One ramp differs from the next by 8 "
        "to 9 bpm, and studies found it 2 to 16 bpm above the laboratory's first threshold, hence the wide brackets."
    ),
    LACTATE: (
        "Lactate: the middle of the methods whose answers usually lie near the first threshold. The brackets hold "
        "their spread and a day's scatter of heart rate."
    ),
}
_OF_THE_ESTIMATE = (
    "None of these moves the estimate. “Disagrees” is said only where its own scatter and that of the tests "
    "together do not explain the distance."
)
_OF_A_TEST = "None of these changes the result of the test."


def agreement(held: Sequence[Held]) -> str:
    """Which other signs agree and which do not, in a sentence or two; "" where none can tell.

    Parameters
    ----------
    held : sequence of Held
        Opinions held against drift; doubtful ones do not count.

    Notes
    -----
    Signs are counted by what they are read from, not by how often.

    Examples
    --------
    >>> agreement(())
    ''
    """
    sides: dict[str, list[str]] = {AGREES: [], DISAGREES: [], "divided": []}
    several_days = len({h.opinion.on for h in held}) > 1
    for source, (name, _, disagrees, is_) in _NAMED.items():
        days = {v: _days(held, source, v) for v in (AGREES, DISAGREES)}
        if days[AGREES] and days[DISAGREES]:
            told = f"{name} {is_} divided: for it on {days[AGREES]}, against it on {days[DISAGREES]}"
            sides["divided"].append(told)
        elif days[AGREES]:
            sides[AGREES].append(name)
        elif days[DISAGREES]:
            when = f" ({days[DISAGREES]})" if several_days else ""
            sides[DISAGREES].append(f"{name} {disagrees}{when}")
    said = []
    if len(sides[AGREES]) == 1:
        said.append(f"another sign agrees: {sides[AGREES][0]}")
    elif sides[AGREES]:
        said.append(
            f"{wording.count(len(sides[AGREES]), 'other sign')} agree: {wording.listed(sides[AGREES])}"
        )
    said += [f"{told}; see “Other opinions”" for told in (*sides[DISAGREES], *sides["divided"])]
    return " ".join(f"{s[0].upper()}{s[1:]}." for s in said)


def _days(held: Sequence[Held], source: str, verdict: str) -> str:
    """The days on which a sign that is not in doubt came to a verdict."""
    days: list[date] = [
        h.opinion.on
        for h in held
        if h.opinion.source == source and h.verdict == verdict and not h.opinion.is_doubtful
    ]
    return wording.listed([wording.short_date(on) for on in days])


def other_opinions(held: Sequence[Held], *, silent: Sequence[str] = (), of_one_test: bool = False) -> Html:
    """One row a sign: what and when, at which heart rate, what it says, whether drift agrees; empty without any.

    Parameters
    ----------
    held : sequence of Held
        Opinions held against drift.
    silent : sequence of str
        Why a sign that was there has no opinion, in sentences.
    of_one_test : bool
        Whether they stand beside one test instead of a series.

    Examples
    --------
    >>> other_opinions(())
    ''
    """
    if not held and not silent:
        return Html("")
    sure = [h for h in held if not h.opinion.is_doubtful]
    drift = "Drift of this test" if of_one_test else "Drift series"
    rows = [
        (h.opinion.source if of_one_test else _what(h.opinion), _at(h.opinion), _says(h.opinion), h.verdict)
        for h in sure
    ]
    told = (
        table(
            ("Sign", "At", "It says", drift),
            rows,
            caption="Below, near or above the first threshold, and whether drift agrees",
        )
        if rows
        else ""
    )
    aside = [
        f"In doubt, {wording.percent(_flagged(h.opinion))} of beats look like artefacts: {_what(h.opinion)} at "
        f"{_at(h.opinion)}: {_says(h.opinion)}."
        for h in held
        if h.opinion.is_doubtful
    ]
    aside += [f"No opinion: {s[:1].lower()}{s[1:]}" for s in silent]
    used = {h.opinion.source for h in held}
    read = "".join(
        f'<p class="small">{escape(words)}</p>' for name, words in _EXPLAINED.items() if name in used
    )
    if held:
        aside.append(_OF_A_TEST if of_one_test else _OF_THE_ESTIMATE)
        read = f"<details><summary>How these are read</summary>{read}</details>"
    small = "".join(f'<p class="small">{escape(line)}</p>' for line in aside)
    return Html(f"{STYLE}<h2>Other opinions</h2>{told}{small}{read}")


def _what(opinion: Opinion) -> str:
    day = wording.short_date(opinion.on).replace(" ", "\N{NO-BREAK SPACE}")
    return f"{opinion.source}, {day}"


def _at(opinion: Opinion) -> str:
    """The heart rate; of a value with its 90 % interval."""
    if not opinion.is_value:
        return wording.heart_rate(opinion.hr_bpm)
    return f"{wording.heart_rate(opinion.hr_bpm)} ({opinion.hr_low_bpm:.0f} to {opinion.hr_high_bpm:.0f})"


def _says(opinion: Opinion) -> str:
    """What was read, and the side it speaks for."""
    read = opinion.reading
    if isinstance(read, str):
        return f"{read}: {opinion.says}"
    if isinstance(read, SteadyAlpha1):
        return f"alpha1 {read.alpha1:.2f} ({read.low:.2f} to {read.high:.2f}): {opinion.says}"
    if isinstance(read, tuple):
        return f"{wording.count(len(read), 'method')}: {opinion.says}"
    return f"alpha1 falls through {FIRST_THRESHOLD_ALPHA1}: {opinion.says}"


def _flagged(opinion: Opinion) -> float:
    """Share of beats that look like artefacts."""
    return 0.0 if isinstance(opinion.reading, str | tuple) else opinion.reading.flagged_frac
