"""All reasons, gathered from the files of this folder, and what a roster's settings may name."""

import difflib
from collections.abc import Iterable
from functools import cache
from importlib import import_module
from pkgutil import iter_modules

from coachlib.analysis.roster import reasons
from coachlib.analysis.roster.reasons.kind import ReasonKind
from coachlib.records.roster import TriageSettings


@cache
def all_reasons() -> dict[str, ReasonKind]:
    """Every reason by its name, the strongest first.

    Examples
    --------
    >>> next(iter(all_reasons()))
    'chest pain or collapse'
    """
    modules = [import_module(f"{reasons.__name__}.{found.name}") for found in iter_modules(reasons.__path__)]
    kinds = [kind for module in modules for kind in getattr(module, "REASONS", ())]
    found = {kind.name: kind for kind in sorted(kinds, key=lambda kind: kind.rank)}
    if len(found) < len(kinds) or len({kind.rank for kind in kinds}) < len(kinds):
        raise ValueError("two reasons share a name or a rank")
    return found


def ranked(settings: TriageSettings) -> tuple[ReasonKind, ...]:
    """The reasons that a roster tells, in its order: a reason left out of ``order`` follows at the end.

    Examples
    --------
    >>> [kind.name for kind in ranked(TriageSettings(order=("test due",), hidden=("no data",)))][:4]
    ['chest pain or collapse', 'physician first', 'test due', 'illness or pain']
    """
    own = {name: at for at, name in enumerate(settings.order)}
    told = [
        kind for kind in all_reasons().values() if kind.weight != "may be hidden" or kind.name not in settings.hidden
    ]  # fmt: skip
    return tuple(sorted(told, key=lambda k: (k.weight != "always first", own.get(k.name, len(own)), k.rank)))


def misnamed(settings: TriageSettings) -> tuple[str, ...]:
    """What a roster names wrongly, in words: what was found, what is known, what to do.

    Examples
    --------
    >>> misnamed(TriageSettings(hidden=("hot dey", "physician first")))[0]
    'key `hidden` of [call_sheet] holds "hot dey", which is no reason; did you mean "hot day"?'
    """
    known = all_reasons()
    lists = (
        ("order", settings.order),
        ("talk_to", settings.talk_to or ()),
        ("hidden", settings.hidden),
    )
    unknown = [
        f'key `{key}` of [call_sheet] holds "{name}", which is no reason; {_hint(name, known)}'
        for key, names in lists
        for name in names
        if name not in known
    ]
    kept = [
        f'key `hidden` of [call_sheet] holds "{name}", which is always told; take it out of the list'
        for name in settings.hidden
        if name in known and known[name].weight != "may be hidden"
    ]
    return tuple(unknown + kept)


def _hint(name: str, known: Iterable[str]) -> str:
    nearest = difflib.get_close_matches(name.lower(), list(known), n=1, cutoff=0.6)
    return f'did you mean "{nearest[0]}"?' if nearest else "known are " + ", ".join(f'"{k}"' for k in known)
