import numpy as np
import pytest

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.season.detectable import (
    SEM_CONTROLLED_BPM,
    SEM_UNCONTROLLED_BPM,
    SEM_USUAL_BPM,
    change_between,
    minimum_detectable_change,
    own_typical_error,
)


# source: reference change value z sqrt(2) SEM, computed by hand with z 1.96 and 1.645
@pytest.mark.parametrize(
    ("sem", "level", "expected", "digits"),
    [(2.0, 0.95, 5.54, 2), (2.5, 0.95, 6.93, 2), (3.0, 0.95, 8.32, 2), (2.0, 0.90, 4.65, 2)],
)
def test_two_single_tests(sem, level, expected, digits):
    assert round(minimum_detectable_change(sem, level=level), digits) == expected


def test_limits_of_the_three_conditions():
    for sem, expected in (
        (SEM_CONTROLLED_BPM, (3.3, 4.2, 5.0)),
        (SEM_USUAL_BPM, (4.7, 6.1, 7.2)),
        (SEM_UNCONTROLLED_BPM, (7.1, 9.1, 10.8)),
    ):
        for level, limit in zip((0.8, 0.9, 0.95), expected, strict=True):
            assert minimum_detectable_change(sem, level=level) == pytest.approx(limit, abs=0.06)


def test_means_of_several_tests_divide_by_the_root():
    one = minimum_detectable_change(2.6)
    assert minimum_detectable_change(2.6, n_before=4, n_after=4) == pytest.approx(one / 2)


@pytest.mark.parametrize(
    ("change", "word"), [(4.0, "cannot tell"), (-5.0, "possible"), (6.5, "likely"), (-8.0, "clear")]
)
def test_words_by_size_whatever_the_sign(change, word):
    found = change_between(150.0, 150.0 + change, sem=SEM_USUAL_BPM)
    assert found.word == word
    assert found.change == pytest.approx(change)


def test_simulated_nothing_is_likely_in_one_of_ten():
    rng = np.random.default_rng(4)
    before, after = rng.normal(150, 2.6, (2, 4000))
    words = [change_between(b, a, sem=2.6).word for b, a in zip(before, after, strict=True)]
    share = np.mean([w in ("likely", "clear") for w in words])
    assert abs(share - 0.10) < 0.02


def test_own_error_is_drawn_towards_the_usual_one():
    assert own_typical_error([150.0, 150.0, 150.0, 150.0]) == pytest.approx(np.sqrt(4 * 2.6**2 / 7))
    many = np.random.default_rng(1).normal(150, 5.0, 400)
    assert own_typical_error(many) == pytest.approx(many.std(ddof=1), rel=0.02)


def test_refusals_say_what_was_given():
    with pytest.raises(TooLittleData, match=r"4 repeats at one setting; 2 were given"):
        own_typical_error([150, 151])
    with pytest.raises(BadArgument, match=r"-1, 0.9, 1 and 1 were given"):
        minimum_detectable_change(-1.0)
