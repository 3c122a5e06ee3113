"""What is told beside the commands: topics, completion, exit statuses."""

import re
from types import SimpleNamespace

import pytest

from coachlib.__main__ import main
from coachlib.commands import completion, help
from coachlib.commands.command import MISTYPED, STOPPED, UNWELL, WELL
from coachlib.commands.registry import COMMANDS
from coachlib.records.athlete import Athlete
from coachlib.records.base import typed_as
from coachlib.records.roster import RosterSettings


@pytest.mark.parametrize("topic", help.TOPICS)
def test_every_topic_has_a_text(capsys, topic):
    assert main(["help", topic]) == WELL
    assert len(capsys.readouterr().out) > 300


def test_without_a_topic_they_are_listed(capsys):
    assert main(["help"]) == WELL
    said = capsys.readouterr().out
    assert all(f"{topic} " in said for topic in help.TOPICS)


def test_an_unknown_topic_is_told_with_those_there_are(capsys):
    assert main(["help", "zones"]) == MISTYPED
    assert "files" in capsys.readouterr().err


@pytest.mark.parametrize("width", [34, 80, 200])
@pytest.mark.parametrize("topic", help.TOPICS)
def test_a_topic_fits_any_terminal_and_loses_no_word(topic, width):
    text = help.text_of(topic)
    lines = help.set_text(text, width)
    assert " ".join(lines).split() == text.split()
    longest = max(len(word) for word in text.split())
    assert max(map(len, lines)) <= max(width, longest + 8)


def test_the_statuses_told_are_those_returned():
    told = re.findall(r"^  (\d+) ", help.text_of("statuses"), flags=re.M)
    assert [int(n) for n in told] == [WELL, UNWELL, MISTYPED, STOPPED]


def test_the_tables_told_are_tables_of_the_files():
    """A key that nobody reads any more would be advice to write nonsense."""
    text = help.text_of("files")
    athlete = {typed_as(name)[0] for name in Athlete.model_fields}
    for table in re.findall(r"^  \[+([a-z_]+)\]+ ", text, flags=re.M):
        assert table in athlete
    for key in ("call_sheet", "climate", "day_first"):
        assert key in RosterSettings.model_fields


@pytest.mark.parametrize("shell", completion.PLACES)
def test_every_shell_gets_its_script_with_every_command(capsys, shell):
    assert main(["completion", shell]) == WELL
    script = capsys.readouterr().out
    assert all(name in script for name in COMMANDS)


@pytest.mark.parametrize("command", COMMANDS)
def test_what_is_typed_in_a_help_or_topic_exists(command):
    """No page names a command or an option that there is not."""
    said = " ".join([COMMANDS[command].example, COMMANDS[command].more, *map(help.text_of, help.TOPICS)])
    for name in re.findall(r"coachlib ([a-z]+) ", said):
        assert name in COMMANDS


@pytest.mark.parametrize(
    ("platform", "variables", "screen"),
    [
        ("linux", {}, False),
        ("linux", {"DISPLAY": ":0"}, True),
        ("linux", {"WAYLAND_DISPLAY": "wayland-0"}, True),
        ("linux", {"BROWSER": "wslview"}, True),
        ("darwin", {}, True),
        ("win32", {}, True),
    ],
)
def test_a_browser_is_opened_only_where_a_window_can_be(monkeypatch, platform, variables, screen):
    from coachlib.panels.desk import extension

    monkeypatch.setattr(extension, "sys", SimpleNamespace(platform=platform))
    monkeypatch.setattr(extension, "os", SimpleNamespace(environ=variables))
    assert extension.has_screen() is screen


@pytest.mark.parametrize(("opens", "screen"), [(True, True), (False, True), (True, False)])
def test_the_desks_address_is_told_in_any_case(monkeypatch, capsys, opens, screen):
    """A browser may refuse, as most do for root in a container, without saying so."""
    from coachlib.panels.desk import extension

    monkeypatch.setattr(extension, "has_screen", lambda: screen)
    monkeypatch.setattr(extension, "webbrowser", SimpleNamespace(open=lambda address: opens))
    extension._open("http://127.0.0.1:8888/desk/in?key=k", browser=True)
    said = capsys.readouterr().out
    assert "http://127.0.0.1:8888/desk/in?key=k" in said
    assert ("coachlib help desk" in said) == (not (opens and screen))
