"""Beat intervals and lactate read from a roster's folder, beside the drift series they are held against."""

import re

import pytest

from coachlib.files.roster.folder import open_roster
from coachlib.jobs.field_tests.drift_tests import read_drift_tests
from coachlib.panels.first_threshold.panel import first_threshold_panel

RAMP = "2026-10-28_rowing"
#: Lactate of the ten stages of the demo's ramp, 2 mmol/l between 155 and 170 W.
LACTATE = (1.2, 1.1, 1.3, 1.7, 2.3, 3.0, 4.1, 5.6, 7.4, 9.5)


@pytest.fixture
def roster(tmp_path, demo_copy):
    return demo_copy(tmp_path / "roster")


def known(roster, slug="nadja"):
    folder = open_roster(roster)
    return read_drift_tests(folder, folder.athlete(slug))


def change_ramp(roster, change):
    path = roster / "nadja" / "recordings" / f"{RAMP}.decisions.toml"
    path.write_text(change(path.read_text(encoding="utf-8")), encoding="utf-8")


def as_step_test(text):
    """The ramp as a step test with lactate typed in behind each power."""
    values = iter(LACTATE)
    text = text.replace('kind = "ramp"', 'kind = "step test"')
    return re.sub(r"(power_w = \S+)", lambda m: f"{m[1]}\nlactate_mmol_l = {next(values)}", text)


def section(page):
    return (
        page.partition("<h2>Other opinions</h2>")[2].partition("<h2>")[0].replace("\N{NO-BREAK SPACE}", " ")
    )


def test_beats_of_tests_and_of_the_ramp_are_read(roster):
    found = known(roster)
    assert [(o.source, str(o.on)) for o in found.opinions] == [
        ("beat intervals", "2026-09-26"),
        ("beat intervals", "2026-10-03"),
        ("ramp with beat intervals", "2026-10-28"),
    ]
    assert found.silent == ()
    # the demo's beats lose their memory at 152 bpm
    assert found.opinions[-1].hr_bpm == pytest.approx(152, abs=4)


def test_the_page_says_that_the_ramp_agrees_and_the_estimate_does_not_move(roster):
    page = first_threshold_panel(roster, "nadja", interactive=False).page
    assert "Two other signs agree: the talk test and the ramp with beat intervals." in page
    assert "ramp with beat intervals, 28 Oct" in section(page)
    estimate = re.search(r"The heart rate at 5.% drift is [^.]*", page)[0]
    change_ramp(roster, lambda text: text.replace('kind = "ramp"', 'kind = "intervals"'))
    page = first_threshold_panel(roster, "nadja", interactive=False).page
    assert "Another sign agrees: the talk test." in page
    assert "ramp" not in section(page)
    assert estimate in page


def test_answers_that_contradict_the_drift_are_told(roster):
    diary = roster / "ilva" / "diary.csv"
    text = diary.read_text(encoding="utf-8")
    rows = [
        line.replace(",comfortable,", ",not,") if line.startswith("2026-09-19") else line
        for line in text.splitlines(keepends=True)
    ]
    diary.write_text("".join(rows), encoding="utf-8")
    page = first_threshold_panel(roster, "ilva", interactive=False).page
    assert "The talk test is divided: for it on 3 Oct" in page
    assert "against it on 19 Sep; see “Other opinions”." in page
    assert "not: above</td><td>disagrees" in section(page)


def test_without_beats_or_answers_there_is_no_section(roster):
    diary = roster / "ilva" / "diary.csv"
    text = diary.read_text(encoding="utf-8")
    diary.write_text(re.sub(",(comfortable|equivocal|not),", ",,", text), encoding="utf-8")
    assert known(roster, "ilva").opinions == ()
    page = first_threshold_panel(roster, "ilva", interactive=False).page
    assert "Other opinions" not in page
    assert "other sign" not in page


def test_a_test_that_is_left_out_takes_its_opinions_with_it(roster):
    page = first_threshold_panel(roster, "nadja", leave_out="2026-09-26_rowing", interactive=False).page
    assert "26 Sep" not in section(page)
    assert "beat intervals, 3 Oct" in section(page)


def test_a_ramp_without_a_place_says_so(roster):
    change_ramp(roster, lambda text: text.partition("[[window]]")[0] + "[end]\nentries = 0\n")
    (said,) = known(roster).silent
    assert said.startswith(f"{RAMP}: nothing says where the ramp begins")
    assert f"No opinion: {RAMP}: nothing says" in section(
        first_threshold_panel(roster, "nadja", interactive=False).page
    )


def test_lactate_of_a_step_test_is_an_opinion(roster):
    change_ramp(roster, as_step_test)
    opinion = known(roster).opinions[-1]
    assert opinion.source == "lactate steps"
    # 2 mmol/l lies at 162.5 W: between stages of 155 and 170 W, whose last minutes read 146 and 152 bpm
    fixed = next(t for t in opinion.reading if "2 mmol" in t.method)
    assert fixed.load == pytest.approx(162.5)
    assert 144 < fixed.hr_bpm < 154
    assert "lactate steps, 28 Oct" in section(first_threshold_panel(roster, "nadja", interactive=False).page)


def test_lactate_without_a_load_is_refused_in_words(roster):
    change_ramp(roster, as_step_test)
    change_ramp(roster, lambda text: re.sub(r"power_w = \S+\n", "", text, count=1))
    (said,) = known(roster).silent
    assert said == f"{RAMP}: a stage with lactate has neither power nor speed. Fill in one of them."


def test_lactate_stays_in_the_decisions_when_a_stage_is_edited(roster):
    change_ramp(roster, as_step_test)
    folder = open_roster(roster)
    own = folder.athlete("nadja")
    path = own.path / "recordings" / f"{RAMP}.fit"
    decisions = own.decisions(path, folder.store.activity(path).sha256)
    assert tuple(s.lactate_mmol_l for s in decisions.stages) == LACTATE
    moved = decisions.model_copy(
        update={"stages": (decisions.stages[0].model_copy(update={"power_w": 112.0}), *decisions.stages[1:])}
    )
    own.save_decisions(path, moved, based_on=own.decisions_seen(path))
    assert "lactate_mmol_l = 1.2" in path.with_suffix(".decisions.toml").read_text(encoding="utf-8")
