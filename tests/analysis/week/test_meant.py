"""What was meant as easy: by kind and by a plan's own words, never by letters inside words."""

from types import SimpleNamespace

import pytest

from coachlib.analysis.week.meant import meant_easy


@pytest.mark.parametrize(
    ("target", "kind", "planned", "is_easy"),
    [
        (None, None, "easy 50", True),
        (None, None, "tempo along the river", False),
        (None, None, "not easy: race pace", False),
        (None, None, "4 x 4 min, easy between", False),
        (None, None, "6x1000 easy jog between", False),
        (None, None, "ruhig 60", True),
        (None, None, "nicht ruhig", False),
        (None, None, "Dauerlauf locker 12 km", True),
        (None, None, "sortie longue 2 h", True),
        (None, None, "récupération", True),
        (None, None, "rodaje suave", True),
        (None, None, "fondo lento 70'", True),
        (None, None, "lungo 30 km", True),
        (None, None, "belonging to the long run", True),
        (None, None, "relay along the coast", False),
        (None, None, "", False),
        (None, None, None, False),
        (None, "easy", "tempo", True),
        (None, "intervals", "easy", False),
        (None, "other", "easy 40", True),
        ("easy", "intervals", "tempo", True),
        ("threshold", "easy", "easy", False),
        ("Long", None, None, True),
    ],
)
def test_what_is_meant_as_easy(target, kind, planned, is_easy):
    assert meant_easy(SimpleNamespace(target=target, kind=kind, planned=planned)) is is_easy
