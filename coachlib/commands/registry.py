"""Every command there is, in the order in which help tells them.  A new one is a module here and one word below."""

from coachlib.commands import add, check, completion, forget, help, move, new, open, week

COMMANDS = {
    module.COMMAND.name: module.COMMAND
    for module in (new, add, week, check, open, move, forget, help, completion)
}  # fmt: skip
