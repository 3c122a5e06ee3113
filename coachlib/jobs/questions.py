"""What a person is asked: one at a time, with what it is used for; Enter leaves an answer empty.

An answer is checked where it is given, by the records that the files are read with.
"""

import difflib
import os
import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any
from zoneinfo import available_timezones

from coachlib.errors import BadArgument
from coachlib.files.roster.forms import fill, in_words
from coachlib.files.roster.templates import Blank
from coachlib.jobs.terminal import tell
from coachlib.records.base import Record
from coachlib.report.words.sports import sport_from_words, sport_in_words

#: Asked for a line; answers with what was typed.
Keyboard = Callable[[str], str]
#: Leaves an answer empty where Enter alone would take what is proposed.
EMPTY = "-"
_YES_AND_NO = {"yes": True, "y": True, "true": True, "no": False, "n": False, "false": False}


def keyboard() -> Keyboard | None:
    """The keyboard, where somebody sits at one."""
    return input if sys.stdin is not None and sys.stdin.isatty() else None


def chosen(answer: str, choices: Sequence[str]) -> str | None:
    """Which of some numbered choices an answer means, by its number or by its words.

    Examples
    --------
    >>> chosen("2", ["anna", "tom"]), chosen(" Anna ", ["anna", "tom"]), chosen("3", ["anna", "tom"])
    ('tom', 'anna', None)
    """
    plain = " ".join(answer.casefold().split())
    if plain.isdecimal() and 1 <= int(plain) <= len(choices):
        return choices[int(plain) - 1]
    return next((choice for choice in choices if choice.casefold() == plain), None)


def numbered(choices: Sequence[str]) -> str:
    """Choices in a line, each with its number.

    Examples
    --------
    >>> numbered(["anna", "tom"])
    '1 anna, 2 tom'
    """
    return ", ".join(f"{number} {choice}" for number, choice in enumerate(choices, 1))


def value_of(blank: Blank, answer: str) -> Any:
    """What an answer means for the file.

    Raises
    ------
    BadArgument
        When it is none of what is allowed.
    """
    if blank.key == "time_zone":
        return zone_of(answer)
    words = [sport_in_words(choice) for choice in blank.choices]
    if blank.several:
        parts = [part.strip() for part in answer.split(",") if part.strip()]
        return [sport_from_words(chosen(part, words) or part) for part in parts]
    if blank.choices:
        if set(blank.choices) == {"yes", "no"}:
            short = _YES_AND_NO.get(answer.casefold())
            if short is not None:
                return short
        found = chosen(answer, blank.choices)
        if found is None:
            raise BadArgument(
                f'{blank.title} is "{answer}"; allowed: {in_words(blank.choices, "or")}, or its number'
            )
        return _YES_AND_NO.get(found, found)
    if not blank.example.startswith('"') and not blank.is_note:
        try:
            number = float(answer.replace(",", "."))
        except ValueError:
            raise BadArgument(
                f'{blank.title} is "{answer}"; needed: a number such as {blank.example}'
            ) from None
        return int(number) if number.is_integer() else number
    return answer


def zone_of(answer: str) -> str:
    """A zone of the IANA tables, by its name or by its city.

    Raises
    ------
    BadArgument
        When there is none, or more than one.

    Examples
    --------
    >>> zone_of("vienna"), zone_of("europe/vienna"), zone_of("new york"), zone_of("UTC")
    ('Europe/Vienna', 'Europe/Vienna', 'America/New_York', 'UTC')
    """
    plain = answer.strip().casefold().replace(" ", "_")
    zones = sorted(available_timezones())
    found = [z for z in zones if z.casefold() == plain]
    found = found or [z for z in zones if z.casefold().rpartition("/")[2] == plain and "/" in z]
    if len(found) == 1:
        return found[0]
    near = found or [
        z for z in zones
        if difflib.SequenceMatcher(None, z.casefold().rpartition("/")[2], plain).ratio() > 0.75
    ]  # fmt: skip
    hint = (
        f"did you mean {in_words(near[:4], 'or')}?"
        if near
        else 'it is named by a city, such as "Europe/Vienna"'
    )
    raise BadArgument(f'"{answer}" is no time zone; {hint}')


def zone_of_computer() -> str | None:
    """The zone that this computer's clock goes by, where it says so."""
    link = Path("/etc/localtime")
    candidates = [os.environ.get("TZ", "").lstrip(":")]
    if link.is_symlink():
        candidates.append(os.path.realpath(link).rpartition("zoneinfo/")[2])
    return next((zone for zone in candidates if "/" in zone and zone in available_timezones()), None)


def filled_in(
    blanks: Sequence[Blank],
    typed: Mapping[str, str | None],
    *,
    model: type[Record],
    given: Mapping[str, Any],
    ask: Keyboard | None,
    proposed: Mapping[str, str] | None = None,
) -> dict[str, Any]:
    """Every answer: as it was typed with the command, else as it is given to a question, else none.

    Parameters
    ----------
    blanks : sequence of Blank
        What is asked.
    typed : mapping
        By key, what came with the command; None where nothing did.
    model : type of record
        What the answers are checked by.
    given : mapping
        What the record needs besides.
    ask : callable, optional
        Somebody to ask; None: nobody is asked.
    proposed : mapping, optional
        By key, what Enter alone takes.

    Raises
    ------
    BadArgument
        When what came with the command is not allowed.
    """
    values: dict[str, Any] = {}

    def take(blank: Blank, answer: str) -> None:
        value = value_of(blank, answer)
        if not blank.is_note and (wrong := _wrong(model, {**given, **values, blank.key: value}, values)):
            raise BadArgument("; ".join(wrong))
        values[blank.key] = value

    for blank in blanks:
        answer = typed.get(blank.key)
        if blank.only_with and blank.only_with not in values:
            if answer:
                raise BadArgument(f"{blank.title} was given, but not what it is about; give both")
        elif answer is not None:
            if answer.strip():
                take(blank, answer.strip())
        elif ask is not None:
            _asked(blank, take, ask, (proposed or {}).get(blank.key, ""))
    return {key: value for key, value in values.items() if value not in ([], "")}


def _asked(blank: Blank, take: Callable[[Blank, str], None], ask: Keyboard, proposed: str) -> None:
    """Ask until the answer fits; nothing is taken where it is left empty."""
    tell(f"\n{blank.title}: {blank.used_for}.")
    if blank.choices:
        more = "; several with commas, other words are taken too" if blank.may_be_other else ""
        tell(f"  {numbered([sport_in_words(choice) for choice in blank.choices])}{more}")
    if proposed:
        tell(f"  Enter takes {proposed}, {EMPTY} leaves it empty")
    while True:
        answer = _typed(ask) or proposed
        if answer in ("", EMPTY):
            return
        try:
            take(blank, answer)
        except BadArgument as problem:
            tell(f"  {problem}")
        else:
            return


def _typed(ask: Keyboard) -> str:
    """A line that was typed; the end of the keyboard ends the command as stopping it does."""
    try:
        return ask("> ").strip()
    except EOFError:
        raise KeyboardInterrupt from None


def _wrong(model: type[Record], values: Mapping[str, Any], before: Mapping[str, Any]) -> tuple[str, ...]:
    """What a new answer makes wrong; ``slug`` is what no file says."""
    needs = {"slug": "new"} if "slug" in model.model_fields else {}
    typed = {key: value for key, value in values.items() if key in model.model_fields}
    return fill(model, {"name": "someone", **typed}, given=needs, noun="answer").problems
