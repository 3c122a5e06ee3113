"""What recordings mean: built files with a known answer for every trap of the format."""

import math
import struct
from datetime import UTC, datetime

import numpy as np
import pytest
from fitbytes import (
    CYCLING,
    GENERIC,
    INDOOR_CYCLING,
    RUNNING,
    START,
    SWIMMING,
    TRANSITION,
    TREADMILL,
    FitBytes,
    steady_run,
)
from said import said

from coachlib.errors import FileProblem
from coachlib.files.fit.reading import read_fit_bytes


def read(fit):
    return read_fit_bytes(fit.bytes())


def plain(records=(), *, sport=RUNNING, sub_sport=GENERIC, elapsed_s=None):
    """A file of records given as (second, heart rate, *extra fields), and one session."""
    fit = FitBytes().file_id()
    for second, hr, *extra in records:
        fit.record(START + second, hr, *extra)
    elapsed_s = records[-1][0] if elapsed_s is None else elapsed_s
    return fit.session(START, elapsed_s, sport, sub_sport)


# -- columns ----------------------------------------------------------------------------------------------


def test_units_are_those_of_the_table():
    fields = [
        (6, "uint16", 2500),
        (7, "uint16", 210),
        (2, "uint16", 2600),
        (5, "uint32", 12345),
        (13, "sint8", -4),
        (4, "uint8", 90),
    ]
    samples = read(plain([(0, 120, *fields), (1, 121, *fields)], sport=CYCLING)).samples
    assert samples.iloc[0].to_dict() == {
        "time_s": 0.0,
        "hr_bpm": 120.0,
        "speed_mps": 2.5,
        "power_w": 210.0,
        "cadence_rpm": 90.0,
        "altitude_m": 20.0,
        "distance_m": 123.45,
        "temperature_c": -4.0,
    }
    assert {str(kind) for kind in samples.dtypes} == {"float64"}


def test_every_column_is_there_and_missing_is_nan():
    samples = read(plain([(0, None), (1, 120)])).samples
    assert list(samples.columns) == [
        "time_s",
        "hr_bpm",
        "speed_mps",
        "power_w",
        "cadence_rpm",
        "altitude_m",
        "distance_m",
        "temperature_c",
    ]
    assert math.isnan(samples["hr_bpm"][0])
    assert samples.drop(columns=["time_s", "hr_bpm"]).isna().all().all()


@pytest.mark.parametrize(
    ("fields", "speed_mps"),
    [
        ([(73, "uint32", 3100)], 3.1),
        ([(6, "uint16", 3000)], 3.0),
        ([(6, "uint16", 3000), (73, "uint32", 3100)], 3.1),
        ([(73, "uint32", 3100), (6, "uint16", 3000)], 3.1),
        ([(73, "uint32", None), (6, "uint16", 3000)], 3.0),
        ([(73, "uint32", (3100, 3200))], 3.1),
        ([(8, "byte", (98, 1, 0))], 3.54),
        ([(8, "byte", (98, 1, 0)), (6, "uint16", 3000)], 3.0),
        ([(73, "string", b"fast")], math.nan),
    ],
)
def test_speed_from_the_best_field_that_has_it(fields, speed_mps):
    samples = read(plain([(0, 120, *fields), (1, 120, *fields)])).samples
    assert samples["speed_mps"].tolist() == pytest.approx([speed_mps, speed_mps], nan_ok=True)


def test_compressed_distance_is_accumulated():
    fields = [[(8, "byte", (0, (d & 0xF) << 4, d >> 4))] for d in (0, 4000, 4080, 100)]
    samples = read(plain([(s, 120, *f) for s, f in enumerate(fields)])).samples
    assert samples["distance_m"].tolist() == [0.0, 250.0, 255.0, (4096 + 100) / 16]


def test_running_cadence_counts_both_feet_and_riding_cadence_does_not():
    fields = [(4, "uint8", 85), (53, "uint8", 64)]
    assert read(plain([(0, 120, *fields)])).samples["cadence_rpm"][0] == 171.0
    assert read(plain([(0, 120, *fields)], sport=CYCLING)).samples["cadence_rpm"][0] == 85.5


def test_heart_rate_zero_is_missing_and_counted():
    activity = read(plain([(0, 0), (1, 120), (2, 0)]))
    assert activity.samples["hr_bpm"].isna().tolist() == [True, False, True]
    assert said(activity) == ("heart rate is written as 0 in 2 of 3 records, taken as missing",)


def test_impossible_values_are_missing_and_counted():
    activity = read(plain([(0, 120, (7, "uint16", 4001)), (1, 120, (7, "uint16", 4000))]))
    assert activity.samples["power_w"].isna().tolist() == [True, False]
    assert said(activity) == ("power lies outside 0 to 4000 watts in 1 record, taken as missing",)


def test_values_that_are_no_numbers_are_missing_and_counted():
    fit = FitBytes().file_id()
    fit.message(20, (253, "uint32", START), (3, "string", b"abc\0"))
    fit.record(START + 1, 120).session(START, 1)
    activity = read(fit)
    assert activity.samples["hr_bpm"].isna().tolist() == [True, False]
    assert "values that are not numbers, or no beat intervals, are taken as missing: 1" in said(activity)


def test_developer_fields_are_left_aside_and_counted():
    fit = FitBytes().file_id()
    fit.message(207, (3, "uint8", 0))
    fit.message(206, (0, "uint8", 0), (1, "uint8", 0), (2, "uint8", 2), (3, "string", b"heart_rate\0"))
    fit.body += struct.pack("<BBBHB", 0x60 | 12, 0, 0, 20, 1) + bytes([253, 4, 0x86]) + bytes([1, 0, 1, 0])
    for s in range(3):
        fit.body += bytes([12]) + struct.pack("<IB", START + s, 77)
    activity = read(fit.session(START, 3))
    assert activity.n_developer_fields == 1
    assert activity.samples["hr_bpm"].isna().all()


# -- time -------------------------------------------------------------------------------------------------


def test_start_and_local_time():
    activity = read(steady_run(60))
    assert activity.started_at == datetime(2026, 10, 3, 7, tzinfo=UTC)
    assert activity.utc_offset_s == 7200.0


@pytest.mark.parametrize("offset_s", [-8 * 3600, 20700, 14 * 3600])
def test_sane_local_offsets(offset_s):
    fit = plain([(0, 120), (1, 121)]).activity(START + 1, START + 1 + offset_s)
    assert read(fit).utc_offset_s == offset_s


@pytest.mark.parametrize("local_at", [0, START + 15 * 3600, START + 7201])
def test_a_local_time_that_cannot_be_is_not_believed(local_at):
    activity = read(plain([(0, 120), (1, 121)]).activity(START, local_at))
    assert activity.utc_offset_s is None
    assert "the file's local time does not fit its UTC time; the athlete's time zone is needed" in said(
        activity
    )


def test_seconds_since_power_on_are_dated_by_the_moment_of_closing():
    fit = FitBytes().file_id()
    for s in range(60):
        fit.record(16_000_000 + s, 120)
    fit.session(16_000_000, 60).activity(16_000_060, START)
    activity = read(fit)
    assert activity.elapsed_s == 59.0
    assert activity.started_at == datetime(2026, 10, 3, 6, 59, tzinfo=UTC)
    assert activity.utc_offset_s is None
    assert "since the device was switched on; its date is the local one" in said(activity)[-1]


def test_seconds_since_power_on_without_a_date():
    fit = FitBytes().file_id()
    for s in range(60):
        fit.record(1000 + s, 120)
    activity = read(fit.session(1000, 60))
    assert activity.elapsed_s == 59.0
    assert "it knows no date, so check the date" in said(activity)[-1]


def test_compressed_timestamps():
    fit = FitBytes().file_id().record(START, 120)
    fit.body += bytes([0x40 | 3, 0, 0, 20, 0, 1, 3, 1, 2])  # local message 3: heart rate alone
    for s in (5, 9, 40):  # the five bits of time go round after 31
        fit.body += bytes([0x80 | 3 << 5 | ((START + s) & 0x1F), 122])
    samples = read(fit.session(START, 60)).samples
    assert samples["time_s"].tolist() == [0.0, 5.0, 9.0, 40.0]
    assert samples["hr_bpm"].tolist() == [120.0, 122.0, 122.0, 122.0]


def test_damaged_times_are_left_out_and_counted():
    fit = FitBytes().file_id()
    for s in range(100):
        fit.record(START + s, 120)
    fit.record(START + 64 * 365 * 86400, 99).record(50, 99).record(None, 99)
    for s in range(100, 110):
        fit.record(START + s, 120)
    fit.record(START + 5 * 86400, 99)
    activity = read(fit.session(START, 110))
    assert activity.samples["time_s"].tolist() == list(range(110))
    assert (activity.samples["hr_bpm"] == 120).all()
    assert "records without a time, or with one that cannot be, were left out: 4" in said(activity)


def test_records_of_the_same_second_are_merged_by_their_first_value():
    records = [(0, 120), (0, 99, (7, "uint16", 200)), (1, None), (1, 130, (7, "uint16", 210))]
    activity = read(plain(records))
    assert activity.samples["time_s"].tolist() == [0.0, 1.0]
    assert activity.samples["hr_bpm"].tolist() == [120.0, 130.0]
    assert activity.samples["power_w"].tolist() == [200.0, 210.0]
    assert "records with the time of another one were merged with it: 2" in said(activity)


def test_records_out_of_order_are_sorted():
    order = [0, 1, 2, 5, 6, 3, 4, 7]
    activity = read(plain([(s, 100 + s) for s in order]))
    assert activity.samples["time_s"].tolist() == list(range(8))
    assert activity.samples["hr_bpm"].tolist() == [100.0 + s for s in range(8)]
    assert any("out of order in time" in caveat for caveat in said(activity))


# -- pauses -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("stop", [1, 4, 8, 9])
def test_a_timer_pause(stop):
    fit = FitBytes().file_id().timer(START, 0)
    for s in [*range(101), *range(160, 200)]:
        fit.record(START + s, 120)
    fit.timer(START + 100, stop).timer(START + 160, 0).timer(START + 199, 4).session(START, 199)
    activity = read(fit)
    assert activity.pauses.to_dict("records") == [{"start_s": 100.0, "stop_s": 160.0, "why": "timer"}]
    assert said(activity) == ()


def test_records_inside_a_pause_are_left_out_but_not_those_on_its_edges():
    fit = FitBytes().file_id()
    for s in range(200):
        fit.record(START + s, 120)
    activity = read(fit.timer(START + 100, 4).timer(START + 110, 0).session(START, 199))
    assert activity.samples["time_s"].tolist() == [*range(101), *range(110, 200)]
    assert "records inside pauses of the timer were left out: 9" in said(activity)


def test_a_gap_without_an_event_is_a_pause_that_says_so():
    seconds = [*range(50), *range(60, 100), *range(111, 150)]  # steps of 11 s and 12 s
    activity = read(plain([(s, 120) for s in seconds]))
    assert activity.pauses.to_dict("records") == [
        {"start_s": 49.0, "stop_s": 60.0, "why": "gap"},
        {"start_s": 99.0, "stop_s": 111.0, "why": "gap"},
    ]
    assert read(plain([(s, 120) for s in (0, 10, 20)])).pauses.empty


def test_a_gap_is_a_pause_only_where_the_timer_does_not_explain_it():
    fit = FitBytes().file_id()
    for s in [*range(50), *range(400, 420)]:
        fit.record(START + s, 120)
    activity = read(fit.timer(START + 50, 4).timer(START + 100, 0).session(START, 420))
    assert activity.pauses.to_dict("records") == [
        {"start_s": 50.0, "stop_s": 100.0, "why": "timer"},
        {"start_s": 100.0, "stop_s": 400.0, "why": "gap"},
    ]


def test_repeated_stops_and_a_stop_without_a_start():
    fit = FitBytes().file_id()
    for s in range(100):
        fit.record(START + s, 120)
    fit.timer(START + 20, 4).timer(START + 25, 1).timer(START + 30, 0).timer(START + 90, 4).session(START, 99)
    activity = read(fit)
    assert activity.pauses[["start_s", "stop_s"]].to_numpy().tolist() == [[20.0, 30.0]]
    assert activity.elapsed_s == 99.0


def test_a_timer_that_would_leave_nothing_is_not_believed():
    fit = plain([(s, 120) for s in range(20)]).timer(START - 10, 4).timer(START + 30, 0)
    activity = read(fit)
    assert len(activity.samples) == 20
    assert any("were not believed" in caveat for caveat in said(activity))


# -- laps -------------------------------------------------------------------------------------------------


def test_laps_end_by_elapsed_time_and_never_by_their_time_stamp():
    fit = FitBytes().file_id()
    fit.lap(START + 300, 300.5, stamped=START + 90000).lap(START, 299.25, stamped=START)
    fit.session(START, 600)  # summary first
    for s in range(601):
        fit.record(START + s, 120)
    activity = read(fit)
    assert activity.laps.to_dict("records") == [
        {"start_s": 0.0, "stop_s": 299.25, "number": 1},
        {"start_s": 300.0, "stop_s": 600.5, "number": 2},
    ]


def test_laps_without_length_or_start():
    fit = plain([(s, 120) for s in range(601)])
    fit.lap(START, None, stamped=START + 5).lap(START + 100, 500.0).lap(0, 100.0)
    activity = read(fit)
    assert activity.laps["stop_s"].tolist() == [100.0, 600.0]
    assert "laps without a usable start were left out: 1" in said(activity)


def test_no_laps_and_no_pauses_keep_their_columns():
    activity = read(plain([(0, 120), (1, 121)]))
    assert activity.laps.dtypes.astype(str).to_dict() == {
        "start_s": "float64",
        "stop_s": "float64",
        "number": "int64",
    }
    assert activity.pauses.dtypes.astype(str).to_dict() == {
        "start_s": "float64",
        "stop_s": "float64",
        "why": "str",
    }
    assert activity.rr_s.size == activity.rr_time_s.size == 0


# -- sessions ---------------------------------------------------------------------------------------------


def three_sports(*, hr_of_ride=None):
    fit = FitBytes().file_id()
    for s in range(300):
        fit.record(START + s, 130)
    for s in range(300, 360):
        fit.record(START + s, 110)
    for s in range(360, 1500):
        fit.record(START + s, hr_of_ride, (4, "uint8", 80))
    fit.lap(START, 300).lap(START + 300, 60).lap(START + 360, 1140)
    fit.session(START + 360, 1140, CYCLING).session(START, 300, SWIMMING).session(START + 300, 60, TRANSITION)
    return fit


def test_several_sessions_are_listed_and_the_one_with_most_heart_rate_is_taken():
    activity = read(three_sports())
    assert [(p.number, p.sport, p.start_s, p.stop_s, p.hr_s) for p in activity.parts] == [
        (0, "swimming", 0.0, 299.0, 300.0),
        (1, "transition", 300.0, 359.0, 60.0),
        (2, "cycling", 360.0, 1499.0, 0.0),
    ]
    assert (activity.part, activity.sport, activity.elapsed_s) == (0, "swimming", 299.0)
    assert read(three_sports(hr_of_ride=140)).sport == "cycling"
    assert "holds 3 sessions: 1 swimming, 2 change of sport, 3 cycling; this is number 1" in said(activity)[0]


def test_a_session_can_be_chosen_and_starts_at_its_own_first_record():
    activity = read_fit_bytes(three_sports().bytes(), part=2)
    assert (activity.part, activity.sport, activity.elapsed_s) == (2, "cycling", 1139.0)
    assert activity.started_at == datetime(2026, 10, 3, 7, 6, tzinfo=UTC)
    assert activity.laps[["start_s", "stop_s"]].to_numpy().tolist() == [[0.0, 1140.0]]


@pytest.mark.parametrize("part", [3, -1, "0"])
def test_a_part_that_does_not_exist(part):
    sentence = r"it holds part 0 \(swimming\), 1 \(transition\), 2 \(cycling\)\. Choose one of these\."
    with pytest.raises(FileProblem, match=sentence):
        read_fit_bytes(three_sports().bytes(), part=part)


def test_more_sessions_than_anyone_does_are_damage():
    fit = FitBytes().file_id()
    for s in range(100):
        fit.record(START + s, 120).session(START + s, 1)
    activity = read(fit)
    assert len(activity.parts) == 1
    assert said(activity) == ("the file holds no summary of this session; it was made from the records",)
    chain = b"".join(steady_run(2).bytes() for _ in range(60))
    with pytest.raises(FileProblem, match=r"9 \(running\) and 40 more\. Choose one"):
        read_fit_bytes(chain, part=50)


def test_a_part_without_records():
    fit = steady_run(60).session(START + 4000, 100, CYCLING)
    assert len(read(fit).samples) == 60
    with pytest.raises(FileProblem, match="part 1 of the recording holds no records"):
        read_fit_bytes(fit.bytes(), part=1)


def test_a_missing_session_is_derived_and_the_sport_comes_from_where_it_is_written():
    fit = FitBytes().file_id().message(12, (0, "enum", RUNNING), (1, "enum", TREADMILL))
    for s in range(60):
        fit.record(START + s, 120, (4, "uint8", 80))
    activity = read(fit)
    assert (activity.sport, activity.sub_sport) == ("running", "treadmill")
    assert activity.samples["cadence_rpm"][0] == 160.0
    assert said(activity) == ("the file holds no summary of this session; it was made from the records",)


def test_records_behind_the_last_session_of_a_cut_file_are_a_session_of_their_own():
    fit = FitBytes().file_id()
    for s in range(900):
        fit.record(START + s, 130)
    fit.session(START, 300, CYCLING)
    fit.message(12, (0, "enum", RUNNING), (1, "enum", GENERIC))
    activity = read_fit_bytes(fit.bytes(announced=0, footer=b"\x0f\x00\x00\x00\x00"))
    assert [p.sport for p in activity.parts] == ["cycling", "running"]
    assert activity.elapsed_s == 599.0


@pytest.mark.parametrize(
    ("sub_sport", "position", "is_indoor"),
    [
        (TREADMILL, True, True),
        (INDOOR_CYCLING, True, True),
        (58, True, True),
        (GENERIC, True, False),
        (GENERIC, False, True),
    ],
)
def test_indoors_by_sub_sport_or_by_absent_position(sub_sport, position, is_indoor):
    fields = [(0, "sint32", 495280430), (1, "sint32", 5)] if position else []
    assert read(plain([(0, 120, *fields)], sub_sport=sub_sport)).is_indoor is is_indoor


def test_text_from_the_file_is_only_text():
    fit = FitBytes().file_id()
    fit.record(START, 120)
    hostile = "run\u202e\x07\ufffening".encode() + b"x" * 150 + b"\0"
    fit.message(18, (2, "uint32", START), (5, "string", hostile))
    activity = read(fit)
    assert activity.sport == ("running" + "x" * 150)[:80]


def test_heart_rate_in_separate_messages_is_told():
    fit = plain([(0, None), (1, None)])
    later = FitBytes().file_id()
    for s in range(3):
        later.message(132, (253, "uint32", START + s), (6, "uint8", 120), (9, "uint32", 1024))
    activity = read_fit_bytes(fit.bytes() + later.bytes() + later.bytes())
    assert said(activity) == (
        "the file brings its heart rate in separate messages, as some chest straps do after a swim; these are not read",
    )
    assert read_fit_bytes(plain([(0, 120)]).bytes() + later.bytes()).caveats == ()


# -- beats ------------------------------------------------------------------------------------------------


def beats_file(rr_s, seconds, *, first_s=0.0, single=False):
    """Each beat stands behind the record of the second in which it ended."""
    ends = first_s + np.cumsum(rr_s)
    fit = FitBytes().file_id()
    for s in seconds:
        fit.record(START + s, 120)
        inside = [float(rr) for rr, end in zip(rr_s, ends, strict=True) if s <= end < s + 1]
        if single:
            for rr in inside:
                fit.beats(rr)
        elif inside:
            fit.beats(*(inside + [None] * 5)[:5])
    return fit.session(START, 600), ends


@pytest.mark.parametrize("single", [False, True])
def test_beats_keep_their_order_and_stay_near_their_time(single):
    rng = np.random.default_rng(3)
    rr_s = np.round(rng.normal(0.7, 0.03, 800), 3)
    fit, ends = beats_file(rr_s, range(600), single=single)
    activity = read(fit)
    assert activity.rr_s.tolist() == rr_s.tolist()
    assert (np.diff(activity.rr_time_s) >= 0).all()
    assert np.abs(activity.rr_time_s - ends).max() < 1.0


def test_beats_do_not_drift_across_gaps_and_lost_beats():
    rr_s = np.full(1000, 0.5)
    lost = np.arange(1000) % 10 == 0
    fit = FitBytes().file_id()
    seconds = [*range(100), *range(300, 500)]
    for s in seconds:
        fit.record(START + s, 120)
        fit.beats(
            *(
                rr
                for rr, is_lost in zip(rr_s[2 * s : 2 * s + 2], lost[2 * s : 2 * s + 2], strict=True)
                if not is_lost
            )
        )
    activity = read(fit.session(START, 500))
    ends = np.concatenate([[s + 0.5 * k for k in (0, 1) if not lost[2 * s + k]] for s in seconds])
    assert np.abs(activity.rr_time_s - ends).max() <= 1.0
    assert activity.rr_time_s[-1] == pytest.approx(499.5, abs=1.0)


def test_beats_before_the_first_record_are_counted_back():
    fit = FitBytes().file_id().beats(1.0, 0.9).beats(0.8, None)
    fit.record(START, 120).beats(0.7).record(START + 1, 120).session(START, 1)
    activity = read(fit)
    assert activity.rr_s.tolist() == [1.0, 0.9, 0.8, 0.7]
    assert activity.rr_time_s.tolist() == pytest.approx([-1.7, -0.8, 0.0, 0.7])


def test_beats_belong_to_the_session_of_their_record():
    fit = FitBytes().file_id()
    for s in range(20):
        fit.record(START + s, 120).beats(0.5 if s < 10 else 0.25)
    fit.session(START, 10, CYCLING).session(START + 10, 10, RUNNING)
    first, second = (read_fit_bytes(fit.bytes(), part=part) for part in (0, 1))
    assert set(first.rr_s.tolist()) == {0.5}
    assert set(second.rr_s.tolist()) == {0.25}
    assert second.rr_time_s[0] == 0.25
