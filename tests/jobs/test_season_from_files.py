"""From files to the season: sensors in recordings, shoes in the diary, reference weeks and tests in the profile."""

from datetime import date, timedelta

import pytest
from fitbytes import RUNNING, START, FitBytes
from rosters import DAY_S, make_roster, put

from coachlib.jobs.history import read_athlete_week, read_call_sheet

#: Twelve weeks before the usual day, so that no session is dated in the future.
EARLIER = timedelta(weeks=12)
FIRST_DAY = date(2026, 10, 3) - EARLIER
N_WEEKS, CHANGED = 10, 6
EVERY_S, LENGTH_S = 4, 2400


def run(start, *, speed_mps, strap):
    """Forty minutes at one speed and 140 bpm, a record every four seconds."""
    fit = FitBytes().file_id(created=start).device(1, 120, serial=strap, source=1)
    for second in range(0, LENGTH_S + 1, EVERY_S):
        place = (0, "sint32", 1), (1, "sint32", 1)
        # neither heart nor speed repeats itself for ten minutes
        odd = second // EVERY_S % 2
        fit.record(start + second, 140 + odd, (6, "uint16", round(1000 * speed_mps) + 4 * odd), *place)
    return fit.session(start, LENGTH_S, RUNNING).bytes()


@pytest.fixture
def roster(tmp_path):
    """Two runs a week, 0.4 m/s faster after the sixth week; since then with another strap and other shoes."""
    folder = make_roster(tmp_path / "roster", "anna")
    rows = ["date,equipment,temperature_c"]
    for week in range(N_WEEKS):
        for day in (0, 2):
            on = FIRST_DAY + timedelta(days=7 * week + day)
            is_new = week >= CHANGED
            data = run(
                START - int(EARLIER.total_seconds()) + DAY_S * (7 * week + day),
                speed_mps=3.4 if is_new else 3.0,
                strap=2 if is_new else 1,
            )
            put(folder / "anna", f"{on.isoformat()}.fit", data)
            rows.append(f"{on.isoformat()},shoes: {'grey' if is_new else 'blue'},15")
    (folder / "anna/diary.csv").write_text("\n".join(rows) + "\n")
    return folder


def trend_of(roster, *lines):
    with (roster / "anna/athlete.toml").open("a") as file:
        file.write("\n".join(lines) + "\n")
    return read_athlete_week(roster, "anna").season.main_trend


CHANGED_ON = FIRST_DAY + timedelta(weeks=CHANGED)
COMPARE_ON = ("[[reference]]", f"from = {CHANGED_ON}", 'because = "compare on"')


def test_another_strap_and_other_shoes_begin_a_new_reference(roster):
    trend = trend_of(roster)
    assert trend.new_gear == ("another strap", "other shoes")
    assert trend.new_reference_on == CHANGED_ON
    assert (trend.call, trend.n_readings) == ("cannot tell", 2 * (N_WEEKS - CHANGED))
    (entry,) = read_call_sheet(roster).sheet.in_order
    assert "new reference" not in {r.kind for r in entry.reasons}  # told for three weeks; the fourth is over


def test_the_coach_compares_on(roster):
    trend = trend_of(roster, *COMPARE_ON)
    assert (trend.new_gear, trend.n_readings) == ((), 2 * N_WEEKS)
    assert (trend.call, trend.direction) == ("clear", "up")
    (entry,) = read_call_sheet(roster).sheet.in_order
    assert "trend up" in {r.kind for r in entry.reasons}


def test_the_coach_moves_the_reference_weeks(roster):
    moved = (
        "[[reference]]",
        f"from = {CHANGED_ON}",
        f"to = {CHANGED_ON + timedelta(days=6)}",
        'note = "new plan"',
    )
    trend = trend_of(roster, *COMPARE_ON, *moved)
    assert trend.n_readings == 2 * N_WEEKS
    assert (trend.about[0].name, trend.about[0]["note"]) == ("reference moved", "new plan")
    assert trend.call in ("cannot tell", "possible")


def test_typed_tests_join_the_trend_and_teach_the_slope(roster):
    """Tests at 8, 9 and 10 km/h whose heart rate rises by 18 bpm per m/s."""
    tests = [
        f"[[typed_test]]\non = {FIRST_DAY + timedelta(days=9 * n)}\nfirst_half_bpm = {132 + 5 * n}\n"
        f"second_half_bpm = {134 + 5 * n}\nminutes = 60\nspeed_kmh = {8 + n}\ngrade_pct = 0\ntemperature_c = 20\n"
        for n in range(3)
    ]
    plain = trend_of(roster, *COMPARE_ON)
    trend = trend_of(roster, *tests)
    assert (plain.n_tests, trend.n_tests) == (0, 3)
    assert (plain.slope, plain.slope_is_own) == (25.5, False)
    assert trend.slope_is_own
    assert 18.0 < trend.slope < 25.5
