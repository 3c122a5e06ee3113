"""Dates that cannot be are named, and so is UTC where nobody knows the zone."""

from datetime import UTC, date, datetime

import pytest
from built_activity import built_activity

from coachlib.analysis.recording.dating import is_utc_taken, odd_date
from coachlib.measures.common.codes import code
from coachlib.report.words.catalogue import way_out, whole

TODAY = date(2026, 11, 29)
VIENNA = "Europe/Vienna"


@pytest.mark.parametrize(
    ("started_at", "name"),
    [
        (datetime(2026, 11, 29, 9, tzinfo=UTC), None),
        (datetime(2026, 11, 30, 9, tzinfo=UTC), None),  # another zone's tomorrow
        (datetime(2026, 12, 1, 9, tzinfo=UTC), "dated in the future"),
        (datetime(2116, 10, 2, tzinfo=UTC), "dated in the future"),
        (datetime(1989, 12, 31, 1, tzinfo=UTC), "clock not set"),
        (datetime(1999, 12, 31, 22, tzinfo=UTC), "clock not set"),
        (datetime(1999, 12, 31, 23, 30, tzinfo=UTC), None),  # the next year in Vienna
    ],
)
def test_dates(started_at, name):
    found = odd_date(built_activity(started_at=started_at).started_on(VIENNA), today=TODAY)
    assert (None if found is None else found.name) == name
    if found is not None:
        assert "counts for no week" in whole(found)
        assert "clock" in way_out(found)


def test_utc_is_told_only_where_nobody_knows_better():
    def taken(zone=None, **changes):
        return is_utc_taken(
            built_activity(started_at=datetime(2026, 11, 22, 22, 30, tzinfo=UTC), **changes), zone
        )

    assert taken()
    assert not taken(utc_offset_s=3600.0)
    assert not taken(VIENNA)
    assert not taken(caveats=(code("counted from power-on", is_dated=True),))
