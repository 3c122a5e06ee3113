"""What a session was meant to be: by its target, else by its kind, else by the words of its plan."""

import re
import unicodedata
from typing import Protocol

#: Kinds and targets that are easy, and words that say so in a plan (English, German, French, Spanish, Italian).
EASY_KINDS = frozenset({"easy", "long"})
_EASY = frozenset(
    {
        "easy", "recovery", "long", "gentle", "ruhig", "ruhige", "ruhiger", "locker", "lockerer", "lockere", "lang",
        "langer", "lange", "langsam", "regenerativ", "facile", "souple", "footing", "longue", "recuperation", "suave",
        "facil", "larga", "recuperacion", "lento", "lunga", "lungo", "recupero",
    }
)  # fmt: skip
#: Words that make a plan no easy one, whatever else it says.
_HARD = frozenset(
    {
        "tempo", "threshold", "interval", "intervals", "race", "test", "trial", "fartlek", "reps", "repeats", "hard",
        "schwelle", "intervalle", "wettkampf", "seuil", "fractionne", "umbral", "series", "carrera", "soglia",
        "ripetute", "gara",
    }
)  # fmt: skip
_NOT = frozenset({"not", "no", "nicht", "kein", "keine", "pas", "non"})
#: "4 x 4 min", "6x1000", "3 × 10".
_REPEATED = re.compile(r"\b\d+\s*[x×*]\s*\d")


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


def meant_easy(session: Meant) -> bool:
    """Whether a session was meant as easy.

    Source
    ------
    This project's own choice: what was decided goes before what was written, and one hard word, a number of
    repetitions or a "not" before it takes an easy word back.

    Examples
    --------
    >>> from types import SimpleNamespace as S
    >>> [meant_easy(S(target=None, kind=None, planned=p)) for p in ("ruhig 60", "4 x 4 min, easy between")]
    [True, False]
    >>> meant_easy(S(target="easy", kind="intervals", planned="tempo")), planned_easy("tempo along the river")
    (True, False)
    """
    for named in (session.target, session.kind):
        if named and named != "other":
            return named.strip().casefold() in EASY_KINDS
    return planned_easy(session.planned or "")


def planned_easy(plan: str) -> bool:
    """Whether the words of a plan, whole words only, say that it is easy.

    Examples
    --------
    >>> planned_easy("Easy 50 min"), planned_easy("not easy: race pace"), planned_easy("sortie longue")
    (True, False, True)
    """
    folded = unicodedata.normalize("NFKD", plan.casefold())
    words = re.findall(r"[a-z]+", "".join(c for c in folded if not unicodedata.combining(c)))
    if _HARD.intersection(words) or _REPEATED.search(folded):
        return False
    easy = [at for at, word in enumerate(words) if word in _EASY]
    return bool(easy) and not any(words[at - 1] in _NOT for at in easy if at)
