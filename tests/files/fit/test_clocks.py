"""Of two clocks in one file the one that fits the rest of the file counts; no tie loses both."""

import numpy as np
import pytest
from fitbytes import START, FitBytes

from coachlib.files.fit.clocks import trusted
from coachlib.files.fit.reading import read_fit_bytes

LATER = START + 300 * 86_400


def halves(first, second, *, session, n=(100, 100), created=None):
    fit = FitBytes().file_id(created=created)
    for begin, count, hr in ((first, n[0], 120), (second, n[1], 150)):
        for s in range(count):
            fit.record(begin + s, hr)
    return read_fit_bytes(fit.session(session, 100).bytes())


@pytest.mark.parametrize(("first", "second"), [(START, LATER), (LATER, START), (1000, START), (START, 1000)])
@pytest.mark.parametrize("fits", [0, 1])
def test_the_half_that_fits_the_file(first, second, fits):
    activity = halves(first, second, session=(first, second)[fits])
    assert activity.samples["hr_bpm"].tolist() == [(120.0, 150.0)[fits]] * 100
    assert [c.name for c in activity.caveats if c.name == "records without time"]


@pytest.mark.parametrize("second", [LATER, START - 20 * 86_400, 1000])
def test_no_tie_loses_both(second):
    activity = halves(START, second, session=None if second == 1000 else 77)
    assert len(activity.samples) == 100


def test_a_few_damaged_times_never_win():
    activity = halves(START, LATER, session=LATER, n=(100, 20))
    assert activity.samples["hr_bpm"].tolist() == [120.0] * 100


def test_three_clocks():
    time = np.concatenate([begin + np.arange(40.0) for begin in (START, LATER, 5000)])
    assert trusted(time, stated=[5010.0]).tolist() == [False] * 80 + [True] * 40
    assert trusted(time).sum() == 40


def test_ten_days_apart_is_one_clock_only_where_records_lie_between():
    days = START + np.arange(0, 6 * 86_400, 600.0)
    assert trusted(days).all()
