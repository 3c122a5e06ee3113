"""Nobody but the one door puts a page on the disk, held by reading every module."""

import ast
from pathlib import Path

import coachlib

PACKAGE = Path(coachlib.__file__).parent
DOOR = "jobs/publishing.py"
#: Who writes files at all, and what: decisions and profiles, diaries, recordings, the coach's own tables, the derived
#: store, settings of the desk.
WRITERS = {
    "files/atomic.py", "files/leftovers.py", "files/roster/athlete_folder.py", "files/store/index.py",
    "files/store/drafts.py", "files/store/kept.py", "files/store/kept_entries.py", "files/store/store.py",
    "jobs/adding.py", "jobs/diary/taking.py", "jobs/export/writing.py", "jobs/forgetting.py", "jobs/last_check.py",
    "jobs/moving.py", "panels/letter/week_files.py", "panels/plan/plan_files.py", DOOR,
}  # fmt: skip
WRITING = {"write_text", "write_bytes", "write_together", "save_letter", "to_html", "dump"}


def modules():
    for path in sorted(PACKAGE.rglob("*.py")):
        name = path.relative_to(PACKAGE).as_posix()
        if not name.startswith("workbooks/"):
            yield name, ast.parse(path.read_text("utf-8"))


def imported(tree):
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom):
            yield from (f"{node.module}.{alias.name}" for alias in node.names)
        elif isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)


def calls(tree):
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            yield getattr(node.func, "attr", getattr(node.func, "id", "")), node


def test_only_the_door_makes_whole_pages_and_looks_at_them():
    whole = {
        "coachlib.report.page.page.render",
        "coachlib.report.page.gate.check_page",
        "coachlib.report.page.other_files.check_file",
    }
    found = [name for name, tree in modules() if whole & set(imported(tree))]
    assert found == [DOOR, "report/page/other_files.py"], "a mail may hold a page"


def test_whoever_writes_files_is_known():
    found = {name for name, tree in modules() if WRITING & {call for call, _ in calls(tree)}}
    assert {name for name in found if not name.startswith("panels/desk/")} <= WRITERS


def test_nobody_else_writes_what_ends_like_a_page():
    wrong = []
    for name, tree in modules():
        for call, node in calls(tree):
            texts = [
                n.value for n in ast.walk(node) if isinstance(n, ast.Constant) and isinstance(n.value, str)
            ]
            if call in WRITING and name != DOOR and any(t.endswith((".html", ".htm")) for t in texts):
                wrong.append(f"{name}:{node.lineno}")
    assert wrong == []


def test_no_notebook_is_made_up_to_be_a_page():
    assert [name for name, tree in modules() if any(i.startswith("nbconvert") for i in imported(tree))] == []
    made_up = {"new_notebook", "new_code_cell", "new_output"}
    assert [
        name for name, tree in modules() if made_up & {i.rpartition(".")[2] for i in imported(tree)}
    ] == []
