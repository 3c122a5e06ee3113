"""The workbooks stay thin: a coach reads them, a test holds them to it."""

import ast
import re
from pathlib import Path

import nbformat
import pytest

WORKBOOKS = sorted((Path(__file__).parents[1] / "workbooks").glob("*.ipynb"))
MOST_CODE_CELLS, MOST_LINES = 15, 10
#: What belongs into the package, not into a page a coach opens.
TOO_MUCH = (
    ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef, ast.Lambda, ast.For, ast.AsyncFor, ast.While, ast.Try,
    ast.ListComp, ast.SetComp, ast.DictComp, ast.GeneratorExp,
)  # fmt: skip

pytestmark = pytest.mark.parametrize("path", WORKBOOKS, ids=lambda path: path.stem)


def read(path):
    return nbformat.read(path, as_version=4)


def code_cells(path):
    return [cell for cell in read(path).cells if cell.cell_type == "code"]


def trees(path):
    return [ast.parse(cell.source) for cell in code_cells(path)]


def test_it_opens_with_a_heading_and_two_sentences(path):
    first = read(path).cells[0]
    assert first.cell_type == "markdown"
    heading, _, words = first.source.partition("\n")
    assert re.fullmatch("# .+", heading)
    said = words.strip().split("\n\n")[0]
    assert len(re.findall(r"[.!?](?=\s|$)", said)) == 2, f"two sentences were expected: {said}"


def test_the_first_code_cell_holds_parameters_and_nothing_else(path):
    tagged = [cell.metadata.get("tags", []) for cell in code_cells(path)]
    assert "parameters" in tagged[0]
    assert sum("parameters" in tags for tags in tagged) == 1
    statements = trees(path)[0].body
    assert all(isinstance(s, ast.Assign) and isinstance(s.value, ast.Constant) for s in statements)


def test_it_has_few_and_short_cells_folded_away(path):
    cells = code_cells(path)
    assert len(cells) <= MOST_CODE_CELLS
    assert max(len(cell.source.splitlines()) for cell in cells) <= MOST_LINES
    assert all(cell.metadata.get("jupyter", {}).get("source_hidden") for cell in cells)


def test_it_computes_nothing_itself(path):
    for tree in trees(path):
        found = [type(node).__name__ for node in ast.walk(tree) if isinstance(node, TOO_MUCH)]
        assert found == []


def test_it_imports_only_this_package_and_pathlib(path):
    for number, tree in enumerate(trees(path)):
        for node in ast.walk(tree):
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            else:
                continue
            assert number == 1, "imports stand together, after the parameters"
            assert {name.split(".")[0] for name in names} <= {"coachlib", "pathlib"}


def test_it_is_kept_without_outputs(path):
    for cell in code_cells(path):
        assert cell.outputs == []
        assert cell.execution_count is None
    assert "widgets" not in read(path).metadata
