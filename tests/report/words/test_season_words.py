"""Every code of the season's rooms has its sentence, and each sentence takes what its code carries."""

import ast
from datetime import date
from pathlib import Path

import pytest

import coachlib
from coachlib.measures.common.codes import Code
from coachlib.report.words.catalogue import sentence, whole
from coachlib.report.words.season import SENTENCES

PACKAGE = Path(coachlib.__file__).parent
ROOMS = ("measures/season", "analysis/season")


def codes_made():
    """Names of codes and of their values, as the season's modules make them; ``**ends`` is two beats."""
    for room in ROOMS:
        for path in sorted((PACKAGE / room).glob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "code":
                    named = [k.arg for k in node.keywords if k.arg]
                    if any(k.arg is None for k in node.keywords):
                        named += ["low_bpm", "high_bpm"]
                    yield node.args[0].value, tuple(named)


MADE = sorted(set(codes_made()))


def example(name):
    """A value such as the code would carry."""
    if name.endswith("_on") or name == "on":
        return date(2026, 9, 28)
    if name.startswith(("n_", "least", "weeks")) or name == "n":
        return 3
    words = {
        "things": ("another watch", "other shoes"), "unit": "m/s", "sport": "running", "direction": "up",
        "certainty": "likely", "change": "begun", "kind": "intervals", "note": "a present",
    }  # fmt: skip
    return words.get(name, True if name.startswith("is_") else 4.0)


@pytest.mark.parametrize(("name", "values"), MADE)
def test_every_code_is_said(name, values):
    said = sentence(Code(name, tuple((v, example(v)) for v in values)))
    assert said[0].islower() or said[0].isdigit()
    assert not said.endswith(".")
    assert "4.0" not in said
    assert "None" not in said


def test_no_sentence_is_kept_for_nothing():
    assert {name for name, _ in MADE} == set(SENTENCES)


def compared(**changes):
    values = {
        "hr_bpm": 141.0, "sport": "running", "unit": "m/s", "before": 2.7, "now": 3.03, "since_on": date(2026, 9, 1),
        "until_on": date(2026, 9, 28), "n_readings": 30, "n_tests": 0, "n_unknown_heat": 0, "n_hills_left": 0,
        "is_indoor": False,
    }  # fmt: skip
    return whole(Code("outputs compared", tuple((values | changes).items())))


def test_what_is_compared_is_said_as_one_would_aloud():
    assert compared() == (
        "At 141 bpm you ran 9.7 km/h in September and 10.9 now, hills and heat taken out. Pale band: how sure we are."
    )


def test_only_what_was_taken_out_is_said_to_be():
    assert "heat taken out (no altitude for 30 of 30)." in compared(n_hills_left=30)
    assert "hills taken out (no temperature for 30 of 30)." in compared(n_unknown_heat=30)
    ride = compared(unit="W", sport="cycling", before=190.0, now=203.0, until_on=date(2026, 10, 4))
    assert ride.startswith(
        "At 141 bpm you held 190 W in September and October and 203 W now, heat taken out."
    )
    assert "five controlled tests count too" in compared(n_tests=5)
