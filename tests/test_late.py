"""What is loaded, and when: a budget on modules, since seconds differ from machine to machine."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

DEMO = Path(__file__).parents[1] / "athletes_demo"
DRAWING = {"altair", "vl_convert"}
NOTEBOOKS = {"nbformat", "nbconvert", "papermill", "jsonschema"}
MATHS = {"scipy.special", "scipy.ndimage", "scipy.optimize", "scipy.stats"}
GRAMMAR = {"rfc3987_syntax.syntax_helpers", "lark"}
FORTRAN = {"numpy.f2py.crackfortran"}


def loaded_by(code: str) -> set[str]:
    """Modules that a fresh Python has loaded after some code."""
    told = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport json, sys; print(json.dumps(sorted(sys.modules)))"],
        capture_output=True,
        text=True,
        check=True,
    )
    return set(json.loads(told.stdout.splitlines()[-1]))


def test_help_needs_the_standard_library_only():
    modules = loaded_by(
        "from coachlib.__main__ import main\nimport contextlib, io\n"
        "with contextlib.redirect_stdout(io.StringIO()): main(['--help'])"
    )
    outside = {name.partition(".")[0] for name in modules} - set(sys.stdlib_module_names) - {"__main__"}
    # packages installed for editing put a finder of their own into every Python
    assert {name for name in outside if not name.startswith(("_", "sitecustomize", "distutils"))} == {
        "coachlib"
    }


@pytest.mark.parametrize(
    ("module", "kept_out", "most"),
    [
        ("coachlib.jobs.checking", DRAWING | NOTEBOOKS | MATHS | GRAMMAR | FORTRAN, 1000),
        ("coachlib.jobs.history", DRAWING | NOTEBOOKS | MATHS | GRAMMAR | FORTRAN, 1050),
        ("coachlib.panels.recording.panel", DRAWING | NOTEBOOKS | MATHS | GRAMMAR | FORTRAN, 1250),
        ("coachlib.panels.first_threshold.panel", MATHS | GRAMMAR | FORTRAN, 2200),
        ("altair, nbformat, papermill, nbconvert", GRAMMAR, 2200),
    ],
)
def test_a_room_loads_only_what_it_needs(module, kept_out, most):
    modules = loaded_by(f"import coachlib, {module}")
    assert modules & kept_out == set()
    assert len(modules) <= most


def test_the_trace_editor_is_drawn_without_charts_or_notebooks(tmp_path):
    modules = loaded_by(
        "from coachlib.panels.recording.panel import recording_panel\n"
        f"import shutil; shutil.copytree({str(DEMO)!r}, {str(tmp_path / 'roster')!r})\n"
        f"assert recording_panel({str(tmp_path / 'roster')!r}, 'ilva').editor.view['sentence']"
    )
    unused = {"scipy.optimize", "scipy.stats"}
    assert modules & (DRAWING | NOTEBOOKS | GRAMMAR | FORTRAN | unused) == set()


def test_what_is_kept_out_still_works_when_it_is_called():
    loaded = loaded_by(
        "import coachlib\n"
        "from jsonschema import FormatChecker\n"
        "checker = FormatChecker()\n"
        "assert checker.conforms('https://exa\\u00e4mple.org/', 'iri')\n"
        "assert not checker.conforms('not an address', 'iri')\n"
        "import rfc3987_syntax\n"
        "assert rfc3987_syntax.__file__\n"
    )
    assert loaded >= GRAMMAR


def test_a_package_that_is_not_there_stays_missing():
    loaded_by(
        "import coachlib, sys\n"
        "sys.path = [p for p in sys.path if 'site-packages' not in p]\n"
        "try:\n    import rfc3987_syntax\n"
        "except ModuleNotFoundError: pass\n"
        "else: raise AssertionError('found what is not installed')"
    )


def test_a_part_of_a_package_that_is_kept_out_can_be_loaded_by_itself():
    loaded_by(
        "import coachlib\n"
        "import rfc3987_syntax\n"
        "from rfc3987_syntax.syntax_helpers import is_valid_syntax\n"
        "assert is_valid_syntax('iri', 'https://example.org/')"
    )


def test_a_check_of_an_unchanged_roster_loads_no_mathematics(tmp_path):
    modules = loaded_by("import coachlib.jobs.last_check, coachlib.files.roster.places")
    assert {name for name in modules if name.startswith(("numpy", "scipy", "pandas", "pydantic"))} == set()
    assert len(modules) <= 350
