"""Whether a text names somebody, read as a person reads it: other spellings, endings and hidden letters included."""

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from coachlib.report.page import own_words

#: Endings that a whole name takes: plural, genitive and dative of some European languages.
_ENDINGS = ("s", "es", "n", "en", "ns", "ens")
#: Endings that stand in the place of a name's last vowel, as in Slavic languages.
_TURNED = ("y", "u", "i", "e", "o", "ou", "ie", "om", "am", "ovi")
#: Parts of a name that name nobody.
_PARTICLES = frozenset(
    "von van der den ter ten zu zum zur af av de del della di da dos das do du la le el al ibn bin bint y of mac mc st"
    " san santa dr prof mr mrs ms jr sr".split()
)
#: What a name is followed by where it begins a sentence; a plain word seldom is.  Own choice, English.
_AFTER_A_NAME = frozenset(
    "and or is was has had says said did does ran rode won came went told joined beat walked swam cycled paced led "
    "runs rides wins comes goes asked asks thinks thought also too helped helps lost trained trains".split()
)
_BEFORE_A_MONTH = frozenset("in of since until till early late mid last next this end".split())

_LOOKALIKES = str.maketrans(
    "аеорсхуіАВЕКМНОРСТХΑΒΕΖΗΙΚΜΝΟΡΤΥΧοøØłŁđĐıæÆœŒ", "aeopcxyiABEKMHOPCTXABEZHIKMNOPTYXooOlLdDiaAoO"
)
_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "å": "aa", "ø": "oe", "æ": "ae", "ß": "ss"})
#: Letters held together by hyphens, points and the like.
_CHAIN = re.compile(r"[^\W\d_]+(?:[-_'’`.·\u2010-\u2015]{1,2}[^\W\d_]+)*")
_LETTERS = re.compile(r"[^\W\d_]+")
_SPACED = re.compile(r"(?<!\w)[^\W\d_](?:[ .*_-]{1,2}[^\W\d_]){2,}(?!\w)")
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")
#: Scripts that set no space between words.
_UNSPACED = re.compile(r"[\u0e00-\u0eff\u3040-\u30ff\u3400-\u9fff\uf900-\ufaff]")
#: Longest run of held-together pieces that is read as one word.
_MOST_PIECES = 4


@dataclass(frozen=True, slots=True)
class Passage:
    """A piece of text, and whether a person typed it or the program says it."""

    text: str
    is_typed: bool


@dataclass(frozen=True, slots=True)
class Named:
    """A name found: as the profile has it, and where it stands."""

    name: str
    place: str


@dataclass(frozen=True, slots=True)
class _Form:
    """One way to write a part of a name: of whom, the part, and whether only a capital makes it a name."""

    person: int
    part: str
    needs_capital: bool


@dataclass(frozen=True, kw_only=True)
class LookOut:
    """Whose names may not stand in a text, and whose may.

    Parameters
    ----------
    others : sequence of str
        Whole names of everybody else, as their profiles have them.
    own : str
        The name of whom the text is for; its parts, which siblings share, are no news.
    allowed : sequence of str
        Names that the coach lets stand in this one text.
    coach : str
        The coach's name, which the program sets into its own words.
    addresses : sequence of str
        Mail addresses of everybody else; an allowed name allows none of them.

    Examples
    --------
    >>> look_out = LookOut(others=["Berta May"], own="Anna Example")
    >>> [found.name for found in look_out.found([Passage("You may ride with Ber-ta's group in May.", True)])]
    ['Berta']
    """

    others: Sequence[str]
    own: str = ""
    allowed: Sequence[str] = ()
    coach: str = ""
    addresses: Sequence[str] = ()

    def found(self, passages: Iterable[Passage]) -> tuple[Named, ...]:
        """Everybody who is named, each once, with the first place.

        Notes
        -----
        A name that is no ordinary word is found in any case, without accents, with
        the commonest endings and with signs or nothing visible between its letters; one that is a word too where
        it is written with a capital and does not stand as the word does.
        """
        named: dict[str, Named] = {}
        for passage in passages:
            text = _clean(passage.text)
            for form, start, _ in self._hits(text, is_typed=passage.is_typed):
                named.setdefault(form.part, Named(form.part, _around(text, start)))
            for address in self.addresses:
                if (at := passage.text.lower().find(address.lower())) >= 0:
                    named.setdefault(address, Named(address, _around(passage.text, at)))
        return tuple(named.values())

    def replaced(self, text: str, by: str) -> str:
        """A text that people typed, with something else where anybody is named.

        Examples
        --------
        >>> LookOut(others=["Zoë Example"]).replaced("Long ride, Zoe's bike", by="[removed]")
        'Long ride, [removed] bike'
        """
        pieces = [_clean(sign) for sign in text]
        origin = [at for at, piece in enumerate(pieces) for _ in piece]
        cleaned = "".join(pieces)
        places = [(start, stop) for _, start, stop in self._hits(cleaned, is_typed=True)]
        for address in self.addresses:
            places += [found.span() for found in re.finditer(re.escape(address), cleaned, re.IGNORECASE)]
        kept, at = [], 0
        for start, stop in sorted((origin[start], origin[stop - 1] + 1) for start, stop in places):
            if start >= at:
                kept += [text[at:start], by]
            at = max(at, stop)
        return "".join([*kept, text[at:]])

    @cached_property
    def _forms(self) -> dict[str, _Form]:
        """Every way to write a part of somebody's name, without accents and capitals."""
        passed = {_plain(form) for name in (self.own, *self.allowed) for form in _ways(name)}
        forms: dict[str, _Form] = {}
        for person, name in enumerate(self.others):
            for way, (part, needs_capital) in _ways(name).items():
                if way not in passed and _plain(part) not in passed:
                    known = forms.get(way)
                    if known is None or known.needs_capital:
                        forms[way] = _Form(person, part, needs_capital)
        return forms

    @cached_property
    def _unspaced(self) -> tuple[tuple[str, _Form], ...]:
        """Names in scripts without spaces, which are looked for inside longer runs."""
        return tuple((way, form) for way, form in self._forms.items() if _UNSPACED.search(way))

    @cached_property
    def _of_coach(self) -> frozenset[str]:
        return frozenset(_ways(self.coach))

    def _hits(self, text: str, *, is_typed: bool) -> Iterator[tuple[_Form, int, int]]:
        """Who is named in a text free of accents, and from where to where."""
        for way, within in self._unspaced:
            for found in re.finditer(re.escape(way), text.lower()):
                yield within, found.start(), found.end()
        before: _Form | None = None
        before_end = 0
        for start, stop, written in _candidates(text):
            form = self._forms.get(written.lower())
            if form is None:
                continue
            follows = (
                before is not None
                and before.person == form.person
                and not text[before_end:start].strip(" -_'.")
            )
            if self._is_name(text, start, stop, written, form, is_typed=is_typed, follows=follows):
                yield form, start, stop
            if written[:1].isupper():
                before, before_end = form, stop

    def _is_name(
        self, text: str, start: int, stop: int, written: str, form: _Form, *, is_typed: bool, follows: bool
    ) -> bool:
        """Whether a word that could be a name is one here."""
        if not is_typed and (written.lower() in self._of_coach or _program_says(text, start, written)):
            return False
        capital = written[:1].isupper()
        if form.needs_capital and not capital:
            return False
        if written.lower() not in own_words.ordinary():
            return True
        if not capital:
            return False
        if follows:
            return True
        return not _stands_as_a_word(text, start, stop, written, form, self._forms)


def _ways(name: str) -> dict[str, tuple[str, bool]]:
    """Every way to write the parts of a name -> the part as written, and whether it needs its capital."""
    ways: dict[str, tuple[str, bool]] = {}
    pieces = [piece for word in name.split() for piece in (word, *re.split(r"[-_'’.]", word))]
    has_capital = any(piece[:1].isupper() for piece in pieces)
    for part in dict.fromkeys(p.strip(".,;()\"'’") for p in pieces):
        is_particle = part.casefold() in _PARTICLES or (has_capital and part[:1].islower())
        plain = {_plain(part), _plain(part.casefold().translate(_UMLAUTS))}
        plain |= {re.sub("([aou])e", r"\1", p) for p in plain if len(p) >= 4}
        for way in plain:
            if len(way) < 2 or is_particle:
                continue
            ways.setdefault(way, (part, len(way) == 2))
            if len(way) >= 3 and not _UNSPACED.search(way):
                for ending in _ENDINGS:
                    ways.setdefault(way + ending, (part, len(way) == 3))
            if len(way) >= 5 and way[-1] in "aeo":
                for ending in _TURNED:
                    ways.setdefault(way[:-1] + ending, (part, True))
    for whole in {_plain(name), _plain(name.casefold().translate(_UMLAUTS))}:
        if " " in name.strip() and len(whole) >= 5:
            ways.setdefault(whole, (name.strip(), False))
    return ways


def _clean(text: str) -> str:
    """Text without accents and without what cannot be seen; capitals stay."""
    if text.isascii():
        return text
    decomposed = unicodedata.normalize("NFKD", text.translate(_LOOKALIKES).replace("ß", "ss"))
    kept = (c for c in decomposed if unicodedata.category(c) not in ("Mn", "Cf", "Cc") or c in "\n\t")
    return "".join(kept)


def _plain(text: str) -> str:
    """Only the letters of a text, without accents and capitals."""
    return "".join(_LETTERS.findall(_clean(text))).lower()


def _candidates(text: str) -> Iterator[tuple[int, int, str]]:
    """Everything that may be read as one word: words, their pieces, and pieces held together by signs."""
    for chain in _CHAIN.finditer(text):
        pieces = [
            (piece.start(), piece.end()) for piece in _LETTERS.finditer(text, chain.start(), chain.end())
        ]
        if len(pieces) == 1 and not _CAMEL.search(chain[0]):
            yield chain.start(), chain.end(), chain[0]
            continue
        parted: list[tuple[int, int]] = []
        for start, stop in pieces:
            edges = [start, *(m.start() for m in _CAMEL.finditer(text, start, stop)), stop]
            edges = sorted({edge for edge in edges if start <= edge <= stop})
            if len(edges) > 2:
                yield start, stop, text[start:stop]
            parted += list(pairwise(edges))
        for first in range(len(parted)):
            written = ""
            for start, stop in parted[first : first + _MOST_PIECES]:
                written += text[start:stop]
                yield parted[first][0], stop, written
    for spaced in _SPACED.finditer(text):
        yield spaced.start(), spaced.end(), "".join(_LETTERS.findall(spaced[0]))


def _program_says(text: str, start: int, written: str) -> bool:
    """Whether the program says a word itself, written like this in such a place."""
    if written in own_words.said_with_capital():
        return True
    is_plain = written.islower() or _begins_sentence(text, start)
    return is_plain and written.lower() in own_words.said()


def _stands_as_a_word(
    text: str, start: int, stop: int, written: str, form: _Form, forms: dict[str, _Form]
) -> bool:
    """Whether a capitalised word that is also a name stands where the word would have its capital too."""
    before = _LETTERS.findall(text[max(0, start - 40) : start])[-3:]
    after = re.match(r"[^\w\n]*([^\W_]+)", text[stop : stop + 40])
    following = after[1] if after else ""
    if len(written) > 1 and written.isupper():  # a line in capitals
        return (bool(before) and before[-1].isupper()) or (len(following) > 1 and following.isupper())
    if written.lower() in own_words.MONTHS and (
        following.isdigit()
        or re.search(r"\d\.?[ \t]*$", text[max(0, start - 6) : start])
        or (before and before[-1].lower() in _BEFORE_A_MONTH)
        or own_words.MONTHS & {word.lower() for word in before}
    ):
        return True
    of_the_same = forms.get(following.lower())
    if of_the_same is not None and of_the_same.person == form.person and following[:1].isupper():
        return False
    if _begins_sentence(text, start):
        possessive = text[stop : stop + 2].lower() in ("'s", "’s")
        return not possessive and following.lower() not in _AFTER_A_NAME
    titled = bool(before) and before[-1][:1].isupper() and before[-1].lower() in own_words.ordinary()
    return titled and text[:start].rstrip().endswith(before[-1])


def _begins_sentence(text: str, start: int) -> bool:
    """Whether nothing of the same sentence stands before a place."""
    line = text[max(0, start - 30) : start].rpartition("\n")[2]
    before = line.rstrip(" \t*_#>\"'“‘(«").rstrip()
    return not before or before[-1] in ".!?:;•·–—-…" or (before[-1].isdigit() and not line.strip().isalpha())


def _around(text: str, at: int) -> str:
    """The words around a place."""
    return " ".join(text[max(0, at - 25) : at + 40].split())
