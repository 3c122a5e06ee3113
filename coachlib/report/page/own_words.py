"""The words that the program itself says, read from its own text, and words of which some are names too."""

import re
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable

MONTHS = frozenset(
    "january february march april may june july august september october november december".split()
)
DAYS = frozenset("monday tuesday wednesday thursday friday saturday sunday".split())
#: Words that are also names, beside those that the program says.  Own choice, from English; a name that is
#: missing here is only looked for more strictly.
_ALSO_NAMES = """
    abbey amber angel april arch art ash august autumn baker ball banks barber basil bass bay bear bell best berry bill
    bird bishop black blue bond boot bow bowl boy brand bridge bright brook brown buck burn bush butcher butler can cane
    carpenter carter case cash chance chase cherry chip church cliff close coal cole coin cook coral cotton court crane
    cross crow crystal daisy dale dawn day dean dear december dell dew dick dig dime dollar don dove drake drew driver
    duke early earl east easter eden english ever faith fall farmer fast field finch fire fish fisher flood flower foot
    ford forest fox frank french friend frost fry gale garden gene ginger glass glen glory gold golden good grace grant
    gray green grey grove guest gun guy hall hand hank hard hardy harmony harp hart haven hawk hay hazel head heart
    heath heather heel hero hill holly home honey hood hook hope horn house hunt hunter ice iris iron ivy jack jasmine
    jay jewel jet job john joy judge july june junior just keen key king kit knight lace lake lamb lance land lane lark
    lawn law lead lee light lilac lily lion little lock long lord love luck mark march mason may meadow melody mercy
    merry mike mile miles mill miller misty moon moor moore moss mud myrtle nest new nick noble north olive only page
    palm park parker pat patience peace peach pearl penny pepper petty piece pierce pike pine piper plum pole pond pool
    poppy post potter power price prime prince pure quick rain ray read reason red reed rest rice rich ridge ring river
    rivers rob robin rock rod rope rose round rowan ruby rush russet rust rusty saddle sage sail sally salt sand sandy
    savage scout sea self serene shade sharp shepherd shore short silver singer skip skipper sky small smart smith snow
    sol song spark speed spring star steel stella sterling stern still stone storm story street strong sue summer sun
    sunny swan sweet swift tailor tall tanner taylor temple terry thorn tiger tow town trail train travel tree trip true
    turner van vale victor victory vine viola violet walk walker wall ward warden water waters watch way weaver webb
    week weeks wells west white wild will win winter wise wolf woman wood woods word worth wren wright yard young max
    ben dan bob sam hans lea tim jan rolf bernd linden
"""
_DOCSTRING = re.compile(r'r?"""(?:[^"\\]|\\.|"(?!""))*"""', re.DOTALL)
_LITERAL = re.compile(r'"((?:[^"\\\n]|\\.)*)"')
_WORD = re.compile(r"[^\W\d_]+")
_CAPITAL_WITHIN = re.compile(r"(?<=[a-z,)] )[A-Z][^\W\d_]*")


@cache
def said() -> frozenset[str]:
    """Every word of the program's own texts, in lower case."""
    return frozenset(word.lower() for text in _texts() for word in _WORD.findall(text))


@cache
def said_with_capital() -> frozenset[str]:
    """The words that the program writes with a capital within a sentence."""
    found = frozenset(word for text in _texts() for word in _CAPITAL_WITHIN.findall(text))
    return found | {day.capitalize() for day in MONTHS | DAYS}


@cache
def ordinary() -> frozenset[str]:
    """Words in lower case that a text may hold without meaning anybody."""
    return said() | MONTHS | DAYS | frozenset(_ALSO_NAMES.split())


@cache
def _texts() -> tuple[str, ...]:
    """The texts that stand in the program's modules; docstrings and their examples are none."""
    found: list[str] = []
    folders: list[Traversable] = [files("coachlib")]
    while folders:
        for entry in folders.pop().iterdir():
            if entry.is_dir() and entry.name not in ("workbooks", "__pycache__"):
                folders.append(entry)
            elif entry.name.endswith(".py") and entry.name != "own_words.py":
                found += _LITERAL.findall(_DOCSTRING.sub("", entry.read_text("utf-8")))
    return tuple(found)
