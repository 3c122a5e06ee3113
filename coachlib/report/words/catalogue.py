"""Every code's sentence, from one place: the same thing is said in the same words on every page.

A module of this folder that says things has a table ``SENTENCES``: a code's name, and the function that makes
its sentence from the code's values.  Another language is another set of these tables.
"""

from collections.abc import Callable, Mapping
from functools import cache
from importlib import import_module

from coachlib.measures.common.codes import Code

#: Makes the sentence of one code.
Sentence = Callable[..., str]
#: The modules of this folder with a table of sentences; they may ask this one for other sentences in turn.
NOUNS = (
    "check", "files", "first_threshold", "one_thing", "plan", "recording", "roster", "season", "second_threshold", "two_tests",
    "week", "zones",
)  # fmt: skip


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


@cache
def sentences() -> dict[str, Sentence]:
    """Every code's sentence, by the code's name."""
    return joined(*(import_module(f"coachlib.report.words.{noun}").SENTENCES for noun in NOUNS))


@cache
def ways_out() -> dict[str, Sentence]:
    """How what a code says is settled, by the code's name, where there is a way."""
    return joined(
        *(getattr(import_module(f"coachlib.report.words.{noun}"), "WAYS_OUT", {}) for noun in NOUNS)
    )


def sentence(code: Code) -> str:
    """What a code says: lower case to begin with, no full stop at its end, so that it can stand in a list."""
    return sentences()[code.name](**dict(code.values))


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
    return ways_out()[code.name](**dict(code.values))
