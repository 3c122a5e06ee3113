"""The last look at a page and its numbers before they may be sent: refused when they hold what they must not hold."""

import re
from collections.abc import Iterable, Iterator, Mapping
from html.parser import HTMLParser
from typing import Any

from coachlib.errors import ReportProblem
from coachlib.report.page.marks import TYPED_CLASSES, TYPED_TAGS
from coachlib.report.page.names import LookOut, Passage
from coachlib.report.page.page import CONTENT_POLICY

#: Largest page [bytes]. This project's own choice: quick to send and to open where reception is poor.
MAX_BYTES = 300_000

_TAGS = frozenset(
    "html head meta title style body main header section footer div p span small strong em b i br hr h1 h2 h3 h4 "
    "ul ol li dl dt dd blockquote q figure figcaption details summary sup sub abbr time table caption thead tbody "
    "tfoot tr th td colgroup col svg g path line rect circle text tspan defs clippath".split()
)
_ATTRIBUTES = frozenset(
    "class style id lang role title open scope colspan rowspan tabindex datetime aria-label aria-hidden "
    "aria-labelledby http-equiv content charset name viewbox transform d x y x1 x2 y1 y2 r cx cy dx dy width height "
    "fill stroke stroke-width stroke-dasharray stroke-linecap stroke-linejoin opacity fill-opacity stroke-opacity "
    "clip-path font-size font-weight font-style text-anchor".split()
)
_EMPTY = frozenset({"meta", "br", "hr", "col"})
#: Between these no word ends.
_INLINE = frozenset("b i em strong span small sup sub abbr q time a tspan".split())
#: Numbers' names under which words stand that people typed.
_TYPED_KEYS = frozenset("note remarks planned kind recording exclusions equipment caffeine".split())

_PATH = re.compile(r"(?<![\w/:.<])/[\w.-]+/[\w.-]+|\b[A-Za-z]:\\|\\\\\w+\\|\bfile:", re.IGNORECASE)
#: In people's own words a slash is common; there only what looks like this computer's folders is refused.
_PATH_TYPED = re.compile(
    r"(?<!\w)/(?:home|Users|root|tmp|var|mnt|media|Volumes)/|\b[A-Za-z]:\\|\\\\\w+\\|\bfile://", re.IGNORECASE
)
_LOADS = re.compile(r"url\s*\((?!\s*#)|@import|expression\s*\(|image-set", re.IGNORECASE)
_ADDRESS = re.compile(r"^\s*(?:[a-z][a-z0-9+.-]*:|//)", re.IGNORECASE)
_UNSET = re.compile(
    r"(?<![\w-])(?:nan|NaN|NaT|undefined|null|None(?! (?:of|was|were|is|are|has|had)\b))(?![\w-])|\[object "
)

#: What to do about another athlete's name where nothing better is known.
TAKE_OUT = "Take the name out."
_LOOK = "Run the workbook in JupyterLab to see where that comes from."


class _Page(HTMLParser):
    """Walks through a page once and notes what is wrong with it, and what it says in whose words."""

    def __init__(self, links: frozenset[str]) -> None:
        super().__init__(convert_charrefs=True)
        self._links = links
        self.problems: list[str] = []
        self.passages: list[Passage] = []
        self.title = ""
        self.lang = ""
        self.first_meta: dict[str, str] | None = None
        self._open: list[tuple[str, bool]] = []
        self._pieces: list[str] = []
        self._pieces_typed = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Look at an element and what is written in it."""
        values = {name: value or "" for name, value in attrs}
        if tag not in _INLINE:
            self._end_passage()
        if tag == "a" and self._links:
            self._look_at_link(values)
            values.pop("href", None)
        elif tag not in _TAGS:
            self.problems.append(f"a {tag!r} element")
        for name, value in values.items():
            self._look_at(name, value)
        if tag == "html":
            self.lang = values.get("lang", "")
        if tag == "meta" and self.first_meta is None:
            self.first_meta = values
        if tag not in _EMPTY:
            typed = tag in TYPED_TAGS or bool(TYPED_CLASSES & set(values.get("class", "").split()))
            self._open.append((tag, typed or self._in_typed))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Look at an element that closes itself."""
        self.handle_starttag(tag, attrs)
        if tag not in _EMPTY:
            self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        """Leave an element."""
        if tag not in _INLINE:
            self._end_passage()
        if any(tag == name for name, _ in reversed(self._open)):
            while self._open.pop()[0] != tag:
                pass

    def handle_data(self, data: str) -> None:
        """Look at text."""
        tag = self._open[-1][0] if self._open else ""
        if tag == "style":
            if _LOADS.search(data):
                self.problems.append("a style that loads something")
            return
        if tag == "title" and not any(name == "svg" for name, _ in self._open):
            self.title += data
        if self._in_typed != self._pieces_typed:
            self._end_passage()
        self._pieces.append(data)
        self._pieces_typed = self._in_typed
        self._look_for_paths(data, typed=self._in_typed)
        if not self._in_typed and (unset := _UNSET.search(data.strip())):
            self.problems.append(f"the unset value {unset[0]!r} in {_short(data)!r}")

    def handle_comment(self, data: str) -> None:
        """Note a comment, which says something to nobody."""
        self.problems.append("a comment")

    def close(self) -> None:
        """End the page."""
        super().close()
        self._end_passage()

    @property
    def _in_typed(self) -> bool:
        """Whether people's own words are read just now; everything inside them is theirs too."""
        return bool(self._open) and self._open[-1][1]

    def _end_passage(self) -> None:
        """Keep what was read since the last one, as it reads with the markup gone, and with it as a space."""
        if self._pieces:
            self.passages.append(Passage("".join(self._pieces), self._pieces_typed))
            if len(self._pieces) > 1:
                self.passages.append(Passage(" ".join(self._pieces), self._pieces_typed))
        self._pieces = []

    def _look_at_link(self, values: dict[str, str]) -> None:
        """A link may lead nowhere but where this page was told it may."""
        if values.get("href") not in self._links:
            self.problems.append(f"a link to {_short(values.get('href', ''))!r}")

    def _look_at(self, name: str, value: str) -> None:
        """Look at one attribute."""
        if name not in _ATTRIBUTES:
            self.problems.append(f"the attribute {name!r}")
        elif name == "style" and _LOADS.search(value):
            self.problems.append("a style that loads something")
        elif name in ("id", "class", "d", "transform", "content", "viewbox", "style", "clip-path"):
            return
        elif _ADDRESS.match(value) and name not in ("aria-label", "title"):
            self.problems.append(f"the address {value!r}")
        else:
            self.passages.append(Passage(value, is_typed=False))
            self._look_for_paths(value, typed=False)

    def _look_for_paths(self, text: str, *, typed: bool) -> None:
        """Note a path of this computer."""
        if found := path_in(text, typed=typed):
            self.problems.append(f"what looks like a file path, in {found!r}")


def check_page(
    page: str,
    *,
    numbers: Mapping[str, Any] | None = None,
    look_out: LookOut | None = None,
    links: Iterable[str] = (),
    name_cure: str = TAKE_OUT,
) -> None:
    """Refuse a page, and the numbers beside it, that may not be sent as they are.

    Parameters
    ----------
    page : str
        The whole page.
    numbers : mapping, optional
        What is kept beside it.
    look_out : LookOut, optional
        Whose names may not stand in either; None for a page of the coach's own.
    links : iterable of str
        Where the page may link to, exactly as written in it; a page for an athlete links nowhere.
    name_cure : str
        What to do about a name, as a sentence.

    Raises
    ------
    ReportProblem
        When the page holds a script, an event handler, another link or anything else that is not plain text
        and drawing, a file path, an unset value or another athlete's name; when it is larger than
        ``MAX_BYTES``; when its policy, language, title or one first heading is missing.

    Notes
    -----
    What is not known to be harmless is refused.

    Examples
    --------
    >>> check_page("<p onclick='x()'>Hello</p>")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    coachlib.errors.ReportProblem: the page holds the attribute 'onclick'; ...
    """
    found = _Page(frozenset(links))
    found.feed(page)
    found.close()
    beside = list(passages_of(numbers or {}))
    problems = [*found.problems, *_missing(found, page)]
    problems += [
        f"what looks like a file path, in {path!r}, among its numbers"
        for passage in beside
        if (path := path_in(passage.text, typed=passage.is_typed))
    ]
    size = len(page.encode())
    if size > MAX_BYTES:
        problems.append(f"{size / 1000:.0f} kB where {MAX_BYTES / 1000:.0f} kB are the most")
    refuse("the page", problems, [*found.passages, *beside], look_out, name_cure=name_cure, cure=_LOOK)


def said_by(page: str) -> list[Passage]:
    """What a page says, in whose words, as it reads with the markup gone.

    Examples
    --------
    >>> said_by("<p>Rest, <q>with B<b>e</b>rta</q></p>")[-1].text
    'with B e rta'
    """
    found = _Page(frozenset())
    found.feed(page)
    found.close()
    return found.passages


def refuse(
    what: str,
    problems: Iterable[str],
    passages: Iterable[Passage],
    look_out: LookOut | None,
    *,
    name_cure: str,
    cure: str,
) -> None:
    """Refuse what has problems, or names somebody whom nobody may name in it.

    Raises
    ------
    ReportProblem
        With everything that was found, and what to do about it.
    """
    names = look_out.found(passages) if look_out is not None else ()
    problems = [*problems, *(f"the name of another athlete, {n.name!r}, in “{n.place}”" for n in names)]
    if problems:
        listed = "; ".join(dict.fromkeys(problems))
        raise ReportProblem(
            f"{what} holds {listed}; it may not be kept or sent like this. {name_cure if names else cure}"
        )


def passages_of(numbers: Any, key: str = "") -> Iterator[Passage]:
    """The texts among some numbers, their names left aside."""
    if isinstance(numbers, Mapping):
        for name, value in numbers.items():
            yield from passages_of(value, name)
    elif isinstance(numbers, list | tuple):
        for value in numbers:
            yield from passages_of(value, key)
    elif isinstance(numbers, str):
        yield Passage(numbers, is_typed=key in _TYPED_KEYS)


def path_in(text: str, *, typed: bool) -> str:
    """Where a text holds a path of this computer; "" where it holds none."""
    found = (_PATH_TYPED if typed else _PATH).search(text)
    return _short(text, found.start()) if found else ""


def _missing(found: _Page, page: str) -> list[str]:
    """What every page needs and this one lacks."""
    policy = {"http-equiv": "Content-Security-Policy", "content": CONTENT_POLICY}
    lacks = [
        ("no document type at its start", page.lstrip()[:15].lower() == "<!doctype html>"),
        ("no content policy as the first entry of its head", found.first_meta == policy),
        ("no language", bool(found.lang)),
        ("no title", bool(found.title.strip())),
        ("no first heading, or several", len(re.findall(r"<h1[\s>]", page)) == 1),
    ]
    return [words for words, fulfilled in lacks if not fulfilled]


def _short(text: str, at: int = 0) -> str:
    """The part of a text that shows a problem."""
    return " ".join(text[max(0, at - 20) : at + 40].split())
