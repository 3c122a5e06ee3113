"""The panel without a browser: what the screen would send, what it would be told, what lies on disk."""

import shutil

import numpy as np
import pytest
from fitbytes import CYCLING, RUNNING, START, FitBytes
from panel_roster import TALK_S, write_roster

from coachlib.errors import RosterProblem
from coachlib.files.roster.athlete_folder import decisions_path
from coachlib.files.roster.folder import open_roster
from coachlib.panels.recording.lanes import on_seconds
from coachlib.panels.recording.panel import recording_panel
from coachlib.panels.recording.window_map import window_map


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    folder = tmp_path_factory.mktemp("roster")
    return folder, write_roster(folder)


@pytest.fixture
def roster(written):
    folder, fit_path = written
    decisions_path(fit_path).unlink(missing_ok=True)
    shutil.rmtree(folder / ".coachlib" / "drafts", ignore_errors=True)
    return folder


@pytest.fixture
def panel(roster):
    return recording_panel(roster)


def say(panel, **message):
    """What the screen would send; gives what it would be told."""
    panel.editor._answer(message)
    assert panel.editor.errors == []
    return panel.editor.view


def test_it_opens_the_first_athlete_and_the_newest_recording(panel):
    assert repr(panel) == "the panel for 2026-10-03_treadmill of mira"
    view = panel.editor.view
    assert view["window"] == [1800.0, 5400.0], "15 minutes after the belt was set, for an hour"
    assert view["sentence"].startswith("Heart rate rose ")
    assert view["halves"][0] < view["halves"][1]


def test_the_talk_is_suggested_with_its_effect_and_accepted_in_one_message(panel):
    [number] = [
        k
        for k, s in enumerate(panel.editor.view["suggestions"])
        if s["start_s"] < TALK_S[1] and s["stop_s"] > TALK_S[0]
    ]
    before = panel.editor.view["halves"][0]
    view = say(panel, edit="accept", values={"suggestion": number})
    assert view["suggestions"][number]["state"] == "accepted"
    assert view["suggestions"][number]["effect"] == "−0.1 points"
    assert view["halves"][0] < before
    assert view["exclusions"][0]["is_suggestion"]


def test_an_effect_is_what_the_stretch_adds_to_the_drift(panel):
    """The text agrees with the drift worked out with and without the stretch."""
    with_it = panel.subject.read().stretch.drift.drift_pct
    view = say(panel, edit="exclude", values={"start_s": 4000.0, "stop_s": 5400.0, "reason": "strap"})
    without = panel.subject.read().stretch.drift.drift_pct
    assert view["exclusions"][0]["effect"] == f"{with_it - without:+.1f} points".replace("-", "−")


def test_every_answer_is_news_even_when_nothing_changed(panel):
    version = panel.editor.view["version"]
    view = say(panel, edit="set_window", values={"start_s": 1800.0, "stop_s": 5400.0})
    assert view["version"] == version + 1


def test_save_undo_redo_and_what_changed(panel, written):
    say(panel, edit="set_kind", values={"kind": "drift test"})
    view = say(panel, act="save")
    assert view["status"] == "Saved beside the recording."
    assert not view["is_dirty"]
    assert 'kind = "drift test"' in decisions_path(written[1]).read_text(encoding="utf-8")
    view = say(panel, act="undo")
    assert view["changes"] == ["Kind: not said (was: drift test)."]
    assert not say(panel, act="redo")["is_dirty"]


def test_what_was_saved_is_what_is_opened(panel, roster):
    say(panel, edit="set_window", values={"start_s": 2000.0, "stop_s": 5000.0})
    say(panel, edit="exclude", values={"start_s": 3000.0, "stop_s": 3030.0, "reason": "phone call"})
    say(panel, edit="add_stage")
    say(panel, edit="type_stage", values={"stage": 0, "name": "speed_mps", "text": "10"})
    say(panel, act="save")
    again = recording_panel(roster)
    assert again.subject.state.decisions == panel.subject.state.decisions
    assert not again.editor.view["is_dirty"]


def test_two_writers_never_lose_one_anothers_work(panel, roster, written):
    other = recording_panel(roster)
    say(panel, edit="exclude", values={"start_s": 3000.0, "stop_s": 3030.0, "reason": "phone call"})
    say(panel, act="save")
    say(other, edit="set_window", values={"start_s": 2000.0, "stop_s": 5000.0})
    view = say(other, act="save")
    assert view["failed"]
    assert "somebody saved" in view["status"]
    assert view["refused_save"]
    assert view["is_dirty"], "the draft is still there"
    assert "phone call" in decisions_path(written[1]).read_text(encoding="utf-8")
    view = say(other, act="read again")
    assert [e["reason"] for e in view["exclusions"]] == ["phone call"]
    assert not view["refused_save"]


def test_a_refusal_is_said_in_the_status(panel):
    view = say(panel, edit="type_window", values={"edge": "start", "text": "soon"})
    assert view["failed"]
    assert view["status"].startswith("Not done: a time was asked for, but “soon” is none.")


def test_a_bug_is_said_in_the_status_and_kept(panel, monkeypatch):
    def broken():
        raise ZeroDivisionError("nothing to divide by")

    monkeypatch.setattr(panel.subject, "save", broken)
    panel.editor._answer({"act": "save"})
    assert panel.editor.view["status"] == (
        "Not done: something in the program is wrong (ZeroDivisionError: nothing to divide by)."
    )
    assert len(panel.editor.errors) == 1


def test_numbers_while_dragging_change_nothing(panel, monkeypatch):
    told = []
    monkeypatch.setattr(panel.editor, "send", told.append)
    version = panel.editor.view["version"]
    panel.editor._answer({"peek": [1900, 5000]})
    panel.editor._answer({"peek": [1900, 1930]})
    assert told[0]["live"]["halves"] is not None
    assert told[0]["live"]["sentence"].startswith("Heart rate ")
    assert told[1]["live"]["halves"] is None
    assert told[1]["live"]["sentence"].startswith("a window of 30 s was asked for")
    assert panel.editor.view["version"] == version
    assert not panel.subject.state.can_undo


def test_a_window_too_short_for_a_drift_says_what_is_needed(panel):
    view = say(panel, edit="set_window", values={"start_s": 2000.0, "stop_s": 2300.0})
    assert view["sentence"].startswith("Heart-rate drift needs 300 s of usable heart rate in each half")
    assert view["halves"] is None


@pytest.mark.parametrize("kind", ["ramp", "step test", "intervals", "race"])
def test_drift_says_nothing_about_what_is_not_steady(panel, kind):
    view = say(panel, edit="set_kind", values={"kind": kind})
    assert "not steady" in view["sentence"]
    assert view["halves"] is None
    assert view["findings"] == []
    assert "Heart rate rose" in say(panel, edit="set_kind", values={"kind": "easy"})["sentence"]


def test_typed_stages_become_the_speed_lane_and_move_the_suggested_window(panel):
    say(panel, edit="add_stage")
    say(panel, edit="type_stage", values={"stage": 0, "name": "start_s", "text": "0:20:00"})
    say(panel, edit="type_stage", values={"stage": 0, "name": "speed_mps", "text": "11,5"})
    say(panel, edit="type_stage", values={"stage": 0, "name": "grade", "text": "6"})
    view = say(panel, edit="type_stage", values={"stage": 0, "name": "lactate_mmol_l", "text": "1,4"})
    assert view["stages"] == [["0:20:00", "1:30:00", "11.5", "6", "", "1.4"]]
    assert "Stages: from 0:20:00 11.5 km/h at 6 % with 1.4 mmol/l." in view["changes"]
    lanes = {lane["label"] for lane in panel.editor.scene["lanes"]}
    assert "Grade, %" in lanes
    view = say(panel, edit="back_to_suggestions")
    assert view["window"][0] == 1200.0 + 900.0


def test_drafts_survive_a_visit_to_another_recording(roster, written):
    panel = recording_panel(roster)
    say(panel, edit="set_window", values={"start_s": 2000.0, "stop_s": 5000.0})
    second = written[1].with_name("2026-10-04_treadmill.fit")
    second.write_bytes(written[1].read_bytes())
    try:
        both = recording_panel(roster, "mira", "2026-10-03_treadmill")
        say(both, edit="set_window", values={"start_s": 2000.0, "stop_s": 5000.0})
        both.recording.value = second
        assert both.editor.view["status"] == "Not saved yet: 2026-10-03_treadmill."
        both.recording.value = written[1]
        assert both.editor.view["window"] == [2000.0, 5000.0]
    finally:
        second.unlink()


def test_of_several_sessions_each_keeps_its_own_decisions(tmp_path):
    ride_s, run_s = 1500, 2100
    fit = FitBytes().file_id()
    for second in range(ride_s + run_s):
        fit.record(START + second, 120 if second < ride_s else 150)
    fit.session(START, ride_s - 1, CYCLING).session(START + ride_s, run_s - 1, RUNNING)
    path = write_roster(tmp_path).with_name("2026-10-06_both.fit")
    path.write_bytes(fit.activity(START + ride_s + run_s, START + ride_s + run_s).bytes())
    panel = recording_panel(tmp_path)
    assert [label for label, _ in panel.part.options] == ["1: cycling, 25 min", "2: running, 35 min"]
    assert (panel.part.value, panel.editor.scene["n"]) == (1, run_s)
    say(panel, act="save")
    panel.part.value = 0
    assert panel.editor.scene["n"] == ride_s
    say(panel, act="save")
    assert panel.subject.state.saved.part == 0
    again = recording_panel(tmp_path)
    assert (again.part.value, again.editor.scene["n"]) == (1, run_s)
    assert again.subject.is_saved
    sha = again.subject.activity.sha256
    own = open_roster(tmp_path).athlete("mira")
    assert sorted(own.decisions_of_parts(path, sha).by_part(1)) == [0, 1]
    again.recording.value = path.with_name("2026-10-03_treadmill.fit")
    assert again.part.layout.display == "none"


def test_a_damaged_recording_is_said_and_the_panel_lives(roster, written):
    broken = written[1].with_name("2026-10-05_broken.fit")
    broken.write_bytes(b"this is no recording")
    try:
        panel = recording_panel(roster)
        assert panel.editor.scene["n"] == 0
        assert "2026-10-05_broken.fit" in panel.editor.view["sentence"]
        with pytest.raises(RosterProblem, match="no recording is open"):
            _ = panel.subject
        panel.recording.value = written[1]
        assert panel.editor.scene["n"] == 5400
    finally:
        broken.unlink()


@pytest.mark.parametrize(
    ("athlete", "recording", "sentence"),
    [("nobody", None, 'no athlete is called "nobody"'), ("mira", "lost", "mira has no recording “lost”")],
)
def test_what_is_not_there_is_refused(roster, athlete, recording, sentence):
    with pytest.raises(RosterProblem, match=sentence):
        recording_panel(roster, athlete, recording)


def test_without_a_screen_it_is_a_picture(roster):
    still = recording_panel(roster, interactive=False)
    shown = still._repr_mimebundle_()
    assert "<svg" in shown["text/html"]
    assert "Heart rate rose" in shown["text/html"]
    assert "the window is a suggestion" in shown["text/html"]


def test_the_window_map_is_a_drawing_with_a_key_that_names_its_ring(panel):
    shown = window_map(panel).value
    assert "<svg" in shown
    assert "the window in use" in shown
    assert "2.5 to 5.0 %" in shown
    assert "<script" not in shown


def test_the_window_map_follows_every_edit_that_counts(panel):
    live = window_map(panel)
    before = live.value
    say(panel, edit="set_kind", values={"kind": "drift test"})
    assert live.value is before
    say(panel, edit="set_window", values={"start_s": 2000.0, "stop_s": 5000.0})
    assert live.value != before


def test_a_recording_too_short_for_a_map_says_so(tmp_path):
    write_roster(tmp_path, seconds=900)
    shown = window_map(recording_panel(tmp_path)).value
    assert "a window map needs a recording of more than 20 min; this one has 15 min" in shown.replace(
        "\N{NO-BREAK SPACE}", " "
    )


def test_the_maps_cells_are_the_drifts_of_their_windows(panel):
    starts_s, stops_s, drift_pct = panel.subject.window_map()
    i, j = 10, drift_pct.shape[1] - 1
    say(panel, edit="set_window", values={"start_s": float(starts_s[i]), "stop_s": float(stops_s[j])})
    assert np.isclose(panel.subject.read().stretch.drift.drift_pct, drift_pct[i, j])


def test_lanes_show_every_second_and_leave_holes_open():
    time_s = np.array([0.0, 1.0, 5.0, 40.0])
    held = on_seconds(time_s, np.array([100.0, 200.0, 120.0, 130.0]))
    assert held[1] == held[4] == 200.0
    assert np.isnan(held[16:40]).all()
    assert held[40] == 130.0


def test_a_notebook_cell_can_drive_the_editor(panel):
    panel.editor.do("set_window", start_s=3600.0, stop_s=5400.0)
    assert panel.editor.view["window"] == [3600.0, 5400.0]


def test_the_roster_may_come_from_the_environment(roster, monkeypatch):
    monkeypatch.setenv("COACHLIB_ROSTER", str(roster))
    assert recording_panel(None).athlete.value == "mira"
    assert open_roster(None).athletes() == ("mira",)
