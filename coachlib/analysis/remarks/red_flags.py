"""Words in a remark that need a physician first, in five languages, whatever else was written beside them.

A denied symptom is found like any other: whoever writes "no chest pain" has thought of it.  Nothing found is no
clearance, and nothing found is a diagnosis.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from coachlib.analysis.remarks import english, french, german, italian, spanish
from coachlib.analysis.remarks.folding import folded, sentences

#: For chest pain, a collapse or fainting help is called at once; the others ask for a physician before training.
Urgency = Literal["now", "physician first"]
URGENCIES: tuple[Urgency, ...] = ("now", "physician first")
#: Words of one rule stand no further apart. [characters]  Own choice: about ten words.
NEAR = 60
#: A sentence longer than this is shown around the words found. [characters]  Own choice.
MOST_SHOWN = 240


@dataclass(frozen=True, slots=True, kw_only=True)
class RedFlag:
    """A sentence with such words, as the athlete wrote it, and how urgent it is."""

    sentence: str
    kind: Urgency


@lru_cache(maxsize=4096)
def red_flags(remark: str) -> tuple[RedFlag, ...]:
    """Find the sentences of a remark that need a physician first, the most urgent ones first.

    Parameters
    ----------
    remark : str
        What the athlete wrote, in English, German, French, Spanish or Italian, or a mixture of them.

    Returns
    -------
    tuple of RedFlag
        Each sentence once.

    Source
    ------
    Which signs: Schwellnus, M. et al. (2022). IOC consensus statement on acute respiratory illness in athletes.
    British Journal of Sports Medicine, https://doi.org/10.1136/bjsports-2022-105759, tables 6 and 7; Gluckman, T. et
    al. (2022). Journal of the American College of Cardiology, https://doi.org/10.1016/j.jacc.2022.02.003, figure 9.
    The words are this project's own; what they find and miss is counted in ``tests/analysis/remarks``.

    Examples
    --------
    >>> [flag.kind for flag in red_flags("Good run. My chest felt heavy on the hill, strap fine.")]
    ['now']
    >>> red_flags("Chest strap too tight. Heart rate at race pace as planned.")
    ()
    """
    found = [flag for sentence in sentences(remark) for flag in _found_in(sentence)]
    return tuple(sorted(dict.fromkeys(found), key=lambda flag: flag.kind != "now"))


def _found_in(sentence: str) -> Iterator[RedFlag]:
    text = _HARMLESS.sub(lambda found: " " * len(found[0]), folded(sentence))
    likely = [language for language in _LANGUAGES if language.anchors.search(text)]
    for kind in URGENCIES:
        for patterns in (rule for language in likely for rule in language.rules[kind]):
            at = _close_together(text, patterns)
            if at is not None:
                yield RedFlag(sentence=_around(sentence, at / len(text)), kind=kind)
                return


def _around(sentence: str, where_frac: float) -> str:
    """The sentence, or of a very long one what stands around the words found."""
    if len(sentence) <= MOST_SHOWN:
        return sentence
    start = min(max(0, int(where_frac * len(sentence)) - MOST_SHOWN // 2), len(sentence) - MOST_SHOWN)
    stop = start + MOST_SHOWN
    return f"{'…' * (start > 0)}{sentence[start:stop].strip()}{'…' * (stop < len(sentence))}"


def _close_together(text: str, patterns: Sequence[re.Pattern[str]]) -> int | None:
    """Where one match of each pattern stands within ``NEAR`` letters of one of the first; None: nowhere."""
    first, *others = patterns
    for anchor in first.finditer(text):
        around = text[max(0, anchor.start() - NEAR) : anchor.end() + NEAR]
        if all(other.search(around) for other in others):
            return anchor.start()
    return None


def _compiled(*patterns: str) -> re.Pattern[str]:
    """A pattern at a word's beginning, of several alternatives."""
    return re.compile(rf"(?<![a-z0-9])(?:{'|'.join(patterns)})")


class _Language:
    """One language's rules, and the words one of which a text must hold for any rule to find anything."""

    def __init__(self, now: Sequence[tuple[str, ...]], first: Sequence[tuple[str, ...]]) -> None:
        self.anchors = _compiled(*(patterns[0] for patterns in (*now, *first)))
        self.rules: dict[Urgency, list[tuple[re.Pattern[str], ...]]] = {
            "now": [tuple(map(_compiled, patterns)) for patterns in now],
            "physician first": [tuple(map(_compiled, patterns)) for patterns in first],
        }


_WORDS = (english, german, french, spanish, italian)
_LANGUAGES = tuple(_Language(words.NOW, words.FIRST) for words in _WORDS)
_HARMLESS = _compiled(*(pattern for words in _WORDS for pattern in words.HARMLESS))
