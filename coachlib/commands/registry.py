"""Every command there is, in the order in which help tells them.  A new one is a module here and one word below."""

from coachlib.commands import (
    add,
    check,
    completion,
    diary,
    export,
    forget,
    help,
    move,
    new,
    open,
    post,
    season,
    week,
)  # fmt: skip

COMMANDS = {
    module.COMMAND.name: module.COMMAND
    for module in (
        new, add, week, season, post, diary, check, export, open, move, forget, help, completion,
    )
}  # fmt: skip
