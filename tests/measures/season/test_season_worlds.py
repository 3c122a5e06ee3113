"""Seasons without a change of fitness, in which only what sessions are like changes; and with one.

A few seasons each, second by second; ``tests/benchmarks/season_calls.py`` runs them in numbers.
"""

import pytest
from benchmarks.ordinary_sessions import SEASONS, Season, caught_changes, false_calls

FEW = 8


@pytest.mark.parametrize(
    "world",
    [
        "easier, slope 16",
        "no temperature, cooling",
        "flat, then hilly",
        "counts steps",
        "samples a quarter low",
    ],
)
def test_what_only_looks_like_a_change_is_rarely_called(world):
    assert world in SEASONS
    found = false_calls(FEW, 11, world)
    assert found["false likely"] <= 2 / FEW
    assert found["false clear"] <= 1 / FEW


def test_a_real_gain_is_called_in_time():
    assert caught_changes(FEW, 12, Season(named=True))["12.2 in 6 by 6"] >= 0.7
