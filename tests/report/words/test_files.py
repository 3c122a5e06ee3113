"""Every code about a recording's file has a sentence, and says its numbers."""

import ast
from pathlib import Path

from coachlib.measures.common.codes import code
from coachlib.report.words.catalogue import sentences, whole

ROOMS = ("files", "measures/recording/odd_signals.py", "analysis/recording/dating.py")


def coded():
    """Names given to ``code(...)`` in the rooms whose sentences stand in the files' table."""
    root = Path(__file__).parents[3] / "coachlib"
    for room in ROOMS:
        for path in (root / room).rglob("*.py") if (root / room).is_dir() else [root / room]:
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "code":
                    yield node.args[0].value


def test_every_code_has_a_sentence():
    names = set(coded())
    assert len(names) > 20
    assert names <= sentences().keys()


def test_sentences_say_their_numbers():
    sports = ("swimming", "transition", "")
    assert whole(code("several sessions", sports=sports, part=2)) == (
        "The file holds 3 sessions: 1 swimming, 2 change of sport, 3 sport not named; this is number 3."
    )
    assert whole(code("several sessions", sports=("running",) * 12, part=0)).count(" running,") == 9
    assert "in 1 record, taken" in whole(code("values outside range", quantity="power_w", n_records=1))
    assert "within 3.6 km" in whole(code("altitude impossible", climbed_m=1778.0, distance_m=3600.0))
    assert "10.0 km/h for 25 min" in whole(code("speed stuck", speed_mps=10 / 3.6, minutes=25.0))
