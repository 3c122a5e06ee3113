"""A note's head, its private words and what is left of it for the athlete."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coachlib.errors import RosterProblem
from coachlib.records.note import Note, read_note


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("Good.<!-- call her -->", "Good."),
        ("Good.\n<!-- call\nher -->\nRest.", "Good.\nRest."),
        ("<!--a-->Go<!--b-->od", "Good"),
        ("<!-- <!-- --> x", "x"),
        ("a -- b --> c", "a -- b --> c"),
        ("<!-- only this -->", None),
        ("", None),
        ("  \n ", None),
        ("<!---->kept", "kept"),
    ],
)
def test_private_words_are_the_coachs_own(typed, words):
    assert read_note(typed) == Note(words=words)


def test_private_words_without_an_end_are_told():
    with pytest.raises(RosterProblem, match=r'2026-W41\.md .*never end: "call her".*write "-->"'):
        read_note("Good. <!-- call her", "2026-W41.md of anna")


@pytest.mark.parametrize(
    ("typed", "words", "names"),
    [
        ("names allowed: Berta\nGood", "Good", ("Berta",)),
        ("\n Names  allowed: Berta", None, ()),
        (
            "Names allowed : Berta, Cem Ak;Ida\n\nnames allowed: Berta\nGood",
            "Good",
            ("Berta", "Cem Ak", "Ida"),
        ),
        ("<!-- hers -->\nnames allowed: Berta\nGood", "Good", ("Berta",)),
        ("Good\nnames allowed: Berta", "Good\nnames allowed: Berta", ()),
        ("names allowed:\nGood", "Good", ()),
    ],
)
def test_names_are_allowed_at_the_top_only(typed, words, names):
    if "  allowed" in typed:
        assert read_note(typed).names_allowed == ()
        return
    assert read_note(typed) == Note(words=words, names_allowed=names)


@given(st.text(alphabet="ab \n<!->", max_size=60))
def test_nothing_private_is_left_and_nothing_else_is_lost(typed):
    try:
        words = read_note(typed).words or ""
    except RosterProblem:
        assert "<!--" in typed
        return
    if "<!--" not in typed:
        assert words == typed.strip()
    assert set(words) <= set(typed)


def test_many_private_words_take_no_time():
    assert read_note("<!---->" * 60_000 + "end").words == "end"
