"""What the reading of remarks finds and misses, counted on sentences in five languages.

The sentences are this project's own, one a line.  ``..._held`` were written before the rules and never tuned on;
``..._tuned`` were.  All come from one hand, which also wrote the rules, so the figures flatter.  Plainer measures are
``..._last`` and ``..._plain``, everyday wordings that no rule was changed for afterwards.

=========  ======================  ======================  =====================  ======================
language   symptoms held           symptoms last           symptoms plain         harmless, flagged
=========  ======================  ======================  =====================  ======================
English    100 of 100              18 of 20                20 of 20               1 of 270
German     96 of 100               16 of 20                18 of 20               3 of 270
French     98 of 100               15 of 20                20 of 20               1 of 269
Spanish    102 of 102              18 of 20                20 of 20               2 of 270
Italian    99 of 102               19 of 20                18 of 20               0 of 270
=========  ======================  ======================  =====================  ======================

The word lists this began from find 108 of the 504 held and 27 of the 100 last.  Sets that were worded ever more obliquely were
found, when first seen, in 79 of 200, 39 of 150, 245 of 300 (colloquial, misspelt, without accents), 125 of 200 and 77 of
125; they are now among the tuned ones.  So plain words are found and a remark without a flag is no clearance.
"""

import time
from pathlib import Path

import pytest

from coachlib.analysis.remarks.folding import folded, sentences
from coachlib.analysis.remarks.red_flags import MOST_SHOWN, red_flags

SENTENCES = Path(__file__).parent / "sentences"
LANGUAGES = ("en", "de", "fr", "es", "it")
#: Found of the symptoms held aside, at least; of those written last, at least; flagged of the harmless, at most.
LEAST_HELD = {"en": 100, "de": 96, "fr": 98, "es": 102, "it": 99}
LEAST_LAST = {"en": 18, "de": 16, "fr": 15, "es": 18, "it": 19}
LEAST_PLAIN = {"en": 20, "de": 18, "fr": 20, "es": 20, "it": 18}
MOST_FLAGGED = {"en": 1, "de": 1, "fr": 1, "es": 1, "it": 0}


def read(name):
    return (SENTENCES / f"{name}.txt").read_text(encoding="utf-8").splitlines()


def n_flagged(name):
    return sum(bool(red_flags(sentence)) for sentence in read(name))


@pytest.mark.parametrize("language", LANGUAGES)
def test_symptoms_are_found_and_harmless_words_left_alone(language):
    assert n_flagged(f"{language}_symptoms_held") >= LEAST_HELD[language]
    assert n_flagged(f"{language}_symptoms_last") >= LEAST_LAST[language]
    assert n_flagged(f"{language}_symptoms_plain") >= LEAST_PLAIN[language]
    assert n_flagged(f"{language}_harmless_held") <= MOST_FLAGGED[language]
    assert n_flagged(f"{language}_harmless_last") <= 1
    assert n_flagged(f"{language}_symptoms_tuned") >= 0.98 * len(read(f"{language}_symptoms_tuned"))
    assert n_flagged(f"{language}_harmless_tuned") <= 1


@pytest.mark.parametrize("language", LANGUAGES)
def test_there_are_two_hundred_sentences_of_each_sort_and_none_twice(language):
    for sort in ("symptoms", "harmless"):
        tuned, held = read(f"{language}_{sort}_tuned"), read(f"{language}_{sort}_held")
        assert len(tuned) >= 100
        assert len(held) >= 100
        assert not set(tuned) & set(held)


NOW = [
    "chest tight, strap fine",
    "No chest pain.",
    "My chest felt heavy",
    "pain under the chest strap",
    "Lost consciousness at the gate",
    "I fainted",
    "Brust–Enge am Berg",
    "DOULEUR À LA POITRINE",
    "Strap fine pain across my chest",
    "chest-pain",
    "Perdí el conocimiento",
    "Sono svenuta",
]
FIRST = [
    "Couldn’t breathe on the flat",
    "Couldn't breathe on the flat",
    "Luftnot",
    "numb left arm",
    "heart skipped",
    "Cœur qui s’emballe",
    "Coeur qui s'emballe",
    "light-headed",
    "LIGHT HEADED",
    "not dizzy at all",
    "Schwindelig",
    "mareo",
]


@pytest.mark.parametrize("remark", NOW)
def test_chest_pain_collapse_and_fainting_are_for_now(remark):
    assert [flag.kind for flag in red_flags(remark)] == ["now"]


@pytest.mark.parametrize("remark", FIRST)
def test_other_signs_ask_for_a_physician_first(remark):
    assert [flag.kind for flag in red_flags(remark)] == ["physician first"]


@pytest.mark.parametrize(
    "remark",
    [
        "chest strap too tight",
        "The strap was too tight around my chest.",
        "heart rate at race pace",
        "Chest-strap pressed a bit.",
        "Brustgurt zu eng",
        "ceinture thoracique trop serrée",
        "banda del pecho apretada",
        "La fascia cardio stringeva il petto",
        "",
        "   ",
        "…",
        "ok",
        "🙂",
    ],
)
def test_gear_and_numbers_are_no_symptom(remark):
    assert red_flags(remark) == ()


def test_the_sentence_is_shown_as_it_was_written_the_most_urgent_first():
    flags = red_flags("Nice run. Felt DIZZY at km 3!\nChest “tight” too.")
    assert [(f.kind, f.sentence) for f in flags] == [
        ("now", "Chest “tight” too."),
        ("physician first", "Felt DIZZY at km 3!"),
    ]


def test_of_a_long_sentence_the_words_found_are_shown():
    flags = red_flags("and on and on " * 200 + "my chest hurt " + "and on and on " * 200)
    assert "my chest hurt" in flags[0].sentence
    assert len(flags[0].sentence) <= MOST_SHOWN + 2


@pytest.mark.parametrize(
    "piece", ["chest ", "chest strap pain ", "no air ", "a", "1.", "heart, ", "brust und "]
)
def test_long_text_takes_time_in_proportion(piece):
    def seconds(n):
        text = piece * (n // len(piece))
        started = time.perf_counter()
        red_flags(text)
        return time.perf_counter() - started

    seconds(4_000)
    assert seconds(80_000) < 8 * max(seconds(20_000), 0.02)


def test_folding_and_sentences():
    assert folded("  Ça—va… Straße  ÜBEL ") == "ca va... strasse ubel"
    assert sentences("One; two.\nthree 4.5 km?  ") == ("One;", "two.", "three 4.5 km?")
