import numpy as np
import pytest
import statsmodels.api as sm

from coachlib.errors import TooLittleData
from coachlib.measures.common.change import step_change


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


def test_too_few_values_are_refused():
    with pytest.raises(TooLittleData, match="a step needs at least 2 values; found 1"):
        step_change(np.array([1.0]))
