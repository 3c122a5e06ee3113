"""Which strap, power meter and foot pod a recording was made with; device types of the open FIT protocol."""

import pytest
from fitbytes import START, FitBytes
from recordings import recording

from coachlib.files.fit.reading import read_fit, read_fit_bytes

#: How a sensor is connected.
COMMON_RADIO, BLUETOOTH, LOCAL = 1, 3, 5


def sensors(*devices):
    """What is read from a file with these device messages: (index, kind, further values)."""
    fit = FitBytes().file_id().device(0, serial=777)
    for index, kind, values in devices:
        fit.device(index, kind, **values)
    activity = read_fit_bytes(fit.record(START, 120).session(START, 1).bytes())
    assert activity.device == "12345"
    return activity.heart_rate_sensor, activity.power_sensor, activity.stride_sensor


def test_sensors_of_the_common_radio():
    found = sensors(
        (1, 120, {"serial": 9857, "source": COMMON_RADIO}),
        (2, 11, {"serial": 84622353, "source": COMMON_RADIO}),
        (3, 124, {"serial": 3442746, "source": COMMON_RADIO}),
    )
    assert found == ("9857", "84622353", "3442746")


def test_older_files_do_not_say_how_a_sensor_is_connected():
    assert sensors((1, 120, {"serial": 1395}), (2, 124, {"serial": 5})) == ("1395", "", "5")


def test_sensors_by_bluetooth_are_numbered_differently():
    found = sensors(
        (1, 1, {"serial": 41, "source": BLUETOOTH}),
        (2, 2, {"serial": 42, "source": BLUETOOTH}),
        (3, 6, {"serial": 43, "source": BLUETOOTH}),
    )
    assert found == ("41", "42", "43")


def test_the_watchs_own_sensor_is_the_wrist_unless_a_strap_was_there():
    assert sensors((1, 10, {"source": LOCAL})) == ("wrist", "", "")
    strap = (2, 120, {"serial": 9, "source": COMMON_RADIO})
    assert sensors((1, 10, {"source": LOCAL}), strap)[0] == "9"
    nameless = (2, 1, {"source": BLUETOOTH})
    assert sensors((1, 10, {"source": LOCAL}), nameless)[0] == ""


def test_a_power_meter_goes_before_the_trainer():
    trainer = (1, 17, {"serial": 8, "source": COMMON_RADIO})
    assert sensors(trainer)[1] == "8"
    assert sensors(trainer, (2, 11, {"serial": 9, "source": COMMON_RADIO}))[1] == "9"


def test_a_number_that_is_learnt_late_counts():
    late = [(1, 120, {"source": COMMON_RADIO}), (1, 120, {"serial": 9857, "source": COMMON_RADIO})]
    assert sensors(*late)[0] == "9857"
    assert sensors((1, 120, {"number": 513, "source": COMMON_RADIO}))[0] == "513"


def test_other_devices_are_no_sensors_that_matter():
    barometer, speed = (1, 4, {"source": LOCAL}), (2, 123, {"serial": 6, "source": COMMON_RADIO})
    assert sensors(barometer, speed) == ("", "", "")


@pytest.mark.parametrize(
    ("name", "heart_rate", "power", "stride"),
    [
        ("indoor_ride_18min_beats.fit", "3376337169", "3602516352", ""),
        ("indoor_ride_38min.fit", "24703893", "84622353", ""),
        ("indoor_row_28min.fit", "9857", "", ""),
        ("run_57min_sparse.fit", "1395", "", ""),
        ("run_65min_compressed.fit", "1395", "", "3442746"),
    ],
)
def test_sensors_of_real_recordings(name, heart_rate, power, stride):
    """As the device messages of these files read with a decoder's own defaults."""
    activity = read_fit(recording(name))
    found = activity.heart_rate_sensor, activity.power_sensor, activity.stride_sensor
    assert found == (heart_rate, power, stride)
