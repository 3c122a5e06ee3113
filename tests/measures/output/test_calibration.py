import numpy as np
import pytest
import statsmodels.api as sm
from published_values import load
from scipy.optimize import brentq

from coachlib.errors import BadArgument, TooLittleData, UnfitTest
from coachlib.measures.output.calibration import calibration_line, output_at_mean, output_at_reading

POWER = np.array([125.0, 175.0, 225.0, 250.0, 275.0, 300.0])
HEART_RATE = np.array([118.0, 133.0, 151.0, 158.0, 165.0, 176.0])


def published(name):
    rows = load("graybill_iyer_data").query("data == @name")
    return rows["x"].to_numpy(dtype=float), rows["y"].to_numpy()


@pytest.mark.parametrize(
    "row", list(load("graybill_iyer_answers").itertuples()), ids=lambda r: f"{r.data} {r.y}"
)
def test_inverse_prediction_as_printed(row):
    inverse = {"reading": output_at_reading, "mean": output_at_mean}[row.kind]
    found = inverse(calibration_line(*published(row.data)), row.y, level_frac=row.level)
    for value, printed in ((found.output, row.x), (found.output_low, row.low), (found.output_high, row.high)):
        half_digit = 0.5 * 10 ** -len(str(printed).partition(".")[2])
        assert abs(value - printed) <= half_digit


def test_line_agrees_with_a_regression_library():
    line = calibration_line(POWER, HEART_RATE)
    fit = sm.OLS(HEART_RATE, sm.add_constant(POWER)).fit()
    assert (line.intercept_bpm, line.slope) == pytest.approx(tuple(fit.params))
    assert line.slope_se == pytest.approx(fit.bse[1])
    assert line.residual_sd_bpm == pytest.approx(fit.mse_resid**0.5)
    assert line.r**2 == pytest.approx(fit.rsquared)


@pytest.mark.parametrize(("inverse", "kind"), [(output_at_mean, "mean"), (output_at_reading, "obs")])
def test_interval_ends_where_the_band_of_a_regression_library_meets_the_heart_rate(inverse, kind):
    fit = sm.OLS(HEART_RATE, sm.add_constant(POWER)).fit()

    def edge(x, side):
        band = fit.get_prediction([[1.0, x]]).conf_int(obs=kind == "obs", alpha=0.1)
        return band[0, side] - 155.0

    found = inverse(calibration_line(POWER, HEART_RATE), 155.0)
    assert found.output_low == pytest.approx(brentq(edge, 150, 300, args=(1,)), abs=1e-6)
    assert found.output_high == pytest.approx(brentq(edge, 150, 300, args=(0,)), abs=1e-6)


def test_nine_of_ten_intervals_hold_the_built_output():
    """Truth: heart rate 76 + 0.33 x power, scatter 2.4 bpm, six stages; the output at 150 bpm is 224.2 W."""
    rng = np.random.default_rng(11)
    truth = (150 - 76) / 0.33
    held = 0
    for _ in range(1000):
        found = output_at_mean(
            calibration_line(POWER, 76 + 0.33 * POWER + rng.normal(0, 2.4, POWER.size)), 150.0
        )
        held += found.output_low <= truth <= found.output_high
    assert 0.87 <= held / 1000 <= 0.93


def test_missing_stages_do_not_count_and_a_prolonged_line_says_so():
    with_gap = calibration_line(np.append(POWER, 325.0), np.append(HEART_RATE, np.nan))
    assert with_gap == calibration_line(POWER, HEART_RATE)
    assert output_at_mean(with_gap, 150.0).caveats == ()
    assert "prolonged" in output_at_mean(with_gap, 190.0).caveats[0]


@pytest.mark.parametrize(
    ("power", "heart_rate", "error", "sentence"),
    [
        ([100, 150], [110, 130], TooLittleData, "needs 3 stages; found 2"),
        ([100, 100, 100], [110, 112, 111], UnfitTest, "all 3 stages are at 100"),
        (
            [100, 150, 200],
            [150, 140, 130],
            UnfitTest,
            "must rise with output; over 3 stages it changes by -0.2 bpm",
        ),
        ([100, 150, 200], [110, 130], BadArgument, "one heart rate for each output; found 3 and 2"),
    ],
)
def test_refusals_of_a_line(power, heart_rate, error, sentence):
    with pytest.raises(error, match=sentence):
        calibration_line(np.array(power, dtype=float), np.array(heart_rate, dtype=float))


def test_refusals_of_an_inverse():
    vague = calibration_line(np.array([100.0, 101.0, 102.0]), np.array([120.0, 130.0, 121.0]))
    with pytest.raises(UnfitTest, match="the output at 125 bpm cannot be told: from 3 stages"):
        output_at_mean(vague, 125.0)
    with pytest.raises(BadArgument, match="between 0 and 1; found 95"):
        output_at_mean(vague, 125.0, level_frac=95)
