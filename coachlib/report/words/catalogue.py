"""Every code's sentence, from one place: the same thing is said in the same words on every page.

A module of this folder that says things has a table ``SENTENCES``: a code's name, and the function that makes
its sentence from the code's values.  Another language is another set of these tables.
"""

from collections.abc import Callable, Mapping

from coachlib.measures.common.codes import Code
from coachlib.report.words import check, roster

#: Makes the sentence of one code.
Sentence = Callable[..., str]


def joined(*tables: Mapping[str, Sentence]) -> dict[str, Sentence]:
    """One table of several.

    Raises
    ------
    ValueError
        When a name stands in two of them: it would be said in two ways.

    Examples
    --------
    >>> joined({"a": str}, {"a": str})
    Traceback (most recent call last):
    ...
    ValueError: said twice: a
    """
    found: dict[str, Sentence] = {}
    for table in tables:
        if twice := sorted(found.keys() & table.keys()):
            raise ValueError(f"said twice: {', '.join(twice)}")
        found |= table
    return found


SENTENCES: dict[str, Sentence] = joined(roster.SENTENCES, check.SENTENCES)
#: How what a code says is settled, where there is a way.
WAYS_OUT: dict[str, Sentence] = joined(roster.WAYS_OUT, check.WAYS_OUT)


def sentence(code: Code) -> str:
    """What a code says: lower case to begin with, no full stop at its end, so that it can stand in a list."""
    return SENTENCES[code.name](**dict(code.values))


def whole(code: Code) -> str:
    """What a code says as a sentence of its own."""
    said = sentence(code)
    return f"{said[:1].upper()}{said[1:]}{'' if said.endswith(('.', '!', '?')) else '.'}"


def way_out(code: Code) -> str:
    """How what a reason or a finding says is settled: lower case to begin with, no full stop at its end.

    Examples
    --------
    >>> from coachlib.measures.common.codes import code
    >>> way_out(code("question", on=None, words="", n_more=0))
    'answer it'
    """
    return WAYS_OUT[code.name](**dict(code.values))
