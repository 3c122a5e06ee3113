"""One recording, one judgement, one sentence: what every page says of it is the same, and nobody says it anew."""

import ast
import html
import inspect
import re
import shutil
from contextlib import nullcontext
from datetime import date, datetime
from functools import cache
from io import StringIO
from itertools import product
from pathlib import Path
from string import Formatter

import numpy as np
import pytest
from built_activity import built_activity
from fitbytes import RUNNING, START, TREADMILL, FitBytes
from judging import judged as judge_built
from recordings import FOLDER, recording
from rosters import DAY_S, make_roster, put

import coachlib
from coachlib.analysis.first_threshold import fit_to_test
from coachlib.analysis.roster.call_sheet import call_sheet
from coachlib.analysis.roster.reasons.registry import all_reasons
from coachlib.errors import ReportProblem
from coachlib.files.roster.folder import open_roster
from coachlib.jobs import weeks
from coachlib.jobs.field_tests.drift_tests import read_drift_tests
from coachlib.jobs.history import read_athlete_week
from coachlib.jobs.recordings import Recordings
from coachlib.panels.drift_test.page import drift_test_page
from coachlib.panels.recording.subject import RecordingSubject
from coachlib.records.decisions import Decisions, Exclusion, Window
from coachlib.report.drift_test import page as drift_page
from coachlib.report.letter import letter, sentences
from coachlib.report.letter.day_rows import days
from coachlib.report.letter.how_we_know import how_we_know
from coachlib.report.words import catalogue, wording
from coachlib.report.words.recording import meant, seen, verdict
from coachlib.report.workbooks.runner import BookRunner

PACKAGE = Path(coachlib.__file__).parent
DEMO = Path(__file__).parents[1] / "athletes_demo"
#: Words that put a first threshold on one side of a test.
SIDE = re.compile(r"first threshold (likely )?lies (above|below)|that is (above|below)")


# recordings and rosters of which everything is known


def beats(seconds=4800, *, level=150.0, end=None, seed=1):
    """Heart rate of a steady run: up to its level within minutes, then straight to ``end``, with slow noise."""
    t = np.arange(seconds)
    rng = np.random.default_rng(seed)
    noise = np.convolve(rng.normal(0, 0.5, seconds + 59), np.ones(60) / 8, "valid")
    wanted = level + ((level if end is None else end) - level) * t / seconds
    return np.round(wanted * (1 - 0.35 * np.exp(-t / 60)) + noise)


def belt(seconds=4800, *, kmh=(10.0, 10.8), changes_s=2700):
    """Speed that the recording holds, changed once."""
    return np.where(np.arange(seconds) < changes_s, *kmh)


def fit_of(hr_bpm, kmh, *, start=START):
    """An indoor run, one record a second; heart rate 255 is missing."""
    fit = FitBytes().file_id(created=start)
    for second, (bpm, speed) in enumerate(zip(hr_bpm, kmh, strict=True)):
        fit.record(start + second, int(bpm), (6, "uint16", round(speed / 3.6 * 1000)))
    stop_s = len(hr_bpm) - 1
    return fit.lap(start, stop_s).session(start, stop_s, RUNNING, TREADMILL).bytes()


def anna_with(folder, data, *, diary="", others=()):
    """A roster on which Anna has done some runs, one a day, with her diary."""
    root = make_roster(folder / "roster", "anna", *others)
    for day, run in enumerate(data):
        put(root / "anna", f"2026-10-{3 + day:02d}_treadmill.fit", run)
    if diary:
        (root / "anna/diary.csv").write_text(diary)
    return root


def decide(root, *, kind="drift test", window=(900, 4500), exclusions=()):
    """Save the same decisions about every run of Anna's."""
    roster = open_roster(root)
    own = roster.athlete("anna")
    for path in own.recordings():
        made = Decisions(
            fit_sha256=roster.store.activity(path).sha256,
            kind=kind,
            windows=(Window(start_s=window[0], stop_s=window[1]),),
            exclusions=exclusions,
        )
        own.save_decisions(path, made, based_on=own.decisions_seen(path))


def words(*blocks):
    """Blocks as a reader sees them, without markup."""
    return re.sub(r"\s+", " ", html.unescape(re.sub("<[^>]+>", " ", " ".join(blocks)))).replace("\u00a0", " ")


def letter_of(root, athlete="anna"):
    """Every block of the latest letter, as the workbook shows them."""
    monday = read_athlete_week(root, athlete)
    week, season = monday.week, monday.season
    return words(
        letter.lead(week), letter.next_thing(monday), letter.evidence(week, season),
        letter.season(week, season), days(week), how_we_know(week, season),
    )  # fmt: skip


def subject_of(root, name, athlete="anna"):
    roster = open_roster(root)
    own = roster.athlete(athlete)
    (path,) = [p for p in own.recordings() if p.stem == name]
    return RecordingSubject(roster, own, path)


def test_page_of(root):
    page = drift_test_page(root, "anna", "2026-10-03_treadmill")
    return words(page.finding, page.trace, page.validity, page.conditions)


test_page_of.__test__ = False


def shown(judged):
    """What a judged recording lets every page say of its steady stretch."""
    stretch = judged.steady
    if stretch is None:
        return judged.not_steady, judged.trial
    return (
        stretch.window, stretch.drift, stretch.held, stretch.meaning, stretch.findings, stretch.suggestions,
        judged.n_suggestions, stretch.temperature_c, stretch.caveats,
    )  # fmt: skip


# a void test


@pytest.fixture(scope="module")
def void(tmp_path_factory):
    """A decided test within which the belt was set from 10 to 10.8 km/h."""
    root = anna_with(tmp_path_factory.mktemp("void"), [fit_of(beats(), belt())])
    decide(root)
    return root


def test_a_void_test_is_called_so_on_every_page_and_put_on_no_side(void):
    monday = read_athlete_week(void, "anna")
    said = {
        "letter": letter_of(void),
        "lead": " ".join(sentences.lead(monday.week)),
        "editor": subject_of(void, "2026-10-03_treadmill").read().sentence,
        "test page": test_page_of(void),
    }
    for page, text in said.items():
        assert "This is no valid test: the setting changed once inside the window" in text, page
        assert not SIDE.search(text), page


def test_a_void_test_counts_nowhere(void):
    roster = open_roster(void)
    series = read_drift_tests(roster, roster.athlete("anna"))
    assert series.tests == ()
    (left_out,) = series.left_out
    assert "no valid test" in left_out
    monday = read_athlete_week(void, "anna")
    assert monday.season.drifts == ()
    assert not any(sentences.tells_drift(s) for s in monday.week.sessions)
    sheet = call_sheet([monday], monday.week.settings.call_sheet)
    assert "drift unusually high" not in {reason.kind for entry in sheet.in_order for reason in entry.reasons}


# one window, one drift, one number of suggestions


@pytest.mark.parametrize("kind", ["drift test", "easy"])
def test_an_undecided_run_is_the_same_run_on_every_page(tmp_path, kind):
    diary = f"date,kind\n2026-10-03,{kind}\n"
    root = anna_with(tmp_path, [fit_of(beats(seed=4, end=153), belt())], diary=diary)
    monday = read_athlete_week(root, "anna")
    (in_letter,) = monday.week.sessions
    subject = subject_of(root, "2026-10-03_treadmill")
    in_editor = subject.judged(subject.state.decisions)
    assert in_letter.steady is not None
    window = in_letter.steady.window
    assert window.stop_s <= 2700 or window.start_s >= 2700, "one setting"
    assert shown(in_letter) == shown(in_editor)
    assert subject.read().stretch == in_editor.steady
    (in_season,) = monday.season.drifts
    told = in_letter.steady.told
    assert (in_season.drift_pct, in_season.drift_low_pct, in_season.drift_high_pct) == (
        told.drift_pct,
        told.drift_low_pct,
        told.drift_high_pct,
    )
    assert 60 * in_season.minutes == window.stop_s - window.start_s
    assert verdict(in_letter.steady) in test_page_of(root)


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    """The demo without anything kept from before."""
    root = tmp_path_factory.mktemp("demo") / "athletes_demo"
    return shutil.copytree(DEMO, root, ignore=shutil.ignore_patterns("reports", ".coachlib"))


def judged_alike(root, slug):
    """Every session of an athlete, in the letter as in the editor and on the test page; how many there are."""
    roster = open_roster(root)
    own = roster.athlete(slug)
    recordings = Recordings(folder=roster, own=own)
    found = list(recordings.open())
    for opened in found:
        in_letter = recordings.judged(opened)
        subject = RecordingSubject(roster, own, opened.path, part=opened.part)
        assert shown(subject.judged(subject.state.decisions)) == shown(in_letter), opened.name
        if in_letter.steady is not None:
            said = verdict(in_letter.steady)
            assert subject.read().sentence == said, opened.name
            if opened.is_main and in_letter.kind in ("drift test", None):
                assert said in words(drift_test_page(root, slug, opened.name).finding), opened.name
    series = {s.source: s for s in read_drift_tests(roster, own).tests}
    for opened in found:
        in_letter = recordings.judged(opened)
        if (
            opened.decisions
            and in_letter.kind == "drift test"
            and in_letter.steady
            and not in_letter.steady.is_void
        ):
            member, told = series[opened.name], in_letter.steady.told
            assert (member.drift_pct, 60 * member.minutes) == (
                told.drift_pct,
                in_letter.steady.window.length_s,
            )
    again = Recordings(folder=roster, own=own)
    assert [again.judged(o) for o in again.open()] == [recordings.judged(o) for o in found], (
        "kept and read back"
    )
    return len(found)


@pytest.mark.parametrize("slug", sorted(p.parent.name for p in DEMO.glob("*/athlete.toml")))
def test_every_recording_of_the_demo_is_judged_alike_by_letter_editor_and_test_page(demo, slug):
    assert judged_alike(demo, slug) == len(list((demo / slug / "recordings").glob("*.fit")))
    # and once more, from what was kept
    assert judged_alike(demo, slug)


def real_recordings():
    """Names of the real recordings that can be read; one name alone where the folder is missing, to say so."""
    found = sorted(p.name for p in FOLDER.glob("*.fit") if not p.name.startswith("settings"))
    return found or ["indoor_row_28min.fit"]


@pytest.mark.parametrize("name", real_recordings())
def test_a_real_recording_is_judged_alike_by_letter_editor_and_test_page(tmp_path, name):
    root = anna_with(tmp_path, [recording(name).read_bytes()])
    assert judged_alike(root, "anna")
    length_s = subject_of(root, "2026-10-03_treadmill").activity.elapsed_s
    if length_s > 1500:
        decide(root, window=(300, length_s - 120))
        assert judged_alike(root, "anna")


# talking is no strap


def talked(tmp_path, hr_bpm):
    """Two runs of a week, and whether twenty minutes of them were left out as talking."""
    runs = [
        fit_of(hr_bpm, np.full(hr_bpm.size, 10.0), start=START + day * DAY_S) for day in (0, 1)
    ]  # a Saturday and a Sunday
    return anna_with(tmp_path, runs)


def strap_in(root):
    """Whether letter and call sheet speak of the strap."""
    monday = read_athlete_week(root, "anna")
    sheet = call_sheet([monday], monday.week.settings.call_sheet)
    kinds = {reason.kind for entry in sheet.in_order for reason in entry.reasons}
    return "strap" in letter_of(root), "strap failing" in kinds


def test_twenty_minutes_left_out_as_talking_lead_to_no_word_about_the_strap(tmp_path):
    root = talked(tmp_path, beats())
    decide(root, kind="easy", exclusions=(Exclusion(start_s=2000, stop_s=3200, reason="talking"),))
    assert strap_in(root) == (False, False)


def test_twenty_minutes_without_heart_rate_do(tmp_path):
    hr_bpm = beats()
    hr_bpm[2000:3200] = 255
    assert strap_in(talked(tmp_path, hr_bpm)) == (True, True)


# a fall


def test_a_fall_is_told_in_one_form(tmp_path):
    root = anna_with(tmp_path, [fit_of(beats(level=152, end=148, seed=2), np.full(4800, 10.0))])
    decide(root)
    (session,) = read_athlete_week(root, "anna").week.sessions
    drift = session.drift
    assert drift.drift_high_pct < -0.1, "it surely fell"
    fell = f"fell {-drift.drift_pct:.1f} % ({-drift.drift_high_pct:.1f} to {-drift.drift_low_pct:.1f})"
    signed = wording.drift(drift)
    assert signed == f"−{fell[5:8]} % (−{-drift.drift_low_pct:.1f} to −{-drift.drift_high_pct:.1f})"
    pages = {
        "letter": letter_of(root),
        "editor": subject_of(root, "2026-10-03_treadmill").read().sentence,
        "test page": test_page_of(root),
    }
    for page, text in pages.items():
        assert fell in text, page
        assert not re.search(r"(fell|rose|fallen|risen)[^.]{0,8} [−-]\d", text), page
        assert not re.search(r"[^\w]-\d", text), f"{page}: a minus is a minus"
    assert sentences.drift_fact(session).startswith(f"drift {wording.drift(session.steady.told)} in")


def stuck_fit():
    """A run of 90 minutes whose heart rate stands still for 15 of them, on a belt."""
    hr_bpm = beats(5400, seed=6, end=154)
    hr_bpm[2400:3300] = 161
    return fit_of(hr_bpm, np.full(5400, 10.0))


def test_a_heart_rate_that_stood_still_counts_on_no_page_and_is_told_on_each(tmp_path):
    root = anna_with(tmp_path, [stuck_fit()])
    decide(root, window=(900, 4980))
    (session,) = read_athlete_week(root, "anna").week.sessions
    stretch = session.steady
    subject = subject_of(root, "2026-10-03_treadmill")
    reading = subject.read()
    assert reading.stretch == stretch
    starts_s, stops_s, drift_pct = subject.window_map()
    i, j = list(starts_s).index(900.0), list(stops_s).index(4980.0)
    assert drift_pct[i, j] == pytest.approx(stretch.drift.drift_pct, abs=1e-9), (
        "the map is of the same samples"
    )
    told = "stands at exactly 161 bpm for 15 min"
    for page, text in {"editor": " ".join(reading.findings), "test page": test_page_of(root)}.items():
        assert told in text, page
    # left out once more it moves nothing: it did not count
    subject.state.apply("exclude", start_s=2400, stop_s=3300, reason="stuck")
    assert subject.read().exclusion_effects == ("no effect",)
    assert subject.read().stretch.drift == stretch.drift, "it did not count before either"


def test_an_uncertain_fall_is_told_with_its_sign_in_row_and_sentence(tmp_path):
    hr_bpm = beats(4800, level=150, end=149.6, seed=9)
    root = anna_with(tmp_path, [fit_of(hr_bpm, np.full(4800, 10.0))])
    decide(root)
    (session,) = read_athlete_week(root, "anna").week.sessions
    told = session.steady.drift
    assert told.drift_low_pct < 0 < told.drift_high_pct
    both = wording.drift(told)
    assert f"changed by {both} over" in letter_of(root)
    assert f"changed by {both} over" in subject_of(root, "2026-10-03_treadmill").read().sentence


def test_a_test_that_nothing_can_be_told_of_joins_no_series_and_says_why_in_words(tmp_path):
    """Rowing whose pace fell by a twentieth: how heart rate follows it is not known."""
    kmh = 14.0 * (1 - 0.06 * np.arange(4800) / 4800)
    fit = FitBytes().file_id(created=START)
    for second, (bpm, speed) in enumerate(zip(beats(), kmh, strict=True)):
        fit.record(START + second, int(bpm), (6, "uint16", round(speed / 3.6 * 1000)))
    root = anna_with(tmp_path, [fit.lap(START, 4799).session(START, 4799, 15, 14).bytes()])
    decide(root)
    (session,) = read_athlete_week(root, "anna").week.sessions
    assert session.steady.meaning.name == "output not allowed for"
    roster = open_roster(root)
    series = read_drift_tests(roster, roster.athlete("anna"))
    assert series.tests == ()
    assert "what that does to heart rate is not known" in series.left_out[0]


def test_seen_and_meant_are_what_every_page_puts_together():
    stretch = judge_built(built_activity(seconds=4500, speed_mps=np.full(4500, 3.0))).steady
    said = verdict(stretch)
    assert said.startswith(f"{seen(stretch)} {meant(stretch)}")
    assert said in words(
        drift_page.finding(stretch, athlete="A", started=datetime(2026, 10, 3, 7), is_saved=True, held=())
    )


# one sentence a code

#: Where codes are made; what makes them is told apart by where it comes from.
WITH_CODES = ("measures", "analysis", "files", "jobs", "records", "report", "panels")
MAKERS = {"code", "Code", "found"}
CODES = "coachlib.measures.common.codes"


@cache
def modules(*parts):
    return tuple(
        (path.relative_to(PACKAGE).as_posix(), ast.parse(path.read_text("utf-8")))
        for part in parts
        for path in sorted((PACKAGE / part).rglob("*.py"))
    )


def possible(node, within, tree):
    """The texts an expression may stand for; None among them where that cannot be read off."""
    if isinstance(node, ast.Constant):
        return {node.value}
    if isinstance(node, ast.IfExp):
        return possible(node.body, within, tree) | possible(node.orelse, within, tree)
    if isinstance(node, ast.FormattedValue):
        return possible(node.value, within, tree)
    if isinstance(node, ast.JoinedStr):
        parts = [possible(part, within, tree) for part in node.values]
        return {None if None in texts else "".join(texts) for texts in product(*parts)}
    if isinstance(node, ast.Subscript) and isinstance(node.value, ast.Name):
        tables = [v for v in assigned(node.value.id, tree) if isinstance(v, ast.Dict)]
        return set().union(*(possible(v, within, tree) for table in tables for v in table.values)) or {None}
    if isinstance(node, ast.Name):
        given = assigned(node.id, within) or passed(node.id, within, tree)
        return set().union(*(possible(value, within, tree) for value in given)) or {None}
    return {None}


def assigned(name, within):
    """What a name is set to."""
    return [
        n.value
        for n in ast.walk(within)
        if isinstance(n, ast.Assign | ast.AnnAssign)
        and any(getattr(t, "id", "") == name for t in getattr(n, "targets", [getattr(n, "target", None)]))
    ]


def passed(name, function, tree):
    """What a module's own calls of a function pass as the argument of that name."""
    takes = [a.arg for a in getattr(getattr(function, "args", None), "args", [])]
    if name not in takes:
        return []
    at = takes.index(name) - ("self" in takes)
    calls = [
        n
        for n in ast.walk(tree)
        if isinstance(n, ast.Call)
        and function.name in (getattr(n.func, "id", ""), getattr(n.func, "attr", ""))
    ]
    return [call.args[at] for call in calls if len(call.args) > at]


#: Modules whose codes take their names from elsewhere: a reason's, those of a table, those kept earlier.
NAMED_ELSEWHERE = {
    "analysis/roster/athlete_week.py",
    "analysis/roster/call_sheet.py",
    "analysis/first_threshold/fit_to_test.py",
    "files/store/packing.py",
}


@cache
def codes_made(*parts):
    """Every code's name, where it is made, and the names of the values that go with it (None: not known)."""
    found = []
    for module, tree in modules(*parts):
        made_here = {
            alias.asname or alias.name
            for node in ast.walk(tree)
            if isinstance(node, ast.ImportFrom) and node.module == CODES
            for alias in node.names
        } & MAKERS
        functions = [n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef)]
        for call in (n for n in ast.walk(tree) if isinstance(n, ast.Call)):
            if getattr(call.func, "id", "") not in made_here or not call.args:
                continue
            within = [f for f in functions if f.lineno <= call.lineno <= f.end_lineno] or [tree]
            values = {k.arg for k in call.keywords}
            if call.func.id == "Code":
                values = {None}
            for name in possible(call.args[0], within[-1], tree):
                found.append((name, f"{module}:{call.lineno}", values))
    return tuple(found)


def test_every_code_has_a_sentence():
    made = codes_made(*WITH_CODES)
    assert len(made) > 250
    unread = {where.partition(":")[0] for name, where, _ in made if name is None}
    assert unread <= NAMED_ELSEWHERE, "names stand where the code is made"
    names = {name: where for name, where, _ in made if name is not None}
    names |= dict.fromkeys(all_reasons(), "a reason") | dict.fromkeys(fit_to_test._BLOCKS.values(), "a block")
    assert {name: where for name, where in names.items() if name not in catalogue.sentences()} == {}


def test_every_sentence_takes_the_values_its_code_carries():
    wrong = []
    for name, where, values in codes_made(*WITH_CODES):
        said = catalogue.sentences().get(name)
        if None in values or said is None:
            continue
        try:
            missing = (
                fields_of(said) - values
                if fields_of(said)
                else inspect.signature(said).bind(**dict.fromkeys(values)) and ()
            )
        except TypeError as problem:
            missing = str(problem)
        if missing:
            wrong.append(f"{where} {name}: {missing}")
    assert wrong == []


def fields_of(said):
    """The values that a sentence with gaps asks for; none for a function."""
    text = getattr(said, "__self__", None)
    return {field for _, field, _, _ in Formatter().parse(text) if field} if isinstance(text, str) else set()


def test_no_sentence_stands_that_nothing_says():
    named = {
        node.value
        for module, tree in modules(*WITH_CODES)
        for node in ast.walk(tree)
        if not module.startswith("report/words/") and isinstance(node, ast.Constant)
    }
    made = {name for name, _, _ in codes_made(*WITH_CODES)}
    assert {name for name in catalogue.sentences() if name not in made | named} == set()


def test_no_table_of_words_has_two_entries_of_one_name():
    twice = []
    for module, tree in modules("report/words"):
        for node in (n for n in ast.walk(tree) if isinstance(n, ast.Dict)):
            keys = [key.value for key in node.keys if isinstance(key, ast.Constant)]
            twice += [f"{module}: {key}" for key in set(keys) if keys.count(key) > 1]
    assert twice == []


#: What a value may look like, by the end of its name.
SAMPLES = (
    (re.compile(r"(^|_)(on|at)$"), date(2026, 10, 5)),
    (re.compile(r"^(lacking|missing|names|sports|what|things|methods|words|titles)$"), ("sex", "age")),
    (re.compile(r"^is_"), True),
    (re.compile(r"^n(_|$)"), 3),
    (re.compile(r"_(s|m|mps|bpm|w|rpm|c|pct|frac|min|h|kmh|k|years|weeks|days|bytes)$|^(weeks|days|minutes)$"), 7.25),
)  # fmt: skip


#: Words that a refusal was raised with: they are handed through, and are another code's with every code.
RAISED = frozenset({"why", "sentence", "said"})


def sample(name, code):
    if name in RAISED:
        return f"as {code} was raised"
    return next((value for pattern, value in SAMPLES if pattern.search(name)), None)


def said_with_samples(name):
    """A code's sentence with the same values as every other code; None where a value is one of few words."""
    said = catalogue.sentences()[name]
    takes = fields_of(said) or {
        p.name for p in inspect.signature(said).parameters.values() if p.kind is not p.VAR_KEYWORD
    }
    values = {key: sample(key, name) for key in takes if not key.isdigit()}
    for words_or_number in ("sleep", 7.25, ("a", "b")):
        try:
            return said(**{key: words_or_number if value is None else value for key, value in values.items()})
        except (TypeError, KeyError, ValueError, AttributeError):
            continue
    return None


def test_no_sentence_is_said_for_two_codes():
    said = {name: said_with_samples(name) for name in catalogue.sentences()}
    told = [sentence for sentence in said.values() if sentence is not None]
    assert len(told) > 0.85 * len(said), [name for name, sentence in said.items() if sentence is None]
    assert {s: [n for n in said if said[n] == s] for s in set(told) if told.count(s) > 1} == {}


def test_sentences_begin_small_and_end_open():
    for name, said in ((name, said_with_samples(name)) for name in catalogue.sentences()):
        if said:
            assert not said.endswith("."), name
            assert not re.match(r"(The|A|An|It|This|That|Heart|If|No|In|On|Without) ", said), name


# one judgement

JUDGING = tuple(
    f"coachlib.measures.{name}"
    for name in (
        "drift_test.drift", "drift_test.constant_output", "drift_test.decoupling", "drift_test.validity",
        "recording.artefacts", "recording.steady", "recording.lag", "recording.plausibility", "drift", "artefacts",
    )
)  # fmt: skip
#: Only a rule of three.
ALLOWED = {"scaled_criterion_pct"}


def measures_called(tree):
    """The functions of the judging measures that a module names: no types, no constants."""
    as_modules = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom):
            for alias in node.names:
                if f"{node.module}.{alias.name}" in JUDGING:
                    as_modules[alias.asname or alias.name] = None
                elif node.module in JUDGING and alias.name.islower():
                    yield alias.name
        elif isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name in JUDGING)
    for node in ast.walk(tree):
        is_theirs = isinstance(node, ast.Attribute) and getattr(node.value, "id", "") in as_modules
        if is_theirs and node.attr.islower():
            yield node.attr


def test_nobody_outside_the_one_judgement_calls_what_it_is_made_of():
    wrong = {}
    for module, tree in modules("analysis", "files", "jobs", "report", "panels", "records"):
        if not module.startswith("analysis/recording/"):
            called = set(measures_called(tree)) - ALLOWED
            wrong |= {module: called} if called else {}
    assert wrong == {}


# somebody else's name


@pytest.fixture(scope="module")
def warm():
    with BookRunner() as runner:
        yield runner


def test_another_athletes_name_in_a_remark_stops_letter_and_test_page(tmp_path, monkeypatch, warm):
    monkeypatch.setattr(weeks, "BookRunner", lambda: nullcontext(warm))
    diary = "date,kind,remarks\n2026-10-03,drift test,ran with Berta\n"
    root = anna_with(tmp_path, [fit_of(beats(), np.full(4800, 10.0))], diary=diary, others=("berta",))
    decide(root)
    said = StringIO()
    status = weeks.write_weeks(
        open_roster(root), today=date(2026, 10, 12), athletes=("anna",), width=200, out=said
    )
    assert status == 1
    assert "Berta" in said.getvalue()
    page = drift_test_page(root, "anna", "2026-10-03_treadmill")
    with pytest.raises(ReportProblem, match="Berta"):
        page.save()
    assert list(root.rglob("*.html")) == []
    (root / "anna/diary.csv").write_text(diary.replace("Berta", "a friend"))
    drift_test_page(root, "anna", "2026-10-03_treadmill").save()
    assert [p.name for p in root.rglob("*.html")] == ["2026-10-03_treadmill_drift_test.html"]
