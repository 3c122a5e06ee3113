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
from coachlib.report.words.catalogue import sentence, whole
from coachlib.report.words.test_conditions import LITERATURE, done_about

PACKAGE = Path(coachlib.__file__).parent
MODULES = [
    *sorted((PACKAGE / "measures/first_threshold").glob("*.py")),
    *sorted((PACKAGE / "analysis/first_threshold").glob("*.py")),
    PACKAGE / "measures/drift_test/constant_output.py",
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
    assert found - set(first_threshold.SENTENCES) == set()
    assert [n for n in first_threshold.SENTENCES if f'"{n}"' not in text] == []


NUMBERS = {"hr_bpm": 152.0, "limit_pct": 5.0, "criterion_pct": 5.0, "minutes": 60.0}


@pytest.mark.parametrize(
    ("told", "said"),
    [
        (
            code("below", drift_pct=1.0, **NUMBERS),
            "that is below 5 %, also with ordinary day-to-day scatter: the first "
            "threshold, read from drift, lies above 152 bpm",
        ),
        (
            code(
                "output changed",
                drift_pct=3.9,
                **NUMBERS,
                output_change_pct=-7.2,
                correction_pct=3.9,
                u_pct=1.2,
                unit="m/s",
            ),
            "cannot tell: pace fell by 7 %; that hides 3.9 ± 1.2 points of drift, and the side depends on it; repeat it at a "
            "held pace",
        ),
        (
            code(
                "output changed",
                drift_pct=6.1,
                **NUMBERS,
                output_change_pct=5.0,
                correction_pct=-2.0,
                u_pct=0.6,
                unit="W",
            ),
            "cannot tell: power rose by 5 %; that adds 2.0 ± 0.6 points of drift, and the side depends on it; repeat it at a "
            "held power",
        ),
        (
            code("setting not known", drift_pct=1.0, **NUMBERS, if_held="below"),
            "nothing in the recording tells whether the setting was held; if it was, drift was below 5 % at 152 bpm; type the "
            "settings in",
        ),
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


def test_a_short_window_is_held_against_its_share():
    told = code("near", drift_pct=3.5, hr_bpm=152.0, limit_pct=3.75, criterion_pct=5.0, minutes=45.0)
    assert "is near 3.8 %, the share of 5 % for this length" in sentence(told)
    far = code("near", drift_pct=8.0, hr_bpm=152.0, limit_pct=5.0, criterion_pct=5.0, minutes=60.0)
    assert "cannot be told from 5 %" in sentence(far)


def test_every_condition_has_what_the_literature_says():
    assert set(CONDITIONS) == set(LITERATURE)
    assert "takes 0.8 bpm and 0.4 % off" in done_about("air temperature")
    assert "4 to 7 bpm" in LITERATURE["caffeine"]
