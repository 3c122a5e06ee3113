"""Diary rows find their recordings, and stay alone where that is not clear."""

from datetime import UTC, date, datetime, time, timedelta

from hypothesis import given
from hypothesis import strategies as st

from coachlib.analysis.recording.diary import LONGEST_MISS_S, Matched, match
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


def match_by_comparing_all_with_all(rows, starts):
    """The same rules told plainly: every row is held against every recording."""
    free_rows, free_starts, pairs = list(range(len(rows))), list(range(len(starts))), {}

    def take(at, n):
        pairs[at] = n
        free_rows.remove(at)
        free_starts.remove(n)

    for at in tuple(free_rows):
        name = (rows[at].recording or "").casefold().removesuffix(".fit")
        named = [n for n in free_starts if starts[n][0].casefold() == name]
        if named:
            take(at, named[0])
    misses = [
        (abs((starts[n][1] - datetime.combine(rows[at].on, rows[at].start)).total_seconds()), at, n)
        for at in free_rows
        for n in free_starts
        if rows[at].start and not rows[at].recording and starts[n][1].date() == rows[at].on
    ]
    for miss_s, at, n in sorted(misses):
        if miss_s <= LONGEST_MISS_S and at in free_rows and n in free_starts:
            take(at, n)
    for at in tuple(free_rows):
        if not (rows[at].start or rows[at].recording):
            alike = [a for a in free_rows if rows[a].on == rows[at].on]
            of_day = [n for n in free_starts if starts[n][1].date() == rows[at].on]
            if len(alike) == len(of_day) == 1:
                take(at, of_day[0])
    return Matched(
        rows={starts[n][0]: rows[at] for at, n in pairs.items()},
        unmatched=tuple(rows[at] for at in free_rows),
        rowless=tuple(starts[n][0] for n in free_starts),
    )


@given(
    rows=st.lists(
        st.builds(
            lambda on, start, recording: DiaryRow(on=on, start=start, recording=recording),
            on=st.dates(DAY, DAY + timedelta(days=3)),
            start=st.none() | st.times(time(5), time(22)),
            recording=st.none() | st.sampled_from(["Run-1", "run-2.FIT", "RUN-3.fit", "gone"]),
        ),
        max_size=9,
    ),
    starts=st.lists(st.datetimes(datetime(2026, 10, 5), datetime(2026, 10, 8, 23)), max_size=9),
)
def test_it_is_the_same_as_comparing_all_with_all(rows, starts):
    named = [(f"run-{n}", started_at) for n, started_at in enumerate(starts)]
    assert match(rows, named) == match_by_comparing_all_with_all(rows, named)


def test_ten_times_the_history_takes_ten_times_as_long():
    """Counted in looks at a start's day, not in seconds."""
    looked = []

    class Counted(datetime):
        def date(self):
            looked.append(1)
            return super().date()

    def n_looked(n):
        looked.clear()
        days = [datetime(2020, 1, 1, 7) + timedelta(days=d) for d in range(n)]
        rows = [DiaryRow(on=day.date(), start=time(7)) for day in days]
        match(rows, [(f"run-{d}", Counted.fromisoformat(day.isoformat())) for d, day in enumerate(days)])
        return len(looked)

    assert n_looked(1000) <= 10 * n_looked(100)
