"""``coachlib help``: what the commands' own help has no room for, a text file a topic."""

import argparse
from importlib.resources import files

from coachlib.commands.command import WELL, Command

#: Topic -> what it is about; its text lies in ``topics``.
TOPICS = {
    "files": "where everything lies, and what athlete.toml, roster.toml and diary.csv may hold",
    "letters": "when a letter is made, made again, or left as it was sent",
    "tests": "how thresholds are found, and what the program is sure of",
    "refusals": "what a refusal means, and what to do about it",
    "desk": "what `coachlib open` starts, on which address, and in a container",
    "privacy": "what leaves the machine (nothing), and what may be sent to an athlete",
    "cluster": "letters for hundreds of athletes, made by a cluster of the club's own",
    "statuses": "exit statuses, for scripts",
}


def _arguments(command: argparse.ArgumentParser) -> None:
    command.add_argument("topic", nargs="?", choices=tuple(TOPICS), metavar="TOPIC", help=", ".join(TOPICS))


def _run(typed: argparse.Namespace) -> int:
    from coachlib.jobs.terminal import table, tell, width_of

    width = width_of() or 100
    if typed.topic is None:
        lines = [
            *table(["topic", "what it tells"], [list(row) for row in TOPICS.items()], width=width),
            "",
            "coachlib help TOPIC tells it; coachlib COMMAND --help tells about a command.",
        ]
    else:
        lines = set_text(text_of(typed.topic), width)
    tell("\n".join(lines))
    return WELL


def text_of(topic: str) -> str:
    """A topic's text as it is written: paragraphs with a blank line between; what is indented stands as it is."""
    return (files("coachlib.commands") / "topics" / f"{topic}.txt").read_text(encoding="utf-8")


def set_text(text: str, width: int | None) -> list[str]:
    r"""A text in lines of a width; indented lines are not filled, but broken where they are too long.

    Examples
    --------
    >>> set_text("One two\nthree.\n\n  key   what\n", 9)
    ['One two', 'three.', '', '  key', '    what']
    """
    from coachlib.jobs.terminal import wrapped

    lines: list[str] = []
    for paragraph in text.strip("\n").split("\n\n"):
        if lines:
            lines.append("")
        rows = paragraph.split("\n")
        if all(row.startswith(" ") for row in rows):
            for row in rows:
                depth = len(row) - len(row.lstrip())
                if width is None or len(row) <= width:
                    lines.append(row)
                else:
                    lines += wrapped(" ".join(row.split()), width, first=" " * depth, more=" " * (depth + 2))
        else:
            lines += wrapped(" ".join(row.strip() for row in rows), width)
    return lines


COMMAND = Command(
    name="help",
    purpose="tell more about a topic",
    reads="nothing",
    writes="nothing",
    example="coachlib help files",
    arguments=_arguments,
    run=_run,
)
