"""Real recordings: the same series as two independent decoders with their own default settings."""

import datetime
import warnings

import fitdecode
import fitparse
import numpy as np
import pytest
from recordings import recording
from said import said

from coachlib.errors import FileProblem
from coachlib.files.fit.reading import read_fit

GOOD = [
    "indoor_ride_38min.fit",
    "indoor_row_28min.fit",
    "indoor_ride_18min_beats.fit",
    "run_57min_sparse.fit",
    "run_65min_compressed.fit",
]
FIELDS = {"hr_bpm": "heart_rate", "speed_mps": "speed", "power_w": "power", "cadence_rpm": "cadence"}


def _rows_by_fitdecode(path):
    with fitdecode.FitReader(path) as reader:
        for frame in reader:
            if frame.frame_type == fitdecode.FIT_FRAME_DATA and frame.name == "record":
                yield {name: frame.get_value(name, fallback=None) for name in _NAMES}


def _rows_by_fitparse(path):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for message in fitparse.FitFile(str(path)).get_messages("record"):
            values = {}
            for field in message.fields:
                is_developer = isinstance(field.field, fitparse.records.DevField)
                if not is_developer and field.value is not None:
                    values.setdefault(field.name, field.value)
            yield {name: values.get(name) for name in _NAMES}


_NAMES = ("timestamp", *FIELDS.values(), "fractional_cadence")


def _seconds(value):
    return value.timestamp() if isinstance(value, datetime.datetime) else float(value)


@pytest.mark.parametrize("rows_of", [_rows_by_fitdecode, _rows_by_fitparse])
@pytest.mark.parametrize("name", GOOD)
@pytest.mark.filterwarnings("ignore::DeprecationWarning")
def test_series_agree_with_other_decoders(name, rows_of):
    path = recording(name)
    activity = read_fit(path)
    rows = list(rows_of(path))
    time = np.array([_seconds(row["timestamp"]) for row in rows])
    assert activity.samples["time_s"].tolist() == (time - time[0]).tolist()
    for column, field in FIELDS.items():
        expected = np.array([np.nan if row[field] is None else float(row[field]) for row in rows])
        if field == "cadence":
            expected = expected + [row["fractional_cadence"] or 0.0 for row in rows]
            expected *= 2.0 if activity.sport == "running" else 1.0
        np.testing.assert_allclose(activity.samples[column].to_numpy(), expected, rtol=1e-12, err_msg=column)


def test_indoor_ride_with_laps():
    activity = read_fit(recording("indoor_ride_38min.fit"))
    assert (activity.sport, activity.is_indoor, len(activity.samples), len(activity.laps)) == (
        "cycling",
        True,
        2263,
        5,
    )
    assert said(activity) == ()


def test_row_with_developer_fields():
    activity = read_fit(recording("indoor_row_28min.fit"))
    assert (activity.sub_sport, activity.n_developer_fields, len(activity.laps)) == ("indoor_rowing", 33, 8)
    assert activity.utc_offset_s == 3600.0


def test_ride_with_beats_and_a_pause():
    activity = read_fit(recording("indoor_ride_18min_beats.fit"))
    assert (activity.rr_s.size, len(activity.laps)) == (2705, 15)
    assert activity.pauses.to_dict("records") == [{"start_s": 841.0, "stop_s": 843.0, "why": "timer"}]
    assert (np.diff(activity.rr_time_s) >= 0).all()
    hr = np.interp(activity.rr_time_s, activity.samples["time_s"], activity.samples["hr_bpm"])
    assert np.median(60.0 / activity.rr_s - hr) == pytest.approx(0.0, abs=5.0)


def test_run_by_a_watch_that_counts_from_power_on():
    activity = read_fit(recording("run_57min_sparse.fit"))
    assert (activity.sport, len(activity.samples), activity.elapsed_s) == ("running", 686, 3425.0)
    assert any("since the device was switched on" in caveat for caveat in said(activity))


def test_run_with_compressed_speed_and_a_pause():
    activity = read_fit(recording("run_65min_compressed.fit"))
    assert len(activity.laps) == 11
    assert activity.pauses.to_dict("records") == [{"start_s": 681.0, "stop_s": 791.0, "why": "timer"}]
    assert activity.samples["distance_m"].max() == pytest.approx(10248.67, rel=0.01)


def test_damaged_recordings():
    wrong = read_fit(recording("damaged_wrong_crc.fit"))
    cut = read_fit(recording("damaged_cut.fit"))
    assert len(wrong.samples) == len(cut.samples) == 14
    assert any("checksum does not fit" in caveat for caveat in said(wrong))
    assert any("at byte 751 of 768; records read before it: 14" in caveat for caveat in said(cut))


def test_settings_are_no_activity():
    with pytest.raises(FileProblem, match="of the kind “settings”"):
        read_fit(recording("settings_not_activity.fit"))
