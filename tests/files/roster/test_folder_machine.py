"""A machine noted in ``athlete.toml``: read, refused, written without touching what stands around it."""

import pytest
from rosters import make_roster

from coachlib.errors import RosterProblem
from coachlib.files.roster.folder import open_roster
from coachlib.records.machine import Ergometer, Treadmill

HEAD = """\
# our Mira
schema = 1
name = "Mira"   # her real one
"""
BELT = """\

# the club's belt
[treadmill]   # asked the club
speed_step_kmh = 0.5   # only halves
grade_high_pct = 15
"""
REST = """\

# from the spring
[[threshold]]
which = "first"
on = 2026-04-01
hr_bpm = 152

# ill in autumn
[[block]]
from = 2026-10-12
to = 2026-10-20
kind = "ill"
# that is all
"""
HALVES = Treadmill(speed_step_mps=0.5 / 3.6, grade_high=0.15)


@pytest.fixture
def mira(tmp_path):
    return open_roster(make_roster(tmp_path / "roster", "mira")).athlete("mira")


def written(mira, text=None):
    path = mira.path / "athlete.toml"
    if text is not None:
        path.write_text(text)
    return path.read_text()


def test_what_is_left_out_is_usual(mira):
    written(mira, HEAD + BELT)
    assert mira.athlete().treadmill == HALVES
    assert mira.athlete().ergometer is None


def test_a_machine_that_cannot_be_is_refused_with_its_place(mira):
    written(
        mira, HEAD + "[treadmill]\nspeed_low_kmh = 12\nspeed_high_kmh = 8\n[ergometer]\npower_step = 10\n"
    )
    with pytest.raises(RosterProblem) as refused:
        mira.athlete()
    assert str(refused.value).splitlines() == [
        "athlete.toml of mira: key `power_step` of [ergometer] is not known; did you mean `power_step_w`?",
        "athlete.toml of mira: [treadmill]: `speed_low_kmh` is 12 and `speed_high_kmh` is 8; the lowest must lie below "
        "the highest",
    ]


@pytest.mark.parametrize(
    "typed", ["treadmill = 0.5\n", "[[treadmill]]\nspeed_step_kmh = 0.5\n"], ids=["number", "list"]
)
def test_what_is_no_table_is_refused(mira, typed):
    written(mira, HEAD + typed)
    with pytest.raises(RosterProblem, match=r"write what it holds under \[treadmill\]"):
        mira.athlete()


@pytest.mark.parametrize("text", [HEAD + BELT + REST, HEAD + REST + BELT], ids=["first", "last"])
def test_a_changed_machine_changes_one_number_wherever_it_stands(mira, text):
    written(mira, text)
    mira.keep_machine(HALVES.model_copy(update={"speed_step_mps": 0.2 / 3.6}))
    assert written(mira) == text.replace("speed_step_kmh = 0.5 ", "speed_step_kmh = 0.2 ")
    mira.keep_machine(HALVES.model_copy(update={"speed_step_mps": 0.2 / 3.6}))
    assert written(mira) == text.replace("speed_step_kmh = 0.5 ", "speed_step_kmh = 0.2 ")


def test_a_new_machine_is_written_whole_and_all_else_stays(mira):
    written(mira, HEAD + REST)
    mira.keep_machine(Ergometer(power_step_w=10))
    added = "\n[ergometer]\npower_low_w = 30\npower_high_w = 500\npower_step_w = 10\n"
    body, tail = REST.split("# that is all")
    assert written(mira) == HEAD + body + added + "# that is all" + tail
    assert mira.athlete().ergometer == Ergometer(power_step_w=10)


@pytest.mark.parametrize(
    "typed", ["treadmill = {speed_step_kmh = 0.5, grade_high_pct = 15}\n", "treadmill.speed_step_kmh = 0.5\n"]
)
def test_a_machine_in_one_line_is_written_out(mira, typed):
    written(mira, HEAD + typed + REST)
    kept = HALVES.model_copy(update={"grade_high": 0.0})
    mira.keep_machine(kept)
    assert mira.athlete().treadmill == kept
    assert "[treadmill]\nspeed_low_kmh = 3.0\n" in written(mira)
    for comment in ("# our Mira", "# her real one", "# from the spring", "# ill in autumn", "# that is all"):
        assert comment in written(mira)


def test_a_usual_machine_can_be_noted_as_the_athletes_own(mira):
    written(mira, HEAD)
    mira.keep_machine(Treadmill())
    assert mira.athlete().treadmill == Treadmill()


def test_a_threshold_withdrawn_beside_a_machine_leaves_it(mira):
    written(mira, HEAD + REST + BELT)
    mira.withdraw_threshold("first", mira.athlete().thresholds[0].on)
    assert written(mira) == (HEAD + REST + BELT).replace("hr_bpm = 152\n", "hr_bpm = 152\nwithdrawn = true\n")
