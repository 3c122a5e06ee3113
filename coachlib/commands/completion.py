"""``coachlib completion``: the script by which a shell completes commands and options."""

import argparse

from coachlib.commands.command import WELL, Command

#: Shell -> where its script is read from, and what else is needed.
PLACES = {
    "bash": "~/.local/share/bash-completion/completions/coachlib",
    "zsh": "~/.zfunc/_coachlib, with `fpath+=~/.zfunc` before `compinit` in ~/.zshrc",
    "fish": "~/.config/fish/completions/coachlib.fish",
    "powershell": "a file that your $PROFILE runs",
    "tcsh": "a file that ~/.tcshrc sources",
}


def _arguments(completion: argparse.ArgumentParser) -> None:
    completion.add_argument("shell", choices=tuple(PLACES), help="the shell you type in")


def _run(typed: argparse.Namespace) -> int:
    import shtab

    from coachlib.commands.parser import parser

    print(shtab.complete(parser(), shell=typed.shell))
    return WELL


COMMAND = Command(
    name="completion",
    purpose="print the script by which your shell completes commands and options",
    reads="nothing",
    writes="nothing; put what it prints where your shell looks for it",
    example="coachlib completion bash",
    more="\n".join(["It belongs into:", *(f"{shell}: {place}" for shell, place in PLACES.items())]),
    arguments=_arguments,
    run=_run,
)
