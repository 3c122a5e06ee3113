"""The last look at a page before it may be sent: refused when it holds what a letter must not hold."""

import re
import unicodedata
from collections.abc import Iterable, Sequence
from html.parser import HTMLParser

from coachlib.errors import ReportProblem
from coachlib.report.page.page import CONTENT_POLICY

#: Largest page [bytes]. This project's own choice: quick to send and to open where reception is poor.
MAX_BYTES = 300_000

_TAGS = frozenset(
    [
        "html",
        "head",
        "meta",
        "title",
        "style",
        "body",
        "main",
        "header",
        "section",
        "footer",
        "div",
        "p",
        "span",
        "small",
        "strong",
        "em",
        "b",
        "i",
        "br",
        "hr",
        "h1",
        "h2",
        "h3",
        "h4",
        "ul",
        "ol",
        "li",
        "dl",
        "dt",
        "dd",
        "blockquote",
        "q",
        "figure",
        "figcaption",
        "details",
        "summary",
        "sup",
        "sub",
        "abbr",
        "time",
        "table",
        "caption",
        "thead",
        "tbody",
        "tfoot",
        "tr",
        "th",
        "td",
        "colgroup",
        "col",
        "svg",
        "g",
        "path",
        "line",
        "rect",
        "circle",
        "text",
        "tspan",
        "defs",
        "clippath",
    ]
)
_ATTRIBUTES = frozenset(
    [
        "class",
        "style",
        "id",
        "lang",
        "role",
        "title",
        "open",
        "scope",
        "colspan",
        "rowspan",
        "tabindex",
        "datetime",
        "aria-label",
        "aria-hidden",
        "aria-labelledby",
        "http-equiv",
        "content",
        "charset",
        "name",
        "viewbox",
        "transform",
        "d",
        "x",
        "y",
        "x1",
        "x2",
        "y1",
        "y2",
        "r",
        "cx",
        "cy",
        "dx",
        "dy",
        "width",
        "height",
        "fill",
        "stroke",
        "stroke-width",
        "stroke-dasharray",
        "stroke-linecap",
        "stroke-linejoin",
        "opacity",
        "fill-opacity",
        "stroke-opacity",
        "clip-path",
        "font-size",
        "font-weight",
        "font-style",
        "text-anchor",
    ]
)
_EMPTY = frozenset({"meta", "br", "hr", "col"})
#: Inside these stand people's own words, in which a word that looks like a missing value may be one.
_PEOPLE = frozenset({"note", "words"})

_PATH = re.compile(r"(?<![\w/:.<])/[\w.-]+/[\w.-]+|\b[A-Za-z]:\\|\\\\\w+\\|\bfile:", re.IGNORECASE)
_LOADS = re.compile(r"url\s*\((?!\s*#)|@import|expression\s*\(|image-set", re.IGNORECASE)
_ADDRESS = re.compile(r"^\s*(?:[a-z][a-z0-9+.-]*:|//)", re.IGNORECASE)
_UNSET = re.compile(
    r"(?<![\w-])(?:nan|NaN|NaT|undefined|null|None(?! (?:of|was|were|is|are|has|had)\b))(?![\w-])|\[object "
)


_CONFIRM = "Confirm the name if it is meant, or take it out."
_LOOK = "Run the workbook in JupyterLab to see where that comes from."


class _Page(HTMLParser):
    """Walks through a page once and notes what is wrong with it."""

    def __init__(self, links: frozenset[str]) -> None:
        super().__init__(convert_charrefs=True)
        self._links = links
        self.problems: list[str] = []
        self.texts: list[str] = []
        self.seen: set[str] = set()
        self.title = ""
        self.lang = ""
        self.first_meta: dict[str, str] | None = None
        self._open: list[tuple[str, bool]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Look at an element and what is written in it."""
        values = {name: value or "" for name, value in attrs}
        self.seen.add(tag)
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
            people = bool(_PEOPLE & set(values.get("class", "").split()))
            self._open.append((tag, people or any(inside for _, inside in self._open)))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Look at an element that closes itself."""
        self.handle_starttag(tag, attrs)
        self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        """Leave an element."""
        if any(tag == name for name, _ in self._open):
            while self._open.pop()[0] != tag:
                pass

    def handle_data(self, data: str) -> None:
        """Look at text."""
        tag, people = self._open[-1] if self._open else ("", False)
        if tag == "style":
            if _LOADS.search(data):
                self.problems.append("a style that loads something")
            return
        if tag == "title" and not any(name == "svg" for name, _ in self._open):
            self.title += data
        self.texts.append(data)
        self._look_for_paths(data)
        if not people and (unset := _UNSET.search(data.strip())):
            self.problems.append(f"the unset value {unset[0]!r} in {_short(data)!r}")

    def handle_comment(self, data: str) -> None:
        """Note a comment, which says something to nobody."""
        self.problems.append("a comment")

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
            self.texts.append(value)
            self._look_for_paths(value)

    def _look_for_paths(self, text: str) -> None:
        """Note a path of this computer."""
        if found := _PATH.search(text):
            self.problems.append(f"what looks like a file path, in {_short(text, found.start())!r}")


def check_page(
    page: str,
    *,
    other_names: Iterable[str] = (),
    allowed_names: Sequence[str] = (),
    links: Iterable[str] = (),
) -> None:
    """Refuse a page that may not be sent as it is.

    Parameters
    ----------
    page : str
        The whole page.
    other_names : iterable of str
        Names of the roster's other athletes; none of them may stand in this athlete's letter.
    allowed_names : sequence of str
        Those of them that the coach has looked at and lets stand, as in "the ride with Berta".

    links : iterable of str
        Where the page may link to, exactly as written in it; a page for an athlete links nowhere.

    Raises
    ------
    ReportProblem
        When the page holds a script, an event handler, another link or anything else that is not plain text
        and drawing, a file path, an unset value or another athlete's name; when it is larger than
        ``MAX_BYTES``; when its policy, language, title or one first heading is missing.

    Source
    ------
    This project's own choice: what is not known to be harmless is refused.

    Examples
    --------
    >>> check_page("<p onclick='x()'>Hello</p>")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    coachlib.errors.ReportProblem: the letter holds the attribute 'onclick'; ...
    """
    found = _Page(frozenset(links))
    found.feed(page)
    found.close()
    problems = [*found.problems, *_missing(found, page)]
    names = _names_in(found.texts, set(other_names) - set(allowed_names))
    problems += [f"the name of another athlete, {name!r}" for name in names]
    size = len(page.encode())
    if size > MAX_BYTES:
        problems.append(f"{size / 1000:.0f} kB where {MAX_BYTES / 1000:.0f} kB are the most")
    if problems:
        listed = "; ".join(dict.fromkeys(problems))
        cure = _CONFIRM if names else _LOOK
        raise ReportProblem(f"the letter holds {listed}; it may not be sent like this. {cure}")


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


def _names_in(texts: list[str], names: Iterable[str]) -> list[str]:
    """Which of some names stand in the texts as whole words, whatever their case."""
    joined = _plain_letters(" \n ".join(texts))
    return [
        name
        for name in sorted(names)
        if name.strip() and re.search(rf"(?<!\w){re.escape(_plain_letters(name))}(?!\w)", joined)
    ]


def _plain_letters(text: str) -> str:
    """Text as names are compared: one form of every letter, no case, single spaces."""
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())


def _short(text: str, at: int = 0) -> str:
    """The part of a text that shows a problem."""
    return " ".join(text[max(0, at - 20) : at + 40].split())
