"""Every command of the README is run, or at least taken apart, as it stands there."""

import re
import shlex
import shutil
from datetime import date
from pathlib import Path
from types import SimpleNamespace

import pytest
from fitbytes import START
from rosters import DAY_S, fit_data, wandering

from coachlib.__main__ import main
from coachlib.commands.parser import parser
from coachlib.commands.registry import COMMANDS

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
#: Every `.venv/bin/coachlib ...`, in blocks and in sentences.
TYPED = sorted({found.strip() for found in re.findall(r"\.venv/bin/coachlib ([^`\n&]+)", README)})
#: Made for real here; letters of the whole demo and the desk have tests of their own.
SLOW = ("week athletes_demo", "open ")
TODAY = date(2026, 11, 23)


@pytest.fixture
def desk(tmp_path, monkeypatch):
    """Somebody's folder, with the demo beside it and recordings in Downloads."""
    shutil.copytree(
        ROOT / "athletes_demo",
        tmp_path / "athletes_demo",
        ignore=shutil.ignore_patterns("reports", ".coachlib"),
    )
    downloads = tmp_path / "Downloads"
    downloads.mkdir()
    for n in range(2):
        (downloads / f"{n}.fit").write_bytes(fit_data(wandering(300, seed=n), start=START + DAY_S * n))
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setattr("sys.stdin", SimpleNamespace(isatty=lambda: False))
    return tmp_path


def words_of(typed):
    return [str(Path(word).expanduser()) if word.startswith("~") else word for word in shlex.split(typed)]


def test_the_readme_has_its_commands():
    assert len(TYPED) >= 12
    assert {words_of(typed)[0] for typed in TYPED} >= {"new", "add", "check", "week", "open", "help"}


@pytest.mark.parametrize("typed", TYPED)
def test_every_command_can_be_typed(typed):
    words = words_of(typed)
    if "--help" in words:
        assert words[0] in COMMANDS
    else:
        assert parser().parse_args(words).command == words[0]


def test_the_roster_of_five_steps_is_made_as_it_is_told(desk, capsys):
    """In the README's order; only ``new`` is told a name, since nobody sits at the keyboard."""
    steps = [typed for typed in TYPED if "my_roster" in typed and not typed.startswith(SLOW)]
    order = {name: place for place, name in enumerate(("new", "add", "check", "week"))}
    for typed in sorted(steps, key=lambda t: (order[t.split()[0]], "--athlete" in t, "--from" in t)):
        words = words_of(typed)
        status = main(
            [*words, "--athlete", "Anna Example"] if typed == "new my_roster" else words, today=TODAY
        )
        said = capsys.readouterr()
        # two athletes whose devices nobody knows yet: each recording is left, saying how to name whose it is
        unsure = typed.startswith("add")
        assert status == int(unsure), said.err
        if unsure:
            assert "say whose it is: coachlib add" in said.err
        if typed == "check my_roster":
            assert main(["add", "my_roster", "anna-example", *words_of("~/Downloads")], today=TODAY) == 0
            assert "Next: coachlib week " in capsys.readouterr().out
    assert (desk / "my_roster" / "anna-example" / "reports" / "2026-W40.html").is_file()
    assert not list((desk / "my_roster" / "berta-example" / "recordings").iterdir())


@pytest.mark.parametrize("typed", [t for t in TYPED if "my_roster" not in t and not t.startswith(SLOW)])
def test_the_tour_of_the_demo_works(desk, capsys, typed):
    assert main(words_of(typed), today=TODAY) == 0
    assert capsys.readouterr().out


def test_installing_names_what_there_is():
    blocks = re.findall(r"```bash\n(.*?)```", README, flags=re.S)
    assert sum("install" in block for block in blocks) == 3
    project = (ROOT / "pyproject.toml").read_text()
    assert "\ntest = [" in project
    assert 'coachlib = "coachlib.__main__:main"' in project
    assert 'requires-python = ">=3.11' in project
    assert "Python 3.11 or newer" in README


def test_it_is_short_enough_to_be_read_and_its_pictures_are_there():
    assert len(README.splitlines()) <= 145
    for picture in re.findall(r"\]\((\.pictures/[^)]+)\)", README):
        assert (ROOT / picture).is_file()
