"""Diary rows find their recordings, and stay alone where that is not clear."""

from datetime import UTC, date, datetime, time

from coachlib.analysis.recording.diary import match
from coachlib.records.diary import DiaryRow

DAY = date(2026, 10, 5)


def start(hour, minute=0, name="run", day=5):
    return name, datetime(2026, 10, day, hour, minute)


def pairs(rows, starts):
    matched = match(rows, starts)
    return (
        {(row.remarks, recording) for recording, row in matched.rows.items()}
        | {(row.remarks, None) for row in matched.unmatched}
        | {(None, recording) for recording in matched.rowless}
    )


def row(remarks, on=DAY, **fields):
    return DiaryRow(on=on, remarks=remarks, **fields)


def test_a_name_goes_first_with_or_without_its_ending():
    rows = [row("a", recording="Evening.FIT", start=time(7)), row("b", recording="morning")]
    assert pairs(rows, [start(7, name="morning"), start(18, name="evening")]) == {
        ("a", "evening"),
        ("b", "morning"),
    }


def test_a_row_that_names_a_recording_of_another_day_belongs_to_it():
    assert pairs([row("a", recording="run")], [start(18, day=6)]) == {("a", "run")}


def test_the_nearest_start_of_the_day_is_meant():
    rows = [row("late", start=time(18)), row("early", start=time(7, 30))]
    starts = [start(6, 50, name="dawn"), start(17, 30, name="dusk")]
    assert pairs(rows, starts) == {("late", "dusk"), ("early", "dawn")}


def test_two_rows_do_not_share_a_recording():
    rows = [row("a", start=time(17, 20)), row("b", start=time(17, 40))]
    assert pairs(rows, [start(17, 35)]) == {("a", None), ("b", "run")}


def test_a_start_hours_away_is_another_session():
    assert pairs([row("a", start=time(7))], [start(18)]) == {("a", None), (None, "run")}


def test_the_only_row_of_a_day_belongs_to_its_only_recording():
    assert pairs([row("a"), row("b", on=date(2026, 10, 6))], [start(23, 50)]) == {("a", "run"), ("b", None)}


def test_what_is_left_of_a_day_belongs_together():
    rows = [row("first", start=time(7)), row("other")]
    assert pairs(rows, [start(7, name="dawn"), start(18, name="dusk")]) == {
        ("first", "dawn"),
        ("other", "dusk"),
    }


def test_two_rows_and_two_recordings_without_starts_stay_apart():
    found = pairs([row("a"), row("b")], [start(7, name="dawn"), start(18, name="dusk")])
    assert found == {("a", None), ("b", None), (None, "dawn"), (None, "dusk")}


def test_the_local_day_counts_whatever_zone_the_start_carries():
    aware = datetime(2026, 10, 5, 23, 30, tzinfo=UTC)
    assert pairs([row("a", start=time(23, 30))], [("run", aware)]) == {("a", "run")}


def test_nothing_matches_nothing():
    assert pairs([], []) == set()
