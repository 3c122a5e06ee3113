"""The direction of imports, and what the pure parts must not do, held by reading every module."""

import ast
from pathlib import Path

import pytest

import coachlib

PACKAGE = Path(coachlib.__file__).parent
MODULES = sorted(p for p in PACKAGE.rglob("*.py") if "workbooks" not in p.parts)

#: Part of the package -> the parts it may import.
MAY_IMPORT = {
    "errors": set(),
    "late": set(),
    "quantities": set(),
    "measures": {"errors", "quantities"},
    "records": {"errors", "quantities", "measures"},
    "analysis": {"errors", "quantities", "measures", "records"},
    "files": {"errors", "quantities", "measures", "records", "analysis"},
    "report": {"errors", "quantities", "measures", "records", "analysis"},
    "jobs": {"errors", "quantities", "measures", "records", "analysis", "files", "report"},
}
#: What stands on top may import everything.
ON_TOP = {"panels", "commands", "__main__", "__init__"}

PURE = ("measures", "records", "analysis")
#: Calls that open a file, read the clock, print, warn or draw, by their last name.
IMPURE_CALLS = {
    "open", "read_text", "read_bytes", "write_text", "write_bytes", "read_csv", "read_parquet", "to_csv",
    "now", "utcnow", "today", "time_ns", "perf_counter", "monotonic", "sleep",
    "print", "input", "warn", "getenv", "unlink", "mkdir", "iterdir", "glob", "rglob",
}  # fmt: skip
IMPURE_MODULES = {
    "os", "io", "sys", "time", "logging", "warnings", "subprocess", "socket", "shutil", "tempfile", "random",
    "altair", "matplotlib", "ipywidgets", "anywidget", "rich", "pathlib",
}  # fmt: skip
MEASURES_MAY_IMPORT = {"numpy", "scipy", "coachlib"}


def part_of(path):
    return path.relative_to(PACKAGE).with_suffix("").parts[0]


def imported(path):
    """Every module a file imports, wherever in the file, with the line."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((alias.name, node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, (
                f"{path}:{node.lineno} imports relatively; this package names modules in full"
            )
            yield from ((f"{node.module}.{alias.name}", node.lineno) for alias in node.names)


def named(paths):
    return [pytest.param(p, id=str(p.relative_to(PACKAGE))) for p in paths]


def pure_modules():
    return named(p for p in MODULES if part_of(p) in PURE)


@pytest.mark.parametrize("path", named(MODULES))
def test_imports_point_one_way(path):
    part = part_of(path)
    if part in ON_TOP:
        return
    allowed = MAY_IMPORT[part] | {part, "__version__"}
    wrong = [
        f"line {line}: {name}"
        for name, line in imported(path)
        if name.startswith("coachlib.") and name.split(".")[1] not in allowed
    ]
    assert not wrong


def test_nothing_but_the_known_parts_is_in_the_package():
    assert {part_of(p) for p in MODULES} <= set(MAY_IMPORT) | ON_TOP


@pytest.mark.parametrize("path", named(p for p in MODULES if part_of(p) == "measures"))
def test_measures_know_numbers_only(path):
    import sys

    outside = {name.split(".")[0] for name, _ in imported(path)} - set(sys.stdlib_module_names)
    assert outside <= MEASURES_MAY_IMPORT


@pytest.mark.parametrize("path", pure_modules())
def test_the_pure_parts_touch_nothing_of_the_world(path):
    wrong = [f"line {line}: {name}" for name, line in imported(path) if name.split(".")[0] in IMPURE_MODULES]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call):
            name = getattr(node.func, "attr", getattr(node.func, "id", ""))
            if name in IMPURE_CALLS:
                wrong.append(f"line {node.lineno}: {name}()")
    assert not wrong


def group_of(module):
    """The folder of a layer that a module lies in; the layer itself for its loose modules."""
    part, *below = module.removeprefix("coachlib.").split(".")
    return f"{part}/{below[0]}" if below and (PACKAGE / part / below[0]).is_dir() else part


def groups_imported():
    """Every folder of a layer, and the other folders of that layer it imports."""
    found = {}
    for path in MODULES:
        here = group_of(".".join(("coachlib", *path.relative_to(PACKAGE).with_suffix("").parts)))
        there = {group_of(name) for name, _ in imported(path) if name.startswith("coachlib.")}
        of_layer = {g for g in there if g.split("/")[0] == here.split("/")[0] and "/" in g}
        found.setdefault(here, set()).update(of_layer - {here})
    return {group: others for group, others in found.items() if "/" in group}


def test_the_folders_of_a_layer_import_one_another_one_way():
    left = groups_imported()
    while free := [group for group, others in left.items() if not others & left.keys()]:
        left = {group: others for group, others in left.items() if group not in free}
    assert left == {}, "they import each other in a circle"


def test_the_test_itself_sees_what_it_is_for(tmp_path):
    path = tmp_path / "wrong.py"
    path.write_text("from coachlib.files import store\nimport os.path\n")
    assert [name for name, _ in imported(path)] == ["coachlib.files.store", "os.path"]
