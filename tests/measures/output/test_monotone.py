"""A line of output on heart rate that never falls, meets what was accepted and stays below all-out trials."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from open_laboratory_data import table

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.output.monotone import monotone_line

HEART_RATES = st.lists(st.floats(90, 195), min_size=2, max_size=12)


@settings(deadline=None)
@given(
    hr=HEART_RATES,
    seed=st.integers(0, 10_000),
    first=st.floats(120, 150),
    gap=st.floats(1, 40),
    output=st.floats(100, 250),
    more=st.floats(1, 120),
    ceilings=st.lists(st.tuples(st.floats(100, 200), st.floats(80, 400)), max_size=3),
)
def test_it_never_falls_meets_what_it_must_and_stays_below(hr, seed, first, gap, output, more, ceilings):
    measured = np.random.default_rng(seed).uniform(60, 400, len(hr))
    through = [(first, output), (first + gap, output + more)]
    line = monotone_line(hr, measured, slope=0.35, through=through, ceilings=ceilings)
    rates = np.linspace(80, 210, 400)
    outputs = np.array([line.output_at(bpm) for bpm in rates])
    assert (np.diff(outputs) >= -1e-9).all()
    for bpm, met in through:
        assert line.output_at(bpm) == pytest.approx(met)
    for reach, top in ceilings:
        must = max((o for bpm, o in through if bpm <= reach), default=0.0)
        assert outputs[rates <= reach].max(initial=0.0) <= max(top, must) + 1e-6


def test_values_that_fall_are_pooled_as_the_algorithm_is_published():
    # pooling adjacent violators by hand: 3, 1, 2 become their mean, 2; Ayer et al. 1955
    line = monotone_line([100, 110, 120, 130], [3.0, 1.0, 2.0, 4.0], slope=10)
    assert line.output == pytest.approx((2.0, 2.0, 2.0, 4.0))


def test_shape_comes_from_the_stages_and_place_from_what_is_accepted():
    stages = monotone_line([120, 140, 160, 180], [150, 200, 250, 300], slope=0.4)
    met = monotone_line([120, 140, 160, 180], [150, 200, 250, 300], slope=0.4, through=[(140, 180)])
    for bpm in (110, 125, 150, 175, 190):
        assert met.output_at(bpm) == pytest.approx(stages.output_at(bpm) - 20)


def test_open_graded_tests_lie_on_the_line_and_between_their_stages():
    """278 cyclists and 272 runners, Donne et al. 2024: heart rate rises with load, r 0.995, so little is pooled."""
    stages = table("graded_tests_run_cycle_ccby.csv").dropna(subset=["hr", "load"])
    off = []
    for _, test in list(stages[stages["sport"] == "Cycling"].groupby("test"))[:60]:
        if len(test) < 5 or test["load"].max() <= 0:
            continue
        line = monotone_line(test["hr"], test["load"], slope=0.35)
        off.append(line.scatter / test["load"].median())
        assert line.output_at(test["hr"].max() + 3.5) == pytest.approx(line.output[-1] + 10)
    assert np.median(off) < 0.01
    assert np.mean(np.array(off) < 0.05) > 0.95


def test_what_cannot_be_is_refused():
    with pytest.raises(TooLittleData, match="needs two pairs of heart rate and output; found 1"):
        monotone_line([120], [150], slope=0.35)
    with pytest.raises(BadArgument, match="have to rise"):
        monotone_line([120], [150], slope=0.35, through=[(150, 200), (160, 190)])
    with pytest.raises(BadArgument, match="slope of -1"):
        monotone_line([120, 130], [150, 160], slope=-1)
