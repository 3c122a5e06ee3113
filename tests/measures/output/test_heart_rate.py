import pytest
from published_values import load
from scipy.stats import norm

from coachlib.errors import BadArgument
from coachlib.measures.output import heart_rate


@pytest.mark.parametrize("row", list(load("hr_max_by_age").itertuples()), ids=lambda r: f"{r.age} years")
def test_maximum_by_age(row):
    assert heart_rate.hr_max_nes(row.age) == pytest.approx(row.nes, abs=0.05)


def test_a_third_of_people_are_off_by_more_than_ten_beats():
    # Nes et al. 2013, standard error of estimate 10.8
    assert 2 * norm.sf(10 / heart_rate.PREDICTION_SE_BPM) == pytest.approx(0.354, abs=0.001)


@pytest.mark.parametrize(
    ("share", "rest", "highest", "target"),
    [
        (0.7, 60, 190, 151),  # arithmetic
        (0.85, 60, 190, 170.5),
        (0.7, 70, 220 - 27, 156.1),  # emedicinehealth.com exercise page 3: age 27, rest 70, printed 156
        (0.6, 60, 200, 144),  # qammunity worked answer: 200, 60, 60 % gives 144
    ],
)
def test_reserve_targets(share, rest, highest, target):
    assert heart_rate.at_reserve(share, hr_rest_bpm=rest, hr_max_bpm=highest) == pytest.approx(target)
    assert heart_rate.reserve_share(target, hr_rest_bpm=rest, hr_max_bpm=highest) == pytest.approx(share)


def test_reserve_needs_a_maximum_above_rest():
    with pytest.raises(BadArgument, match="found 60 and 60 bpm"):
        heart_rate.reserve_share(100, hr_rest_bpm=60, hr_max_bpm=60)
