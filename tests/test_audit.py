"""The audit holds every locked package against advisories, and says so where it held against none."""

import importlib.util
import json
import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SCRIPT, LOCK = ROOT / ".ci/audit.py", ROOT / ".ci/lock.txt"

if not SCRIPT.is_file():
    pytest.skip("the audit is part of the repository alone", allow_module_level=True)

spec = importlib.util.spec_from_file_location("audit", SCRIPT)
audit = importlib.util.module_from_spec(spec)
spec.loader.exec_module(audit)


def advisory(name, events, **more):
    ranges = [{"type": "ECOSYSTEM", "events": events}]
    return {
        "id": "X-1",
        "affected": [{"package": {"ecosystem": "PyPI", "name": name}, "ranges": ranges}],
        **more,
    }


def held(tmp_path, *advisories, lock="jinja2==3.1.6\nnumpy==2.4.6 ; python_version < '3.12'\n"):
    for n, each in enumerate(advisories):
        (tmp_path / f"{n}.json").write_text(json.dumps(each))
    (tmp_path / "lock.txt").write_text(lock)
    return audit.audit(tmp_path, tmp_path / "lock.txt")[0]


@pytest.mark.parametrize(
    ("events", "is_affected"),
    [
        ([{"introduced": "0"}], True),
        ([{"introduced": "0"}, {"fixed": "3.1.6"}], False),
        ([{"introduced": "0"}, {"fixed": "3.1.7"}], True),
        ([{"introduced": "3.1.7"}], False),
        ([{"introduced": "0"}, {"fixed": "2.0"}, {"introduced": "3.0"}, {"fixed": "4.0"}], True),
        ([{"introduced": "3.0"}, {"last_affected": "3.1.6"}], True),
        ([{"introduced": "3.0"}, {"last_affected": "3.1.5"}], False),
        ([{"introduced": "0"}, {"fixed": "what?"}], True),
    ],
)
def test_a_version_inside_what_is_affected_is_told(tmp_path, events, is_affected):
    assert held(tmp_path, advisory("Jinja2", events)) == (["jinja2 3.1.6: X-1"] if is_affected else [])


def test_others_and_withdrawn_ones_are_not(tmp_path):
    everything = [{"introduced": "0"}]
    other = advisory("jinja2", everything)
    other["affected"][0]["package"]["ecosystem"] = "npm"
    gone = advisory("numpy", everything, withdrawn="2026-01-01T00:00:00Z")
    assert held(tmp_path, other, gone, advisory("numpy-x", everything)) == []
    assert held(tmp_path, advisory("numpy", [], affected=[
        {"package": {"ecosystem": "PyPI", "name": "numpy"}, "versions": ["2.4.6"]}])) == ["numpy 2.4.6: X-1"]  # fmt: skip


def test_it_runs_from_a_zip_without_a_network_and_nothing_is_no_pass(tmp_path):
    def run(where):
        done = subprocess.run(
            [sys.executable, str(SCRIPT), str(where)], check=False, capture_output=True, text=True
        )
        return done.returncode, done.stdout

    with zipfile.ZipFile(tmp_path / "all.zip", "w") as packed:
        packed.writestr("a.json", json.dumps(advisory("jinja2", [{"introduced": "0"}, {"fixed": "1.0"}])))
    status, said = run(tmp_path / "all.zip")
    assert status == 0
    assert "held against 1 advisories: 0 affected" in said
    (tmp_path / "empty").mkdir()
    assert run(tmp_path / "empty")[0] == 1


def test_every_dependency_is_locked_has_a_reason_and_a_licence():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    locked = {audit.called(name) for name, _ in audit.LOCKED.findall(LOCK.read_text("utf-8"))}
    told = (ROOT / "DEVELOPERS.md").read_text("utf-8").partition("## Dependencies")[2]
    table = {
        audit.called(name) for name in re.findall(r"^\| ([\w-]+) \|(?: [^|]+\|){2,}$", told, re.MULTILINE)
    }
    named = {
        audit.called(re.match(r"[\w-]+", each)[0])
        for each in (*project["dependencies"], *project["optional-dependencies"]["test"])
    }
    assert named - locked == set(), "make the lock anew, see .ci/audit.py"
    assert named | {"mypy", "pandas-stubs", "ruff"} <= table
