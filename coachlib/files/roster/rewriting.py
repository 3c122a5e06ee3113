"""A record written back into the text it came from, touching only what changed."""

from collections.abc import Sequence
from typing import Any

from coachlib.files.roster.forms import typed_values
from coachlib.files.roster.tomltext import entry_with_keys, new_entry, newline_of, pieces, with_keys
from coachlib.records.base import Record


def rewritten(text: str, old: Record | None, new: Record) -> str:
    r"""The text with a record's changes in it.

    Parameters
    ----------
    text : str
        A valid TOML text; for a new file its first line, such as ``schema = 1``.
    old : record or None
        What the text says now; None where it says nothing yet.
    new : record
        What it is to say.

    Returns
    -------
    str
        The text as it was where nothing changed.  An entry that stays is found again by its content; one
        that moved, by the time or day it covers, so that the comments above it go with it.

    Examples
    --------
    >>> from coachlib.records.decisions import Decisions
    >>> old = Decisions(fit_sha256="0" * 64, kind="easy")
    >>> text = rewritten("schema = 1\n", None, old)
    >>> rewritten(text + "# why\n", old, old.model_copy(update={"kind": "long"})).splitlines()[2:]
    ['kind = "long"', '# why']
    """
    if old == new:
        return text
    taken = pieces(text)
    before, after = typed_values(old) if old else {}, typed_values(new)
    kinds = [key for key in {**before, **after} if _is_tables(before.get(key, after.get(key)))]
    single = {key for key in kinds if isinstance(before.get(key, after.get(key)), dict)}
    entries: dict[str, list[str]] = {}
    inline: dict[str, Any] = {}
    for kind in kinds:
        rows, texts = _rows(before.get(kind)), taken.of(kind)
        if len(texts) != len(rows):
            inline[kind], rows, texts = rows, [], []
        entries[kind] = _entries(
            kind, texts, rows, _rows(after.get(kind)), newline_of(text), is_single=kind in single
        )
    order = list(dict.fromkeys([entry.kind for entry in taken.entries] + kinds))
    head = with_keys(taken.head, {**_plain(before, kinds), **inline}, _plain(after, kinds))
    return head + "".join("".join(entries[kind]) for kind in order) + taken.tail


def _plain(values: dict[str, Any], kinds: Sequence[str]) -> dict[str, Any]:
    """The keys that are no tables."""
    return {key: value for key, value in values.items() if key not in kinds}


def _is_tables(value: Any) -> bool:
    """Whether a value is written as a table, or as a list of tables."""
    return isinstance(value, dict) or (
        isinstance(value, list) and all(isinstance(row, dict) for row in value)
    )


def _rows(tables: Any) -> list[dict[str, Any]]:
    """The tables of one kind: none, a single one, or a list."""
    return [tables] if isinstance(tables, dict) else tables or []


def _entries(
    kind: str,
    texts: Sequence[str],
    old: Sequence[dict[str, Any]],
    new: Sequence[dict[str, Any]],
    newline: str,
    *,
    is_single: bool,
) -> list[str]:
    """The new rows as text, each made from the old text of the same thing where there is one."""
    free = list(range(len(old)))
    source: dict[int, int] = {}
    for is_same in (dict.__eq__, _is_about_the_same):
        for at, row in enumerate(new):
            match = next((n for n in free if at not in source and is_same(old[n], row)), None)
            if match is not None:
                source[at] = match
                free.remove(match)
    written = []
    for at, row in enumerate(new):
        if at not in source:
            written.append(new_entry(kind, row, newline, is_single=is_single))
        elif old[source[at]] == row:
            written.append(texts[source[at]])
        else:
            written.append(entry_with_keys(texts[source[at]], kind, old[source[at]], row))
    return written


def _is_about_the_same(old: dict[str, Any], new: dict[str, Any]) -> bool:
    """Whether two rows speak of the same stretch or the same day; of a machine there is one."""
    if "start_s" in old:
        return bool(old["start_s"] < new["stop_s"] and new["start_s"] < old["stop_s"])
    return bool(old.get("on") == new.get("on") and old.get("which") == new.get("which"))
