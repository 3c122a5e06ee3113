"""A letter as the workbook makes it, without a kernel, and what a reader sees of it."""

import nbformat

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.week_ahead import week_ahead
from coachlib.report.page.page import render
from coachlib.report.workbooks.books import book_path

#: The page's visible text, folds closed, without the coach's note, the plan and the athlete's own words; what is written in drawings counts.
_SEEN = """() => {
    const copy = document.querySelector('main').cloneNode(true);
    document.querySelector('main').after(copy);
    copy.querySelectorAll('.note, .words q, .meant, .plan, details > :not(summary)').forEach(e => e.remove());
    copy.querySelectorAll('svg').forEach(svg => {
        const words = document.createElement('p');
        words.textContent = [...svg.querySelectorAll('text')].map(t => t.textContent).join(' ');
        svg.replaceWith(words);
    });
    const text = copy.innerText;
    copy.remove();
    return text;
}"""


def letter_page(monday: AthleteWeek) -> str:
    """The page of the weekly workbook's own cells, for results that were built instead of read."""
    known: dict[str, object] = {
        "monday": monday,
        "this_week": monday.week,
        "season": monday.season,
        "plan": week_ahead(monday),
    }
    blocks = []
    for cell in nbformat.read(book_path("weekly_report"), 4).cells:
        if cell.cell_type != "code" or cell.source.startswith(("roster =", "monday =")):
            continue
        if cell.source.startswith("from "):
            exec(cell.source, known)
        elif isinstance(shown := eval(cell.source, known), str):
            blocks.append(shown)
    return render(blocks, title=monday.week.athlete.name)


def words_seen(page) -> list[str]:
    """The words that a phone shows besides the coach's note, the plan and the athlete's remarks."""
    return page.evaluate(_SEEN).split()
