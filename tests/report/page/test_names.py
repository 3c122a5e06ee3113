"""Names are found as a person finds them, and plain words are left in peace."""

import time
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coachlib.report.page.names import LookOut, Passage

#: Invented people.
OTHERS = (
    "Berta Müllerova",
    "José Nuñez Olmo",
    "Ann Lindqvist",
    "Anna-Lena van der Berghe",
    "王小明",
    "Seán O'Dálaigh",
)
LOOK_OUT = LookOut(others=OTHERS, own="Anna Example", coach="Maren Oldacre")


def named(words, *, look_out=LOOK_OUT, typed=True):
    return {found.name for found in look_out.found([Passage(words, typed)])}


SPELLINGS = [
    *[(f"the ride with {words} was long", "Berta") for words in (
        "Berta", "berta", "BERTA", "Berta's group", "Berta’s group", "Bertas", "Bertou", "Bertu", "Ber-ta", "Ber_ta",
        "Ber.ta", "B e r t a", "B.e.r.t.a", "B-e-r-t-a", "Ber\u200bta", "Ber\u00adta", "Ber\u2060ta", "\ufeffBerta",
        "Be\u0301rta", "Bértà", "Ｂｅｒｔａ", "B\u0435rta", "@berta", "#Berta2", "berta_ride.fit", "mitBertaLauf", "Anna-Berta",
        "Berta,", "(Berta)", "Berta/Cem", "berta.mullerova", "BertaMüllerova", "bertamuellerova",
    )],
    *[(f"so said {words} today", "Müllerova") for words in (
        "Müllerova", "Mullerova", "Muellerova", "MÜLLEROVA", "Mu\u0308llerova", "Müllerovas", "Müllerovou",
    )],
    *[(f"and {words} ran", "José") for words in ("José", "Jose", "JOSE", "Josés")],
    ("with Nunez", "Nuñez"), ("with Olmo's bike", "Olmo"),
    ("Ann was there", "Ann"), ("like Ann's shoes", "Ann"), ("with ann", "Ann"), ("Anns plan", "Ann"),
    ("after Lena", "Lena"), ("the Berghe plan", "Berghe"), ("昨天和王小明一起跑步", "王小明"),
    ("with Sean", "Seán"), ("with O'Dalaigh", "O'Dálaigh"), ("with ODalaigh", "O'Dálaigh"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "name"), SPELLINGS)
@pytest.mark.parametrize("typed", [True, False])
def test_a_name_is_found_in_every_spelling(words, name, typed):
    found = named(words, typed=typed)
    assert name in found or (name in "Berta Müllerova" and "Berta Müllerova" in found)


@pytest.mark.parametrize(
    "words",
    [
        "Anna, your week was good, and Annas bike too.", "Example is your surname", "van der", "Bertalan Robertas",
        "annual plan, annoyed", "the nose and jose-like", "", "12:30", "Maren", "obertas",
    ],
)  # fmt: skip
def test_the_athletes_own_name_and_other_words_are_no_news(words):
    assert named(words) <= ({"José"} if "jose" in words else set())


def test_siblings_share_a_surname():
    look_out = LookOut(others=["Berta Example"], own="Anna Example")
    assert named("Anna Example rode", look_out=look_out) == set()
    assert "Berta" in named("Berta Example rode", look_out=look_out)


WORDS = LookOut(
    others=["Will Holm", "May Berg", "Mark Lund", "Sam Rest", "Ida Day", "Tim Long"], own="Anna Example"
)


@pytest.mark.parametrize(
    "words",
    [
        "You will rest in May.", "Rest on Monday. Mark the lap, then a long day.", "3 May: Long run", "on May 4",
        "Long run on Sunday", "REST DAY", "Rest day: do nothing", "three times; Tim's is another word", "Will you rest?",
        "May was warm", "from April to May", "- Rest\n- Long\n- Mark the lap", "**Rest Day**", "Day 1: easy. Day 2: off",
        "early May", "since May", "it may mark the day",
    ],
)  # fmt: skip
def test_a_name_that_is_a_word_is_told_apart_by_capital_and_place(words):
    assert named(words, look_out=WORDS) <= {"Tim", "May"} - (set() if "May was" in words else {"May"})


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("ride with Will", "Will"), ("ask May about it", "May"), ("as Mark did", "Mark"), ("Will's group", "Will"),
        ("Will and you", "Will"), ("Mark ran well.", "Mark"), ("Thanks to Rest for pacing", "Rest"), ("with MARK", "Mark"),
        ("Will Holm was there", "Will"), ("Ida Day won", "Day"), ("beside Day", "Day"), ("you and Long", "Long"),
    ],
)  # fmt: skip
def test_a_name_that_is_a_word_is_found_where_it_is_a_name(words, name):
    assert name in named(words, look_out=WORDS)


def test_an_allowed_name_is_allowed_in_all_its_forms_and_no_other():
    look_out = LookOut(others=OTHERS, own="Anna Example", allowed=["Berta"])
    assert named("Berta's and Bertas ride", look_out=look_out) == set()
    assert named("Berta Müllerova", look_out=look_out) == {"Müllerova"}


def test_the_coach_is_named_by_the_program_only():
    look_out = LookOut(others=["Maren Holm"], own="Anna Example", coach="Maren Oldacre")
    assert named("from Maren Oldacre", look_out=look_out, typed=False) == set()
    assert named("ride with Maren", look_out=look_out) == {"Maren"}


@given(st.text(max_size=300), st.booleans())
def test_any_text_can_be_read(words, typed):
    assert named(words, typed=typed) <= {"Berta", "Müllerova", "Ann", "José", "Olmo"} | named(
        words, typed=typed
    )


@given(
    st.text(alphabet=st.characters(categories=["Zs", "Po"]), max_size=5),
    st.sampled_from(["Berta", "Lindqvist", "Olmo"]),
    st.sampled_from(["\u200b", "\u00ad", "\u0301", "\u2060", "-", "_"]),
    st.integers(1, 3),
)
def test_what_hides_between_letters_hides_nothing(before, name, hidden, at):
    words = f"{before} {name[:at]}{hidden}{name[at:]} x"
    assert name in named(words)
    assert name in named(unicodedata.normalize("NFD", words))


HUGE = [
    "a-" * 150_000, "a " * 150_000, "-" * 300_000, "aA" * 150_000, "May " * 75_000, "'" * 300_000, "\n \t" * 100_000,
    "Ber" * 100_000, "\u0301" * 300_000, "é-" * 150_000,
]  # fmt: skip


@pytest.mark.parametrize("words", HUGE, ids=range(len(HUGE)))
def test_a_text_twice_as_long_takes_about_twice_as_long(words):
    def seconds(text):
        start = time.process_time()
        named(text, look_out=WORDS)
        return time.process_time() - start

    seconds(words[:1000])
    half, whole = seconds(words[: len(words) // 2]), seconds(words)
    assert whole < 4 * half + 0.3
