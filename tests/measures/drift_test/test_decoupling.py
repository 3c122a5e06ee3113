import numpy as np
import pytest

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.drift_test.decoupling import decoupling
from coachlib.measures.recording.lag import lagged_output

HOUR = np.arange(3600.0)
ALL = np.ones(3600, dtype=bool)

# decoupling: Smyth et al. (2022), Sports Med 52:2283-2295, doi 10.1007/s40279-022-01680-5; values from its formula


@pytest.mark.parametrize(
    ("v1", "v2", "hr1", "hr2", "loss", "ratio"),
    [(3.0, 3.0, 140, 147, 4.7619, 5.0000), (3.0, 2.94, 145, 150, 5.2667, 5.5595)],
)
def test_both_forms_of_decoupling(v1, v2, hr1, hr2, loss, ratio):
    first = HOUR < 1800
    found = decoupling(HOUR, np.where(first, hr1, hr2), np.where(first, v1, v2), ALL, start_s=0, stop_s=3600)
    assert found.loss_pct == pytest.approx(loss, abs=5e-5)
    assert found.ratio_pct == pytest.approx(ratio, abs=5e-5)
    assert found.ratio_pct / 100 == pytest.approx(found.loss_pct / 100 / (1 - found.loss_pct / 100))


def test_a_ratio_mistakes_a_change_of_pace_for_drift():
    """Treadmill gain 24.2 bpm per m/s (2015, doi 10.1186/s12938-015-0112-7): 5 % slower is a loss of 2.644 %."""
    speed = np.where(HOUR < 1800, 3.0, 2.85)
    plain = decoupling(HOUR, 150 + 24.2 * (speed - 3.0), speed, ALL, start_s=0, stop_s=3600)
    assert plain.loss_pct == pytest.approx(2.644, abs=5e-4)


def test_stops_are_no_output():
    stopped = (HOUR >= 2000) & (HOUR < 2100)
    speed, hr = np.where(stopped, 0.0, 3.0), np.full(3600, 150.0)
    found = decoupling(HOUR, hr, speed, ~stopped, start_s=0, stop_s=3600)
    assert found.loss_pct == pytest.approx(0.0, abs=1e-9)
    with pytest.raises(BadArgument, match="an output above 0 in both halves; found 0 and 0"):
        decoupling(HOUR, hr, np.zeros(3600), ALL, start_s=0, stop_s=3600)
    with pytest.raises(TooLittleData, match="with heart rate and output in each half"):
        decoupling(HOUR, hr, speed, HOUR < 1900, start_s=0, stop_s=3600)


def test_output_lags_as_a_first_order_response():
    """63.2 % of a step after one time constant."""
    step = np.where(np.arange(400.0) < 100, 2.0, 3.0)
    seen = lagged_output(np.arange(400.0), step)
    assert seen[99] == 2.0
    assert seen[99 + 58] == pytest.approx(3 - np.exp(-1), abs=1e-9)
    assert np.isnan(lagged_output(np.arange(3.0), np.full(3, np.nan))).all()
