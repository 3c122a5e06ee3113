"""What a session was meant to be: by its target, else by its kind, else by the words of its plan."""

import re
import unicodedata
from collections.abc import Mapping
from typing import Protocol

from coachlib.records.decisions import TEST_KINDS
from coachlib.records.diary import TARGETS

#: Targets that are easy.
EASY_KINDS = frozenset({"easy", "long"})
#: What is meant where a hard session's own kind is not said.
INTERVALS = "intervals"
#: Words of plans and what they mean (English, German, French, Spanish, Italian), whole words, accents folded.
_EASY = frozenset(
    {
        "easy", "recovery", "long", "gentle", "ruhig", "ruhige", "ruhiger", "locker", "lockerer", "lockere", "lang",
        "langer", "lange", "langsam", "regenerativ", "facile", "souple", "footing", "longue", "recuperation", "suave",
        "facil", "larga", "recuperacion", "lento", "lunga", "lungo", "recupero",
    }
)  # fmt: skip
_LONG = frozenset({"long", "lang", "langer", "lange", "longue", "larga", "lunga", "lungo"})
_TEST = frozenset({"test", "trial"})
_THRESHOLD = frozenset({"tempo", "threshold", "schwelle", "seuil", "umbral", "soglia"})
_STRENGTH = frozenset(
    {"strength", "gym", "weights", "kraft", "krafttraining", "musculation", "renfo", "fuerza", "forza"}
)
_STRIDES = frozenset({"strides", "steigerungen", "steigerungslaufe"})
_REST = frozenset({"rest", "off", "ruhetag", "ruhe", "pause", "frei", "repos", "descanso", "riposo"})
#: Words that may stand beside one of rest: "day off", "jour de repos".
_BESIDE_REST = frozenset({"day", "tag", "jour", "dia", "giorno", "de", "di"})
#: Words that make a plan no easy one, whatever else it says.
_HARD = frozenset(
    {
        "interval", "intervals", "race", "fartlek", "reps", "repeats", "hard", "intervalle", "wettkampf", "fractionne",
        "series", "carrera", "ripetute", "gara", *_TEST, *_THRESHOLD,
    }
)  # fmt: skip
_RACE = frozenset({"race", "wettkampf", "gara"})
_NOT = frozenset({"not", "no", "nicht", "kein", "keine", "pas", "non"})
#: "4 x 4 min", "6x1000", "3 × 10".
_REPEATED = re.compile(r"\b\d+\s*[x×*]\s*\d")
#: Targets and kinds by name.
_NAMED: Mapping[str, str] = {
    **{t: t for t in TARGETS},
    **dict.fromkeys(TEST_KINDS, "test"),
    INTERVALS: INTERVALS,
}


class Meant(Protocol):
    """Anything with a target, a kind and a plan."""

    @property
    def target(self) -> str | None:
        """What the plan's own column says."""

    @property
    def kind(self) -> str | None:
        """The kind of session."""

    @property
    def planned(self) -> str | None:
        """The plan in words."""


def meant_as(session: Meant) -> str | None:
    """What a session was meant to be: one of the known targets, or "intervals" for a hard one of no said kind.

    Returns
    -------
    str or None
        None where nothing tells; "other" where the coach's own word for it is none that is known.

    Source
    ------
    This project's own choice: what was decided goes before what was written, the target before the kind before
    the words.

    Examples
    --------
    >>> from types import SimpleNamespace as S
    >>> words = ("ruhig 60", "4 x 4 min, easy between", "rest day", "sortie longue", "tempo along the river", "up")
    >>> [meant_as(S(target=None, kind=None, planned=p)) for p in words]
    ['easy', 'intervals', 'rest', 'long', 'threshold', None]
    >>> meant_as(S(target="easy", kind="intervals", planned="tempo"))
    'easy'
    """
    for named in (session.target, session.kind):
        said = (named or "").strip().casefold()
        if said and said != "other":
            return _NAMED.get(said) or _by_words(said) or "other"
    return _by_words(session.planned or "")


def meant_easy(session: Meant) -> bool:
    """Whether a session was meant as easy.

    Notes
    -----
    One hard word, a number of repetitions or a "not" before it takes an easy word back.

    Examples
    --------
    >>> from types import SimpleNamespace as S
    >>> [meant_easy(S(target=None, kind=None, planned=p)) for p in ("ruhig 60", "4 x 4 min, easy between")]
    [True, False]
    """
    return meant_as(session) in EASY_KINDS


def _by_words(plan: str) -> str | None:
    """What the words of a plan say it is; None where they say nothing that is known."""
    folded = unicodedata.normalize("NFKD", plan.casefold())
    listed = re.findall(r"[a-z]+", "".join(c for c in folded if not unicodedata.combining(c)))
    words = set(listed)
    if _REPEATED.search(folded):
        return INTERVALS
    if words & _HARD:
        return _hard(words)
    easy = [at for at, word in enumerate(listed) if word in _EASY]
    if easy and not any(listed[at - 1] in _NOT for at in easy if at):
        return "long" if words & _LONG else "easy"
    if words & _REST and words <= _REST | _BESIDE_REST:
        return "rest"
    if words & _STRENGTH:
        return "strength"
    return "strides" if words & _STRIDES else None


def _hard(words: set[str]) -> str:
    if words & _TEST:
        return "test"
    if words & _THRESHOLD:
        return "threshold"
    is_race = bool(words & _RACE) and not words & {"pace", "tempo"}
    return "race" if is_race else INTERVALS
