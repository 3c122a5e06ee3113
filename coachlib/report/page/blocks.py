"""What the cells of a report's notebook show, and what alone goes into its page.

Every block carries its HTML under a type of its own, ``BLOCK_TYPE``; the page is made of these and of
nothing else, so that a print, a warning or a data frame in a notebook never reaches an athlete. Beside
it stands the same piece with its style for reading in JupyterLab.
"""

import json
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Literal

from coachlib.errors import ReportProblem
from coachlib.report.look.style import notebook_style
from coachlib.report.look.text import escape
from coachlib.report.page.marks import BLOCK_TYPE, DESK_TYPE, FOR_COACH_TYPE, NUMBERS_TYPE
from coachlib.report.words.wording import count

if TYPE_CHECKING:
    import altair as alt

Bundle = dict[str, Any]

_WIDE = (
    "<style>.letter figure.wide{display:block;max-width:44rem}"
    ".letter figure.wide h2{font:600 1.0625rem/1.35 var(--serif);margin:0 0 .55rem}"
    ".letter figure.wide svg.chart,.letter figure.wide figcaption{max-width:none}"
    "@media print{.letter figure.wide{max-width:none}}</style>"
)


class Html(str):
    """A finished piece of a letter; every value in it has been escaped by its maker.

    Examples
    --------
    >>> sorted(Html("<p>A quiet week.</p>")._repr_mimebundle_())
    ['text/html', 'text/plain', 'text/vnd.coachlib.letter']
    """

    __slots__ = ()

    def _repr_mimebundle_(self, **_: Any) -> Bundle:
        """Give Jupyter the piece for the page and the piece for the screen."""
        on_screen = self or '<p class="small">Nothing to say here; the letter leaves it out.</p>'
        return {
            BLOCK_TYPE: str(self),
            "text/html": f'<style>{notebook_style()}</style><div class="letter">{on_screen}</div>',
            "text/plain": "part of a letter",
        }


class Leading(Html):
    """A piece whose links differ: on its page they lead to files, at the desk and in JupyterLab to pages.

    Parameters
    ----------
    on_page, at_desk, in_lab : str
        The same piece, with its links for each.

    Examples
    --------
    >>> shown = Leading("mira", at_desk='<a href="/desk">mira</a>', in_lab="mira")._repr_mimebundle_()
    >>> "/desk" in shown["text/vnd.coachlib.desk"], "/desk" in shown["text/html"]
    (True, False)
    """

    _at_desk: str
    _in_lab: str

    def __new__(cls, on_page: str, *, at_desk: str, in_lab: str) -> "Leading":
        """Keep the three."""
        made = super().__new__(cls, on_page)
        made._at_desk, made._in_lab = at_desk, in_lab
        return made

    def _repr_mimebundle_(self, **options: Any) -> Bundle:
        """Give Jupyter the piece for the page, for the desk and for JupyterLab."""
        page, desk, lab = (
            Html(piece)._repr_mimebundle_(**options) for piece in (self, self._at_desk, self._in_lab)
        )
        return {**page, DESK_TYPE: desk["text/html"], "text/html": lab["text/html"]}


class Figure(Html):
    """A chart with its finding as the title, a caption, and its numbers behind a fold.

    Parameters
    ----------
    chart : alt.Chart
        See `coachlib.report.figures.renderer.svg_of`.
    title : str
        The finding, as a sentence.
    caption : str
        How to read the drawing, in one sentence.
    table : str, optional
        Made by `coachlib.report.look.tables.table`.
    beside : str
        What has to be known to read the finding rightly, as a sentence under the caption.

    Examples
    --------
    >>> import altair as alt, pandas as pd
    >>> dot = alt.Chart(pd.DataFrame({"x": [1]}), description="One dot").mark_point().encode(x="x:Q")
    >>> Figure(dot, title="One dot", caption="Where it is.")[:29]
    '<figure><h3>One dot</h3><svg '
    """

    __slots__ = ()

    def __new__(
        cls,
        chart: "alt.TopLevelMixin",
        *,
        title: str,
        caption: str,
        table: str | None = None,
        beside: str = "",
    ) -> "Figure":
        """Draw the chart and set it with its words."""
        # charts take seconds to import: a page without one must not wait for them
        from coachlib.report.figures.renderer import svg_of

        fold = f"<details><summary>The numbers</summary>{table}</details>" if table else ""
        words = f'<p class="beside">{escape(beside)}</p>' if beside else ""
        return super().__new__(
            cls,
            f"<figure><h3>{escape(title)}</h3>{svg_of(chart)}<figcaption>{escape(caption)}</figcaption>"
            f"{words}{fold}</figure>",
        )


def side_by_side(figures: Sequence[str]) -> str:
    """Figures in two even columns; a phone shows the first and folds the others away.

    The last of an odd number is marked: it has its words beside it instead of a gap.

    Examples
    --------
    >>> side_by_side(["<figure>1</figure>", "<figure>2</figure>"])[-63:]
    'ary>One more figure</summary><figure>2</figure></details></div>'
    >>> side_by_side(["<figure>1</figure>"])
    '<div class="pairs"><figure class="alone">1</figure></div>'
    """
    if not figures:
        return ""
    *before, last = figures
    if len(before) % 2 == 0:
        last = last.replace("<figure>", '<figure class="alone">', 1)
    first, *others = (*before, last)
    counted = count(len(others), "more figure")
    more = (
        f'<details class="more"><summary>{counted[0].upper()}{counted[1:]}</summary>{"".join(others)}</details>'
        if others
        else ""
    )
    return f'<div class="pairs">{first}{more}</div>'


def wide_figure(chart: "alt.TopLevelMixin", *, title: str, caption: str, level: Literal[2, 3] = 3) -> Html:
    """A chart over the whole width of the page, with its finding above and its caption beneath.

    ``level`` is that of its heading, which looks the same on both.

    Notes
    -----
    A trace of an hour or more needs the width that a letter's figures share
    with their captions.

    Examples
    --------
    >>> import altair as alt
    >>> import pandas as pd
    >>> dot = alt.Chart(pd.DataFrame({"x": [1]}), description="One dot").mark_point().encode(x="x:Q")
    >>> "<figcaption>Where it is.</figcaption>" in wide_figure(dot, title="One dot", caption="Where it is.")
    True
    """
    from coachlib.report.figures.renderer import svg_of

    return Html(
        f'{_WIDE}<figure class="wide"><h{level}>{escape(title)}</h{level}>{svg_of(chart)}'
        f"<figcaption>{escape(caption)}</figcaption></figure>"
    )


class Numbers:
    """The numbers behind a letter, kept as JSON beside it, for the same eyes as the letter.

    Parameters
    ----------
    values : mapping
        Names and plain values; a missing number is None.
    for_coach : mapping
        What only the coach is told of; it reaches neither the page nor the JSON.

    Raises
    ------
    ReportProblem
        When a value is not finite or is no plain value.

    Examples
    --------
    >>> Numbers({"drift_pct": 1.3})._repr_mimebundle_()["application/vnd.coachlib.numbers+json"]
    {'drift_pct': 1.3}
    """

    def __init__(self, values: Mapping[str, Any], *, for_coach: Mapping[str, Any] | None = None) -> None:
        try:
            self._text = json.dumps(dict(values), allow_nan=False, ensure_ascii=False, indent=1)
            self._for_coach = json.loads(json.dumps(dict(for_coach or {}), allow_nan=False))
        except (TypeError, ValueError) as problem:
            raise ReportProblem(
                f"the numbers of a report cannot be kept: {problem}. Use plain numbers, texts and lists, and "
                "None where a number is missing."
            ) from problem

    @property
    def values(self) -> dict[str, Any]:
        """The numbers as plain values."""
        return dict(json.loads(self._text))

    def _repr_mimebundle_(self, **_: Any) -> Bundle:
        """Give Jupyter the numbers for the file and a folded view for the screen."""
        summary = "<summary>Numbers kept beside the letter</summary>"
        fold = f"<details>{summary}<pre>{escape(self._text)}</pre></details>"
        return {
            NUMBERS_TYPE: self.values,
            FOR_COACH_TYPE: self._for_coach,
            "text/html": f'<style>{notebook_style()}</style><div class="letter">{fold}</div>',
            "text/plain": "the numbers of a letter",
        }
