import numpy as np
import pytest
import statsmodels.api as sm

from coachlib.errors import TooLittleData
from coachlib.measures.common.change import hinge, step_change


@pytest.fixture(scope="module")
def nile():
    """Flow of the Nile 1871 to 1970, as statsmodels carries it."""
    return sm.datasets.nile.load_pandas().data


def test_the_nile_fell_after_1898(nile):
    """Cobb (1978), Biometrika 65:243-251: the 28th year is the last before the break."""
    found = step_change(nile["volume"].to_numpy())
    assert found.n_before == 28
    assert found.before == pytest.approx(1097.75)
    assert found.after == pytest.approx(849.9722, abs=5e-5)
    assert found.squares == pytest.approx(1597457.19, abs=0.005)


def test_the_nile_bends_in_1913(nile):
    """One kink by R's segmented (Muggeo 2003): 1912.999, standard error 6.307558.

    That search stopped 0.001 short of the least squares, which moves the error in its fifth digit.
    """
    found = hinge(nile["year"].to_numpy().astype(float), nile["volume"].to_numpy())
    assert found.at == pytest.approx(1912.999, abs=0.0015)
    assert found.se == pytest.approx(6.307558, abs=2e-4)
    assert found.squares == pytest.approx(1833664.26, abs=0.005)


@pytest.mark.parametrize("at", [4.0, 7.3, 14.99])
def test_a_built_bend_is_found_exactly(at):
    x = np.arange(20.0)
    found = hinge(x, 3 + 0.5 * x + 2 * np.maximum(x - at, 0))
    assert found.at == pytest.approx(at, abs=1e-6)
    assert (found.slope_before, found.slope_after) == (pytest.approx(0.5), pytest.approx(2.5))


def test_too_few_values_are_refused():
    with pytest.raises(TooLittleData, match="a step needs at least 2 values; found 1"):
        step_change(np.array([1.0]))
    with pytest.raises(TooLittleData, match="a bend needs at least 6 values; found 5"):
        hinge(np.arange(5.0), np.arange(5.0))
