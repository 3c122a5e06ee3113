"""Notebooks run one after the other, and none taints or stops the next."""

import datetime
import gc
import signal
import sys
import time
from pathlib import Path

import psutil
import pytest
from nbformat import read
from report.sample import IMPORTS, PARAMETERS, write_book

from coachlib.errors import FileProblem, ReportProblem
from coachlib.report.page.marks import NUMBERS_TYPE
from coachlib.report.page.page import blocks_of, numbers_of, render
from coachlib.report.workbooks.runner import BookRunner

SHOW = "Html(f'<h1>{escape(name)}</h1>')"
KEEP = "Numbers({'given': [name, note]})"
CRASH = "import os; os._exit(9)"


def test_parameters_arrive_as_they_were_given(runner, tmp_path):
    book = write_book(tmp_path / "b.ipynb", SHOW, KEEP)
    hostile = 'A "q" \\ b\n\x00 {x} {{y}} __import__("os") \'\'\''
    done = runner.run(book, {"name": hostile, "note": ['a"b', {"c": None, "d": [1.5, True]}]})
    assert numbers_of(done) == {"given": [hostile, ['a"b', {"c": None, "d": [1.5, True]}]]}


def test_a_quotation_mark_in_a_tuple_runs_no_code(runner, tmp_path):
    book = write_book(tmp_path / "b.ipynb", SHOW, KEEP)
    done = runner.run(book, {"name": "Ada", "note": ('"); name = "ran"; ("', "x")})
    assert numbers_of(done)["given"] == ["Ada", ['"); name = "ran"; ("', "x"]]


@pytest.mark.parametrize("value", [Path("x"), datetime.date(2026, 11, 22), {1, 2}, float("nan"), b"x"])
def test_parameters_that_are_not_plain_are_refused(runner, tmp_path, value):
    with pytest.raises(ReportProblem, match="parameters must be texts, numbers, lists or nothing"):
        runner.run(write_book(tmp_path / "b.ipynb", KEEP), {"name": value})


@pytest.mark.parametrize("name", ["athelete", "name = 1; note", "__name__"])
def test_unknown_parameters_are_refused_before_the_run(runner, tmp_path, name):
    with pytest.raises(
        ReportProblem, match=r"b\.ipynb has no parameter .*; it has coach, name, note, remark"
    ):
        runner.run(write_book(tmp_path / "b.ipynb", CRASH), {name: "x"})


def test_a_book_without_a_tagged_cell_is_refused(runner, tmp_path):
    book = write_book(tmp_path / "b.ipynb", KEEP)
    book.write_text(book.read_text().replace('"parameters"', '"other"'))
    with pytest.raises(ReportProblem, match="has 0 cells tagged `parameters`; exactly 1 is needed"):
        runner.run(book, {"name": "x"})


def test_braces_in_a_folder_are_only_braces(runner, tmp_path):
    folder = tmp_path / "{name}" / "{}"
    folder.mkdir(parents=True)
    done = runner.run(write_book(folder / "b.ipynb", KEEP), {"name": str(folder)})
    assert numbers_of(done)["given"][0] == str(folder)


def test_a_book_is_not_changed_and_nothing_is_written_beside_it(runner, tmp_path):
    book = write_book(tmp_path / "b.ipynb", KEEP)
    before = book.read_bytes()
    runner.run(book, {"name": "Ada"})
    assert book.read_bytes() == before
    assert list(tmp_path.iterdir()) == [book]


def test_a_book_finds_nothing_of_the_one_before(runner, tmp_path):
    runner.run(write_book(tmp_path / "a.ipynb", "left_behind = 1"), {})
    done = runner.run(write_book(tmp_path / "b.ipynb", "Numbers({'n': int('left_behind' in dir())})"), {})
    assert numbers_of(done) == {"n": 0}


def test_each_book_runs_in_this_python(runner, tmp_path):
    done = runner.run(write_book(tmp_path / "b.ipynb", "import sys\nNumbers({'at': sys.executable})"), {})
    assert numbers_of(done) == {"at": sys.executable}


@pytest.mark.parametrize(
    ("cell", "sentence"),
    [
        ("1 / 0", r"^ZeroDivisionError: division by zero \(below 'The letter'\)$"),
        ("import sys; sys.exit(3)", r"^SystemExit: 3 \(below 'The letter'\)$"),
        ("raise KeyboardInterrupt", r"^KeyboardInterrupt: without a word \(below 'The letter'\)$"),
        ("x =", r"^SyntaxError: invalid syntax"),
        (
            "from coachlib.errors import TooLittleData as T\nraise T('it has 740 s; needed are 1200 s.')",
            r"^it has 740 s; needed are 1200 s\.$",
        ),
        ("Figure(alt.Chart().mark_bar(), title='t', caption='c')", "^a chart has no description"),
        ("Numbers({'x': float('nan')})", "^the numbers of a report cannot be kept"),
    ],
)
def test_a_failing_cell_is_told_in_one_sentence(runner, tmp_path, cell, sentence):
    with pytest.raises(ReportProblem, match=sentence):
        runner.run(write_book(tmp_path / "b.ipynb", cell), {})
    assert numbers_of(runner.run(write_book(tmp_path / "c.ipynb", KEEP), {}))


def test_an_endless_cell_is_stopped_and_the_next_book_runs(tmp_path):
    endless = write_book(tmp_path / "b.ipynb", "while True: pass", imports="")
    with BookRunner(cell_limit_s=3) as runner:
        began = time.monotonic()
        with pytest.raises(ReportProblem, match=r"a cell of b\.ipynb took longer than 3 s and was stopped"):
            runner.run(endless, {})
        assert time.monotonic() - began < 30
        done = runner.run(write_book(tmp_path / "c.ipynb", "1 + 1", imports=""), {})
        assert done.cells[-1].outputs[0].data["text/plain"] == "2"


def test_a_dead_process_is_replaced(tmp_path):
    with BookRunner() as runner:
        with pytest.raises(
            ReportProblem, match=r"the Python process that ran b\.ipynb ended before its time"
        ):
            runner.run(write_book(tmp_path / "b.ipynb", CRASH, imports=""), {})
        done = runner.run(write_book(tmp_path / "c.ipynb", "1 + 1", imports=""), {})
        assert done.cells[-1].outputs[0].data["text/plain"] == "2"


def test_the_process_ends_with_the_runner(tmp_path):
    with BookRunner() as runner:
        done = runner.run(write_book(tmp_path / "b.ipynb", "import os; os.getpid()", imports=""), {})
        process = Path("/proc") / done.cells[-1].outputs[0].data["text/plain"]
        if not process.parent.exists():
            pytest.skip("this system shows no processes as folders")
        assert process.exists()
    assert not process.exists() or "State:\tZ" in (process / "status").read_text()


@pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="this system has no timer signals")
@pytest.mark.parametrize("after_s", [0.2, 4.0])
def test_a_broken_off_run_leaves_no_process_and_no_complaint(tmp_path, caplog, after_s):
    """Broken off while the process starts, and in the middle of a cell."""
    before = set(psutil.Process().children())
    endless = write_book(tmp_path / "b.ipynb", "while True: pass", imports="")
    usual = signal.signal(signal.SIGALRM, lambda *_: (_ for _ in ()).throw(KeyboardInterrupt()))
    signal.setitimer(signal.ITIMER_REAL, after_s)
    try:
        with pytest.raises(KeyboardInterrupt), BookRunner() as runner:
            runner.run(endless, {})
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, usual)
    gc.collect()
    assert {child for child in psutil.Process().children() if child.status() != "zombie"} <= before
    assert [record for record in caplog.records if record.name == "asyncio"] == []


@pytest.mark.parametrize("content", [None, "no notebook", "{}", "[]"])
def test_what_is_no_notebook_is_refused(runner, tmp_path, content):
    book = tmp_path / "b.ipynb"
    if content is not None:
        book.write_text(content)
    with pytest.raises(FileProblem, match=r"b\.ipynb cannot be read as a notebook"):
        runner.run(book, {})


def test_prints_warnings_and_frames_do_not_reach_the_page(runner, tmp_path):
    loud = "import warnings; print('leak'); warnings.warn('leak'); pd.DataFrame({'leak': [1]})"
    done = runner.run(write_book(tmp_path / "b.ipynb", loud, SHOW), {})
    page = render(blocks_of(done), title="x")
    assert "<h1>Ada Example</h1>" in page
    assert "leak" not in page


def test_a_hostile_name_and_note_give_a_readable_page(runner, tmp_path):
    payload = "</script><script>document.title=\"ran\"</script><img src=x onerror='x'> \x00\u202e{{7*7}}"
    done = runner.run(write_book(tmp_path / "b.ipynb"), {"name": payload, "note": payload, "remark": payload})
    page = render(blocks_of(done), title=payload)
    assert "<script" not in page
    assert "<img" not in page
    assert "\x00" not in page
    assert "{{7*7}}" in page
    assert PARAMETERS.strip()[:10] not in page
    assert IMPORTS.strip()[:10] not in page


def test_the_sample_holds_what_it_is_used_for(tmp_path):
    book = read(write_book(tmp_path / "b.ipynb"), as_version=4)
    assert book.cells[0].metadata["tags"] == ["parameters"]
    assert NUMBERS_TYPE.endswith("+json")
