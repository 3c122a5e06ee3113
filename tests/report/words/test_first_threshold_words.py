"""Every code of the first threshold has a sentence that stands in a list and on its own."""

import ast
import re
from datetime import date
from pathlib import Path

import pytest

import coachlib
from coachlib.analysis.first_threshold.comparability import CONDITIONS
from coachlib.measures.common.codes import code
from coachlib.report.words import first_threshold
from coachlib.report.words.catalogue import sentence, sentences, whole
from coachlib.report.words.test_conditions import LITERATURE, done_about

PACKAGE = Path(coachlib.__file__).parent
MODULES = [
    *sorted((PACKAGE / "measures/first_threshold").glob("*.py")),
    *sorted((PACKAGE / "analysis/first_threshold").glob("*.py")),
]


def named_codes():
    """Names in calls of ``code``, and in tables and conditions that end in one."""
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "code" and node.args:
                yield from (c.value for c in ast.walk(node.args[0]) if isinstance(c, ast.Constant))


def test_every_code_has_a_sentence_and_every_sentence_a_code():
    found = set(named_codes())
    text = "".join(p.read_text(encoding="utf-8") for p in MODULES)
    assert len(found) > 40
    assert found - set(sentences()) == set()
    assert [n for n in first_threshold.SENTENCES if f'"{n}"' not in text] == []


@pytest.mark.parametrize(
    ("told", "said"),
    [
        (
            code("tests contradict", more_bpm=150.0, more_pct=8.0, less_bpm=150.0, less_pct=1.0, n_tests=3),
            "two tests contradict each other: 8.0 % at 150 bpm and 1.0 % at 150 bpm; ordinary scatter of days does not "
            "explain that",
        ),
        (
            code("minutes above the second threshold", on=date(2026, 10, 17), minutes=10.0),
            "10 min of the test on 17 Oct lay above the second threshold: that was no steady test, or the second threshold "
            "is too low",
        ),
        (
            code("no session as long", longest_min=None, test_min=75.0, days=30),
            "a test takes 75 min at one effort, and of the last 30 days no steady session is known",
        ),
    ],
)
def test_sentences(told, said):
    spaces = re.compile("\u00a0")
    assert spaces.sub(" ", sentence(told)) == said
    assert whole(told).endswith(".")
    assert not whole(told)[0].islower()


def test_every_condition_has_what_the_literature_says():
    assert set(CONDITIONS) == set(LITERATURE)
    assert "takes 0.8 bpm and 0.4 % off" in done_about("air temperature")
    assert "4 to 7 bpm" in LITERATURE["caffeine"]
