"""A record written back into the text it came from, touching only what changed."""

from collections.abc import Mapping, Sequence
from typing import Any

from coachlib.files.roster.forms import typed_values
from coachlib.files.roster.tomltext import new_entry, newline_of, pieces, with_keys
from coachlib.records.base import Record

#: The keys that say which thing a row speaks of; the others say what of it.
_WHAT_A_ROW_IS_ABOUT = ("number", "on", "from", "remark_on", "which", "sport", "name", "quantity", "start_s")
#: This entry stays the file's last.
LAST_ENTRY = "end"


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
    return changed(text, typed_values(old) if old else {}, typed_values(new))


def changed(text: str, before: Mapping[str, Any], after: Mapping[str, Any], path: Sequence[str] = ()) -> str:
    """The text of a file, or of its entry at ``path``, with its keys and entries changed that differ."""
    if before == after:
        return text
    taken = pieces(text, ".".join(path))
    kinds = [key for key in {**before, **after} if _is_tables(before.get(key, after.get(key)))]
    single = {key for key in kinds if isinstance(before.get(key, after.get(key)), dict)}
    entries: dict[str, list[str]] = {}
    inline: dict[str, Any] = {}
    for kind in kinds:
        rows, texts = _rows(before.get(kind)), taken.of(kind)
        if len(texts) != len(rows):
            inline[kind], rows, texts = rows, [], []
        entries[kind] = _entries(
            [*path, kind], texts, rows, _rows(after.get(kind)), newline_of(text), is_single=kind in single
        )
    order = list(dict.fromkeys([entry.kind for entry in taken.entries] + kinds))
    order.sort(key=lambda kind: kind == LAST_ENTRY)
    head = with_keys(taken.head, {**_plain(before), **inline}, _plain(after), path)
    return head + "".join("".join(entries[kind]) for kind in order) + taken.tail


def _plain(values: Mapping[str, Any]) -> dict[str, Any]:
    """The keys that are no tables."""
    return {key: value for key, value in values.items() if not _is_tables(value)}


def _is_tables(value: Any) -> bool:
    """Whether a value is written as a table, or as a list of tables."""
    return isinstance(value, dict) or (
        isinstance(value, list) and bool(value) and all(isinstance(row, dict) for row in value)
    )


def _rows(tables: Any) -> list[dict[str, Any]]:
    """The tables of one kind: none, a single one, or a list."""
    return [tables] if isinstance(tables, dict) else tables or []


def _entries(
    path: Sequence[str],
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
            bare = new_entry(path, _plain(row), newline, is_single=is_single)
            written.append(changed(bare, _plain(row), row, path))
        else:
            written.append(changed(texts[source[at]], old[source[at]], row, path))
    return written


def _is_about_the_same(old: dict[str, Any], new: dict[str, Any]) -> bool:
    """Whether two rows speak of the same stretch, day or session; of a machine there is one."""
    if "start_s" in old and "start_s" in new:
        return bool(old["start_s"] < new["stop_s"] and new["start_s"] < old["stop_s"])
    return all(old.get(key) == new.get(key) for key in _WHAT_A_ROW_IS_ABOUT)
