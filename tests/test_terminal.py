"""Words and tables in any terminal: nothing disappears, nothing raises."""

import io
import os
import pty
import re
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest
from rosters import make_roster

from coachlib.jobs.terminal import in_command, progress, table, tell, visible

HEADS = ["athlete", "sessions", "report", "anything wrong"]
ROWS = [
    ["Anna-Lena van der Hohenfels-Müller", "12", "anna-lena-van-der-hohenfels-muller/reports/2026-W47.html",
     "talk to: illness or pain and two more; 2026-11-21_treadmill: test not decided yet; no note from you yet"],
    ["李娜", "", "none", "athlete.toml of li: key `zones` is \"three\"; allowed: \"two thresholds\" or others"],
    ["(call sheet)", "", "reports/2026-W47.html", "nothing"],
]  # fmt: skip


def squeezed(text):
    return re.sub(r"\s+", "", text)


@pytest.mark.parametrize("width", [10, 20, 34, 80, 120, 200, None])
def test_nothing_of_a_table_disappears(width):
    lines = table(HEADS, ROWS, width=width)
    said = squeezed("".join(lines))
    for row in ROWS:
        for cell in row:
            if width in (200, None):
                assert squeezed(cell) in said
            for word in cell.split():
                assert word in "".join(lines)


@pytest.mark.parametrize("width", [34, 80, 200])
def test_no_line_is_wider_than_the_terminal_but_for_a_name_that_stays_whole(width):
    for line in table(HEADS, ROWS, width=width):
        if len(line) > width:
            assert (
                len(line.split()) <= 2
            )  # one long path, which can be copied, perhaps behind its column's name


def test_columns_stand_below_one_another_also_with_wide_letters():
    lines = table(["who", "n", "what"], [["李娜", "3", "x"], ["Anna", "12", "y"]], width=None)
    assert lines == ["who   n   what", "李娜  3   x", "Anna  12  y"]


def test_names_cannot_steer_the_terminal(capsys):
    tell("Anna\x1b[2J\x07 Ex\u202eample")
    assert capsys.readouterr().out == "Anna\\x1b[2J\\x07 Ex\\u202eample\n"
    assert visible("a\ud800b") == "a\\ud800b"


def test_progress_needs_no_terminal(capsys):
    with progress("Reading", 3) as step:
        for name in "abc":
            step(name)
    assert capsys.readouterr() == ("", "")


def ran(*typed, **environment):
    env = {k: v for k, v in os.environ.items() if k not in ("LANG", "LC_ALL", "COLUMNS", "NO_COLOR")}
    return subprocess.run(
        [sys.executable, "-m", "coachlib", *map(str, typed)],
        capture_output=True,
        env={**env, **environment},
        check=False,
    )


@pytest.mark.parametrize(
    "environment",
    [
        {"LANG": "C", "LC_ALL": "C"},
        {"LANG": "C", "LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
        {"PYTHONIOENCODING": "ascii"},
        {"PYTHONIOENCODING": "cp1252"},
        {"NO_COLOR": "1", "TERM": "dumb"},
    ],
)
def test_any_language_setting_is_written_to(tmp_path, environment):
    roster = make_roster(tmp_path / "roster", "mira")
    (roster / "mira" / "athlete.toml").write_text(
        'name = "Zoë Łuk → 李"\nsports = "Zoë Łuk → 李"\n', encoding="utf-8"
    )
    done = ran("check", roster, **environment)
    assert done.returncode == 1
    assert done.stderr == b""
    said = done.stdout.decode(
        "ascii" if environment.get("PYTHONIOENCODING") == "ascii" else "utf-8", "replace"
    )
    assert "key `sports` is" in said
    if environment.get("PYTHONIOENCODING") == "ascii":
        assert "Zoe Luk -> \\u674e" in said


def on_a_terminal(typed, columns):
    """What a command writes where a terminal of some columns is."""
    main, side = pty.openpty()
    import fcntl
    import struct
    import termios

    fcntl.ioctl(side, termios.TIOCSWINSZ, struct.pack("HHHH", 40, columns, 0, 0))
    env = {k: v for k, v in os.environ.items() if k not in ("COLUMNS", "LINES")}
    with subprocess.Popen(
        [sys.executable, "-m", "coachlib", *map(str, typed)],
        stdin=side, stdout=side, stderr=side, env={**env, "TERM": "xterm"}, start_new_session=True,
    ) as process:  # fmt: skip
        os.close(side)
        said = b""
        while True:
            try:
                piece = os.read(main, 4096)
            except OSError:
                break
            if not piece:
                break
            said += piece
        os.close(main)
        return process.wait(), said.decode()


@pytest.mark.parametrize("columns", [34, 80])
def test_a_command_moves_and_ends_well_on_a_terminal(tmp_path, columns):
    roster = make_roster(tmp_path / "roster", "mira")
    status, said = on_a_terminal(["check", roster], columns)
    assert status == 0
    assert "there is no diary, so effort, talk test and remarks are missing" in said
    assert "\x1b[?25l" in said  # something moved
    assert said.rstrip().endswith("1 athlete checked: 0 problems, 3 advice.") or "1 athlete checked" in said


def test_a_stream_without_an_encoding_is_written_to_as_well(monkeypatch, tmp_path):
    from coachlib.__main__ import main

    monkeypatch.setattr("sys.stdout", io.StringIO())
    assert main(["check", str(make_roster(tmp_path / "roster", "mira"))]) == 0
    assert Path(tmp_path / "roster").is_dir()


@pytest.mark.parametrize(
    ("system", "path", "typed"),
    [
        ("posix", "/home/a/my roster", "'/home/a/my roster'"),
        ("nt", r"C:\Users\Anna Lena\my roster", r'"C:\Users\Anna Lena\my roster"'),
        ("nt", r"C:\rosters\one", r"C:\rosters\one"),
    ],
)
def test_a_path_is_told_as_it_is_typed_on_that_system(monkeypatch, system, path, typed):
    monkeypatch.setattr("coachlib.jobs.terminal.os", SimpleNamespace(name=system, fspath=str))
    assert in_command(path) == typed
