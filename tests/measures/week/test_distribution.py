import pytest
from published_values import load

from coachlib.errors import BadArgument
from coachlib.measures.week.distribution import distribution_type, polarization_index


@pytest.mark.parametrize("row", list(load("seiler_kjerland_2006").itertuples()), ids=lambda r: r.way)
def test_published_distributions(row):
    shares = (row.below / 100, row.between / 100, row.above / 100)
    assert polarization_index(*shares) == pytest.approx(row.index, abs=5e-5)
    assert distribution_type(*shares) == "polarized"


@pytest.mark.parametrize(
    ("shares", "index", "kind"),
    # arithmetic on the formula of Treff et al. 2019; types by Sperlich et al. 2023
    [
        ((0.80, 0.15, 0.05), 1.4260, "pyramidal"),
        ((0.78, 0.11, 0.11), 1.8921, "none"),
        ((0.30, 0.60, 0.10), 0.6990, "threshold"),
        ((1.0, 0.0, 0.0), 0.0, "none"),
    ],
)
def test_other_distributions(shares, index, kind):
    assert polarization_index(*shares) == pytest.approx(index, abs=5e-5)
    assert distribution_type(*shares) == kind


def test_more_above_than_below_has_no_index():
    assert polarization_index(0.2, 0.2, 0.6) is None


def test_an_empty_middle_counts_as_one_per_cent():
    # Treff et al. 2019, from memory
    assert polarization_index(0.8, 0.0, 0.2) == pytest.approx(3.2041, abs=5e-5)


def test_per_cent_are_refused():
    with pytest.raises(BadArgument, match="three fractions that sum to 1; found 75, 8, 17"):
        polarization_index(75, 8, 17)
