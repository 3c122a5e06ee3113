"""Kept call sheet entries come back as they were, or not at all."""

from datetime import date

import pytest

from coachlib.analysis.remarks.open_remarks import Remark
from coachlib.analysis.roster.call_sheet import CallEntry, Reason
from coachlib.files.store.kept_entries import KeptEntries
from coachlib.measures.common.codes import code

FOUND = code("threshold stale", on=date(2026, 6, 14), weeks=20, gap_bpm=3.0, named=("a", "b"), none=None)
ENTRY = CallEntry(
    slug="ilva",
    name="Ilva",
    group="look at",
    reasons=(Reason(kind="threshold stale", group="look at", code=FOUND, where="first_threshold"),),
    remarks=(Remark(on=date(2026, 11, 17), text="May I run?", asks=True, about_health=False),),
)


def test_an_entry_comes_back_as_it_was(tmp_path):
    kept = KeptEntries(tmp_path / "ilva")
    kept.keep("2026-W47", "key", ENTRY)
    found = kept.get("2026-W47", "key")
    assert found == ENTRY
    assert isinstance(found.reasons[0].code["on"], date)
    assert isinstance(found.reasons[0].code["gap_bpm"], float)


@pytest.mark.parametrize(("week", "key"), [("2026-W47", "other"), ("2026-W46", "key")])
def test_made_from_something_else_it_is_not_taken(tmp_path, week, key):
    kept = KeptEntries(tmp_path)
    kept.keep("2026-W47", "key", ENTRY)
    assert kept.get(week, key) is None


@pytest.mark.parametrize("damage", [b"", b"key", b"key abc\n{}", b'key \n["date"]'])
def test_damaged_it_is_not_taken(tmp_path, damage):
    kept = KeptEntries(tmp_path)
    (tmp_path / "2026-W47.json").write_bytes(damage)
    assert kept.get("2026-W47", "key") is None


def test_touched_up_it_is_not_taken(tmp_path):
    kept = KeptEntries(tmp_path)
    kept.keep("2026-W47", "key", ENTRY)
    path = tmp_path / "2026-W47.json"
    path.write_bytes(path.read_bytes().replace(b"May I run", b"May I eat"))
    assert kept.get("2026-W47", "key") is None


def test_what_would_come_back_as_something_else_is_not_kept(tmp_path):
    kept = KeptEntries(tmp_path)
    odd = code("threshold stale", gap_bpm=float("nan"))
    reason = Reason(kind="threshold stale", group="look at", code=odd, where="diary")
    kept.keep("2026-W47", "key", CallEntry(slug="a", name="A", group="look at", reasons=(reason,)))
    assert not list(tmp_path.iterdir())
