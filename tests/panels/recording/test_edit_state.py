"""The state behind the trace editor: edits, refusals, undo, and what a save would change."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coachlib.analysis.recording.judge import main_window
from coachlib.errors import DecisionProblem
from coachlib.measures.common.spans import Span
from coachlib.panels.recording.draft import Frame, Suggestion
from coachlib.panels.recording.edit_state import EditState
from coachlib.records.decisions import Decisions, Exclusion, Stage, Window

SHA = "9f2c" * 16
FRAME = Frame(
    length_s=5400.0,
    suggestions=(
        Suggestion(start_s=2000.0, stop_s=2030.0, reason="rise", found_by="artefacts 1"),
        Suggestion(start_s=4000.0, stop_s=4040.0, reason="static", found_by="artefacts 1"),
    ),
    suggested_window=Span(start_s=900.0, stop_s=4500.0),
    laps=(
        Span(start_s=0.0, stop_s=1000.0),
        Span(start_s=1000.0, stop_s=2800.0),
        Span(start_s=2800.0, stop_s=4500.0),
    ),
)


@pytest.fixture
def state() -> EditState:
    return EditState(Decisions(fit_sha256=SHA), FRAME)


def ends(state: EditState) -> tuple[float, float]:
    window = main_window(state.decisions)
    return window.start_s, window.stop_s


def test_it_begins_with_the_suggested_window_and_no_suggestion_applied(state: EditState) -> None:
    assert ends(state) == (900.0, 4500.0)
    assert state.decisions.exclusions == ()
    assert state.suggestion_states() == ("open", "open")
    assert state.is_dirty
    assert not state.can_undo
    assert state.changes() == ("Window: 0:15:00 to 1:15:00 (none saved yet).",)


def test_a_saved_window_goes_before_the_suggested_one() -> None:
    saved = Decisions(fit_sha256=SHA, windows=(Window(start_s=100.0, stop_s=2000.0),))
    state = EditState(saved, FRAME)
    assert ends(state) == (100.0, 2000.0)
    assert not state.is_dirty
    assert state.changes() == ()


def test_window_ends_go_to_whole_seconds_in_order_and_inside_the_recording(state: EditState) -> None:
    state.apply("set_window", start_s=9000.2, stop_s=1200.6)
    assert ends(state) == (1201.0, 5400.0)


def test_a_window_keeps_its_place_note_and_the_other_windows() -> None:
    windows = (
        Window(start_s=0.0, stop_s=600.0, purpose="warm-up"),
        Window(start_s=900.0, stop_s=4500.0, note="even"),
    )
    state = EditState(Decisions(fit_sha256=SHA, windows=windows), FRAME)
    state.apply("set_window", start_s=1000.0, stop_s=4000.0)
    assert state.decisions.windows == (windows[0], Window(start_s=1000.0, stop_s=4000.0, note="even"))


@pytest.mark.parametrize(
    ("edge", "by_s", "expected"),
    [
        ("start", 60.0, (960.0, 4500.0)),
        ("stop", -60.0, (900.0, 4440.0)),
        ("both", -2000.0, (0.0, 3600.0)),
        ("both", 2000.0, (1800.0, 5400.0)),
        ("stop", 5000.0, (900.0, 5400.0)),
    ],
)
def test_nudges_are_relative_and_stop_at_the_recordings_ends(state: EditState, edge, by_s, expected) -> None:
    state.apply("nudge_window", edge=edge, by_s=by_s)
    assert ends(state) == expected


@pytest.mark.parametrize(
    ("text", "start_s"), [("0:20:00", 1200.0), ("20:00", 1200.0), ("20", 1200.0), ("12,5", 750.0)]
)
def test_typed_times(state: EditState, text: str, start_s: float) -> None:
    state.apply("type_window", edge="start", text=text)
    assert ends(state) == (start_s, 4500.0)


def test_a_lap_as_window_and_two_laps_as_halves(state: EditState) -> None:
    state.apply("window_from_lap", lap=1)
    assert ends(state) == (1000.0, 2800.0)
    state.apply("halves_from_laps", lap=1)
    start_s, stop_s = ends(state)
    assert (start_s + stop_s) / 2 == 2800.0, "the middle is where lap was pressed"
    assert stop_s - start_s == 2 * 1700.0, "both halves are as long as the shorter lap"


def test_accepting_says_who_found_it_and_rejecting_takes_it_back(state: EditState) -> None:
    state.apply("accept", suggestion=0)
    assert state.decisions.exclusions == (
        Exclusion(start_s=2000.0, stop_s=2030.0, quantity="hr_bpm", reason="rise", found_by="artefacts 1"),
    )
    assert state.suggestion_states() == ("accepted", "open")
    state.apply("reject", suggestion=0)
    assert state.decisions.exclusions == ()
    assert state.suggestion_states() == ("rejected", "open")
    state.apply("reopen", suggestion=0)
    assert state.suggestion_states() == ("open", "open")


def test_a_stretch_left_out_by_hand_and_counted_again(state: EditState) -> None:
    state.apply("exclude", start_s=3030.0, stop_s=3000.0, reason=" talking ")
    state.apply("type_exclusion", start="0:30:00", stop="0:30:20")
    assert [(e.start_s, e.stop_s, e.reason, e.found_by) for e in state.decisions.exclusions] == [
        (1800.0, 1820.0, "by hand", "coach"),
        (3000.0, 3030.0, "talking", "coach"),
    ]
    state.apply("count_again", exclusion=0)
    assert [e.reason for e in state.decisions.exclusions] == ["talking"]


def test_stages_are_typed_in_the_units_of_a_treadmill_and_kept_in_those_of_the_package(
    state: EditState,
) -> None:
    state.apply("add_stage")
    state.apply("type_stage", stage=0, name="speed_mps", text="10,8")
    state.apply("type_stage", stage=0, name="grade", text="6")
    state.apply("type_stage", stage=0, name="stop_s", text="40")
    state.apply("add_stage")
    stage, following = state.decisions.stages
    assert (stage.start_s, stage.stop_s) == (900.0, 2400.0)
    assert math.isclose(stage.speed_mps, 3.0)
    assert math.isclose(stage.grade, 0.06)
    assert following == Stage(start_s=2400.0, stop_s=4500.0)
    state.apply("type_stage", stage=0, name="grade", text="")
    state.apply("remove_stage", stage=1)
    assert [s.grade for s in state.decisions.stages] == [None]
    assert state.changes()[-1] == "Stages: from 0:15:00 10.8 km/h."


def test_a_time_trials_window_is_a_trial(state: EditState) -> None:
    state.apply("set_kind", kind="time trial")
    assert main_window(state.decisions).purpose == "trial"
    state.apply("set_kind", kind="drift test")
    assert main_window(state.decisions).purpose == "steady"
    assert state.changes() == (
        "Kind: drift test (was: not said).",
        "Window: 0:15:00 to 1:15:00 (none saved yet).",
    )


def test_back_to_suggestions_keeps_kind_stages_and_other_windows() -> None:
    saved = Decisions(
        fit_sha256=SHA, kind="drift test", stages=(Stage(start_s=0.0, stop_s=60.0),),
        windows=(Window(start_s=0.0, stop_s=600.0, purpose="warm-up"), Window(start_s=1.0, stop_s=99.0)),
        exclusions=(Exclusion(start_s=5.0, stop_s=9.0),),
    )  # fmt: skip
    state = EditState(saved, FRAME)
    state.apply("reject", suggestion=1)
    state.apply("back_to_suggestions")
    assert ends(state) == (900.0, 4500.0)
    assert state.decisions.windows[0].purpose == "warm-up"
    assert state.decisions.exclusions == ()
    assert state.decisions.stages == saved.stages
    assert state.suggestion_states() == ("open", "open")


@pytest.mark.parametrize(
    ("edit", "values", "sentence"),
    [
        (
            "set_window",
            {"start_s": 100.0, "stop_s": 130.0},
            "a window of 30 s was asked for; it needs at least 60 s",
        ),
        (
            "set_window",
            {"start_s": 6000.0, "stop_s": 7000.0},
            "1:40:00 lies outside the recording, which ends at 1:30:00",
        ),
        ("set_window", {"start_s": float("nan"), "stop_s": 7000.0}, "one of them is no number"),
        ("set_window", {"start_s": "x", "stop_s": 7000.0}, "values it cannot use"),
        ("set_window", {"start_s": 5.0}, "values it cannot use"),
        ("type_window", {"edge": "start", "text": "soon"}, "a time was asked for, but “soon” is none"),
        ("type_window", {"edge": "start", "text": "80"}, "would start at 1:20:00 and end at 1:15:00"),
        ("nudge_window", {"edge": "top", "by_s": 1.0}, "a start and a stop, but no “top”"),
        ("exclude", {"start_s": 10.0, "stop_s": 10.2}, "a stretch of 0 s was to be left out"),
        ("accept", {"suggestion": 2}, "there is no suggestion 3; there are 2"),
        ("accept", {"suggestion": -1}, "there is no suggestion 0; there are 2"),
        ("count_again", {"exclusion": 0}, "there is no exclusion 1; there are 0"),
        ("halves_from_laps", {"lap": 2}, "there is no lap 4; there are 3"),
        ("type_stage", {"stage": 0, "name": "grade", "text": "6"}, "there is no stage 1"),
        ("set_kind", {"kind": "hard"}, "“hard” is no kind of session; the kinds are easy, long"),
        ("fly", {}, "“fly” is no edit; the edits are set_window"),
    ],
)
def test_refusals_are_sentences_and_change_nothing(state: EditState, edit, values, sentence) -> None:
    before = state.draft
    with pytest.raises(DecisionProblem, match=sentence):
        state.apply(edit, **values)
    assert state.draft is before
    assert not state.can_undo


@pytest.mark.parametrize(
    ("name", "text", "sentence"),
    [
        ("speed_mps", "fast", "“fast” was typed; needed is a number from 0 to 108 km/h"),
        ("speed_mps", "nan", "“nan” was typed; needed is a number from 0 to 108 km/h"),
        ("grade", "60", "“60” was typed; needed is a number from -50 to 50 %"),
        ("start_s", "70:00:00:00", "a time was asked for"),
        ("stop_s", "5", "would start at 0:15:00 and end at 0:05:00"),
        ("colour", "5", "a stage has no “colour”"),
    ],
)
def test_a_stage_refuses_what_no_treadmill_can_do(state: EditState, name, text, sentence) -> None:
    state.apply("add_stage")
    with pytest.raises(DecisionProblem, match=sentence):
        state.apply("type_stage", stage=0, name=name, text=text)


def test_stages_may_touch_but_not_overlap(state: EditState) -> None:
    state.apply("add_stage")
    state.apply("type_stage", stage=0, name="stop_s", text="40")
    state.apply("add_stage")
    with pytest.raises(
        DecisionProblem, match="two stages overlap: 0:15:00 to 0:50:00 and 0:40:00 to 1:15:00"
    ):
        state.apply("type_stage", stage=0, name="stop_s", text="50")


def test_a_steady_window_may_not_overlap_another_one() -> None:
    windows = (Window(start_s=900.0, stop_s=2000.0), Window(start_s=3000.0, stop_s=4000.0))
    state = EditState(Decisions(fit_sha256=SHA, windows=windows), FRAME)
    with pytest.raises(DecisionProblem, match="would overlap another one, 0:50:00 to 1:06:40"):
        state.apply("set_window", start_s=900.0, stop_s=3100.0)


def test_a_window_can_be_typed_where_none_was_suggested() -> None:
    state = EditState(Decisions(fit_sha256=SHA), Frame(length_s=5400.0))
    assert main_window(state.decisions) is None
    with pytest.raises(DecisionProblem, match=r"there is no window yet\. Draw one"):
        state.apply("nudge_window", edge="start", by_s=1.0)
    state.apply("type_window", edge="start", text="15")
    assert ends(state) == (900.0, 5400.0)


def test_one_gesture_is_one_step(state: EditState) -> None:
    for _ in range(5):
        state.apply("nudge_window", gesture="g1", edge="start", by_s=10.0)
    state.apply("nudge_window", gesture="g2", edge="start", by_s=10.0)
    assert ends(state) == (960.0, 4500.0)
    state.undo()
    assert ends(state) == (950.0, 4500.0)
    state.undo()
    assert ends(state) == (900.0, 4500.0)
    assert not state.can_undo


def test_an_undone_gesture_does_not_go_on(state: EditState) -> None:
    state.apply("nudge_window", gesture="g1", edge="start", by_s=10.0)
    state.undo()
    state.apply("nudge_window", gesture="g1", edge="start", by_s=20.0)
    state.undo()
    assert ends(state) == (900.0, 4500.0)


def test_nothing_to_undo_and_nothing_to_redo_are_said(state: EditState) -> None:
    with pytest.raises(DecisionProblem, match="there is nothing to undo"):
        state.undo()
    with pytest.raises(DecisionProblem, match="there is nothing to do again"):
        state.redo()


def test_an_edit_that_changes_nothing_is_no_step(state: EditState) -> None:
    state.apply("set_window", start_s=900.0, stop_s=4500.0)
    assert not state.can_undo


def test_after_a_save_nothing_has_changed_and_undo_still_works(state: EditState) -> None:
    state.apply("accept", suggestion=0)
    state.note_saved(state.decisions)
    assert not state.is_dirty
    assert state.changes() == ()
    state.undo()
    assert state.changes() == ("Counts again: 0:33:20 to 0:33:50 (rise).",)


seconds = st.floats(min_value=-100.0, max_value=6000.0)
number = st.integers(min_value=0, max_value=3)
edits = st.one_of(
    st.tuples(st.just("set_window"), st.fixed_dictionaries({"start_s": seconds, "stop_s": seconds})),
    st.tuples(
        st.just("nudge_window"),
        st.fixed_dictionaries({"edge": st.sampled_from(["start", "stop", "both"]), "by_s": seconds}),
    ),
    st.tuples(
        st.sampled_from(["accept", "reject", "reopen"]),
        st.fixed_dictionaries({"suggestion": st.integers(0, 1)}),
    ),
    st.tuples(st.just("exclude"), st.fixed_dictionaries({"start_s": seconds, "stop_s": seconds})),
    st.tuples(st.just("count_again"), st.fixed_dictionaries({"exclusion": number})),
    st.tuples(st.just("window_from_lap"), st.fixed_dictionaries({"lap": number})),
    st.tuples(st.just("add_stage"), st.just({})),
    st.tuples(st.just("remove_stage"), st.fixed_dictionaries({"stage": number})),
    st.tuples(
        st.just("set_kind"), st.fixed_dictionaries({"kind": st.sampled_from(["easy", "time trial", None])})
    ),
    st.tuples(st.just("back_to_suggestions"), st.just({})),
)


@given(st.lists(edits, max_size=25))
def test_undo_restores_exactly_and_redo_repeats_exactly(script) -> None:
    """Whatever was done, all steps back give the first draft and all steps forward the last one."""
    state = EditState(Decisions(fit_sha256=SHA), FRAME)
    seen = [state.draft]
    for edit, values in script:
        try:
            state.apply(edit, **values)
        except DecisionProblem:
            assert state.draft is seen[-1]
        if state.draft is not seen[-1]:
            seen.append(state.draft)
        window = main_window(state.decisions)
        assert 0.0 <= window.start_s < window.stop_s <= FRAME.length_s
    for draft in reversed(seen[:-1]):
        state.undo()
        assert state.draft is draft
    for draft in seen[1:]:
        state.redo()
        assert state.draft is draft
    assert not state.can_redo
