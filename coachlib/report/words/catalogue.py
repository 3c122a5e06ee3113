"""Every code's sentence, from one place: the same thing is said in the same words on every page.

A module of this folder that says things has a table ``SENTENCES``: a code's name, and the function that makes
its sentence from the code's values.  Another language is another set of these tables.
"""

from collections.abc import Callable, Mapping

from coachlib.measures.common.codes import Code
from coachlib.report.words import files

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


SENTENCES: dict[str, Sentence] = joined(files.SENTENCES)


def sentence(code: Code) -> str:
    """What a code says: lower case to begin with, no full stop at its end, so that it can stand in a list."""
    return SENTENCES[code.name](**dict(code.values))


def whole(code: Code) -> str:
    """What a code says as a sentence of its own."""
    said = sentence(code)
    return f"{said[:1].upper()}{said[1:]}{'' if said.endswith(('.', '!', '?')) else '.'}"
