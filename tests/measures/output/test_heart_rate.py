import pytest
from published_values import load
from scipy.stats import norm

from coachlib.errors import BadArgument
from coachlib.measures.output import heart_rate


@pytest.mark.parametrize("row", list(load("hr_max_by_age").itertuples()), ids=lambda r: f"{r.age} years")
def test_formulas_by_age(row):
    found = (
        heart_rate.hr_max_220_minus_age(row.age),
        heart_rate.hr_max_tanaka(row.age),
        heart_rate.hr_max_gellish(row.age),
        heart_rate.hr_max_nes(row.age),
        heart_rate.hr_max_beta_blocker_brawner(row.age),
    )
    assert found == pytest.approx((row.minus, row.tanaka, row.gellish, row.nes, row.brawner), abs=0.05)


def test_the_two_lines_cross_where_they_must():
    assert heart_rate.hr_max_220_minus_age(40) == pytest.approx(heart_rate.hr_max_tanaka(40))
    assert heart_rate.hr_max_220_minus_age(25) == pytest.approx(heart_rate.hr_max_nes(25))


def test_a_third_of_people_are_off_by_more_than_ten_beats():
    # Nes et al. 2013, standard error of estimate 10.8
    assert 2 * norm.sf(10 / heart_rate.predicted_maximum(40).se_bpm) == pytest.approx(0.354, abs=0.001)


def test_a_formula_is_refused_outside_its_ages():
    with pytest.raises(BadArgument, match="18 to 50 years; found 61"):
        heart_rate.hr_max_zhu(61)


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


@pytest.mark.parametrize(("vo2max_pct", "hr_max_pct"), [(40, 63), (60, 76), (80, 89), (85, 92)])
def test_shares_of_the_abstract(vo2max_pct, hr_max_pct):
    # Swain et al. 1994, Med Sci Sports Exerc 26:112-116, abstract
    assert round(100 * heart_rate.maximum_share_swain(vo2max_pct / 100)) == hr_max_pct
