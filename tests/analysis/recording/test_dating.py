"""Dates that cannot be are named, and so is UTC where nobody knows the zone."""

from datetime import UTC, date, datetime

import pytest
from built_activity import built_activity

from coachlib.analysis.recording.dating import LEAVES_OUT, odd_dates
from coachlib.measures.common.codes import code
from coachlib.report.words.catalogue import whole

TODAY = date(2026, 11, 29)


def told(started_at, *, zone="Europe/Vienna", **changes):
    activity = built_activity(started_at=started_at, **changes)
    found = odd_dates(activity, time_zone=zone, today=TODAY)
    assert all(whole(c) for c in found)
    return [c.name for c in found]


@pytest.mark.parametrize(
    ("started_at", "names"),
    [
        (datetime(2026, 11, 29, 9, tzinfo=UTC), []),
        (datetime(2026, 11, 30, 9, tzinfo=UTC), []),  # another zone's tomorrow
        (datetime(2026, 12, 1, 9, tzinfo=UTC), ["dated in the future"]),
        (datetime(2116, 10, 2, tzinfo=UTC), ["dated in the future"]),
        (datetime(1989, 12, 31, 1, tzinfo=UTC), ["clock not set"]),
        (datetime(1999, 12, 31, 22, tzinfo=UTC), ["clock not set"]),
        (datetime(1999, 12, 31, 23, 30, tzinfo=UTC), []),  # the next year in Vienna
    ],
)
def test_dates(started_at, names):
    assert told(started_at) == names
    assert set(names) <= LEAVES_OUT


def test_utc_is_told_only_where_nobody_knows_better():
    evening = datetime(2026, 11, 22, 22, 30, tzinfo=UTC)
    assert told(evening, zone=None) == ["utc taken"]
    assert told(evening, zone=None, utc_offset_s=3600.0) == []
    assert told(evening) == []
    assert told(evening, zone=None, caveats=(code("counted from power-on", is_dated=True),)) == []
