"""One drift test as a page to print."""

import re

import numpy as np
import pytest
from panel_roster import write_roster

from coachlib.errors import RosterProblem, UnfitTest
from coachlib.measures.common.spans import Span
from coachlib.measures.drift_test.drift import drift_map
from coachlib.panels.drift_test.page import drift_test_page
from coachlib.panels.recording.panel import recording_panel
from coachlib.report.figures.drift_charts import trace_chart, window_map_chart


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    folder = tmp_path_factory.mktemp("roster")
    fit_path = write_roster(folder)
    diary = folder / "mira" / "diary.csv"
    diary.write_text(
        diary.read_text(encoding="utf-8").replace("talked once", "talked <b>once</b>"), encoding="utf-8"
    )
    return folder, fit_path


def save(folder, *edits):
    panel = recording_panel(folder)
    for edit, values in edits:
        panel.editor.do(edit, **values)
    panel.editor._answer({"act": "save"})
    assert panel.editor.errors == []


def test_nobody_has_a_drift_test_yet(written):
    with pytest.raises(RosterProblem, match="Test roster has no recording whose kind is “drift test”"):
        drift_test_page(written[0])


def test_the_page_says_what_the_decisions_say(written):
    save(
        written[0],
        ("set_kind", {"kind": "drift test"}),
        ("exclude", {"start_s": 2400.0, "stop_s": 2440.0, "reason": "talking"}),
        ("add_stage", {}),
        ("type_stage", {"stage": 0, "name": "start_s", "text": "15"}),
        ("type_stage", {"stage": 0, "name": "speed_mps", "text": "10"}),
        ("type_stage", {"stage": 0, "name": "grade", "text": "6"}),
    )
    page = drift_test_page(written[0])
    drift = page._test.drift
    found = page.finding.replace("\N{NO-BREAK SPACE}", " ").replace("−", "-")
    assert "Mira: steady drift test" in page.finding
    assert "Saturday 3 October 2026, 10.0 km/h at 6 %" in found
    assert f"{drift.drift_low_pct:.1f} to {drift.drift_high_pct:.1f} %" in found
    assert f"{drift.day_low_pct:.1f} to {drift.day_high_pct:.1f} %" in found
    assert "No decisions are saved" not in page.finding
    assert "0:40:00 to 0:40:40 (talking)" in page.trace
    assert page.trace.count("<svg") == page.window_map.count("<svg") == 1
    assert "valid test" in page.validity
    assert "19\N{NO-BREAK SPACE}°C" in page.conditions
    assert "comfortable: below" in page.other_opinions
    assert "comfortable" not in page.conditions
    assert "Another sign agrees: the talk test." in page.finding
    assert "eat intervals" not in page.other_opinions, "this recording has none"
    assert "talked &lt;b&gt;once&lt;/b&gt;" in page.conditions
    assert "physician" in page.cautions


def test_the_page_is_saved_as_one_file_for_print(written):
    said = drift_test_page(written[0]).save()
    path = written[0] / "mira" / "reports" / "2026-10-03_treadmill_drift_test.html"
    assert path.name in said
    page = path.read_text(encoding="utf-8")
    assert page.count("<svg") == 2
    assert "Mira: steady drift test" in page
    assert "Other opinions" in page
    assert "<script" not in page


def test_without_any_other_sign_there_is_no_section(tmp_path):
    write_roster(tmp_path)
    diary = tmp_path / "mira" / "diary.csv"
    diary.write_text(diary.read_text(encoding="utf-8").replace("comfortable", ""), encoding="utf-8")
    page = drift_test_page(tmp_path, "mira", "2026-10-03_treadmill")
    assert page.other_opinions == ""
    assert "sign" not in page.finding.partition("</p><")[0]
    page.save()
    saved = (tmp_path / "mira" / "reports" / "2026-10-03_treadmill_drift_test.html").read_text(
        encoding="utf-8"
    )
    assert "Other opinions" not in saved


def test_beats_of_a_test_are_read_and_shown(tmp_path, demo_copy):
    roster = demo_copy(tmp_path / "roster")
    page = drift_test_page(roster, "nadja", "2026-09-26_rowing")
    opinions = page.other_opinions.replace("\N{NO-BREAK SPACE}", " ")
    assert re.search(r"beat intervals</th><td>1[45]\d bpm</td><td>alpha1 0\.\d\d \(", opinions)
    assert "None of these changes the result of the test." in opinions


def test_a_recording_can_be_named_and_says_that_nothing_is_saved(tmp_path):
    write_roster(tmp_path)
    page = drift_test_page(tmp_path, "mira", "2026-10-03_treadmill")
    assert "No decisions are saved" in page.finding


def test_what_is_too_short_to_judge_is_refused(tmp_path):
    write_roster(tmp_path, seconds=400)
    with pytest.raises(UnfitTest, match="The longest even stretch after settling is 7 min; 30 are needed"):
        drift_test_page(tmp_path, "mira", "2026-10-03_treadmill")


def test_the_contour_lies_where_drift_meets_the_criterion():
    """Heart rate rises by a share of 5 % an hour until 1 h, by three times that after: the line is between."""
    time_s = np.arange(7200.0)
    hr_bpm = np.where(time_s < 3600, 140 + time_s / 3600 * 3, 143 + (time_s - 3600) / 3600 * 21)
    starts_s, stops_s = np.arange(0.0, 6000, 300), np.arange(1200.0, 7201, 300)
    drift_pct = drift_map(time_s, hr_bpm, time_s >= 0, starts_s=starts_s, stops_s=stops_s)
    chart = window_map_chart(starts_s, stops_s, drift_pct, criterion_pct=5.0, chosen=None)
    cells, contour = chart.layer[0].data, chart.layer[1].data
    early = cells[(cells["stop_to"] <= 3600)]
    late = cells[(cells["start"] >= 3600)]
    assert (early["share"] < 1).all()
    assert (late["share"] > 1).all()
    assert len(contour) > 0
    assert contour["stop_to"].min() > 3600


def test_no_spike_is_lost_where_a_column_holds_many_seconds():
    time_s = np.arange(14_400.0)
    hr_bpm = np.full(time_s.size, 150.0)
    hr_bpm[7777] = 190.0
    hr_bpm[3000:3300] = np.nan
    bare = {"output_title": "", "window": Span(start_s=900, stop_s=4500), "halves_bpm": (150.0, 150.0)}
    chart = trace_chart(time_s, hr_bpm, None, exclusions=(), **bare)
    line = next(layer.data for layer in chart.layer if "value" in layer.data and len(layer.data) > 100)
    assert line["value"].max() == 190.0
    assert line["value"].isna().any(), "the hole breaks the line"
    assert len(line) < 1500
