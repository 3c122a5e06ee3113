"""Only marked parts of a notebook reach a page, and the numbers are kept whole."""

import pytest
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook, new_output, new_raw_cell

from coachlib.errors import ReportProblem
from coachlib.report.page.blocks import Html, Numbers
from coachlib.report.page.gate import check_page
from coachlib.report.page.marks import BLOCK_TYPE, NUMBERS_TYPE
from coachlib.report.page.page import CONTENT_POLICY, blocks_of, for_coach_of, numbers_of, render


def shown(**data):
    return new_output("display_data", data={name.replace("_", "/"): value for name, value in data.items()})


def book(*outputs, numbers=0):
    kept = [new_output("execute_result", data={NUMBERS_TYPE: {"n": 1}}) for _ in range(numbers)]
    return new_notebook(cells=[new_code_cell("secret = 1", outputs=[*outputs, *kept])])


BLOCK = new_output("execute_result", data={BLOCK_TYPE: "<h1>A week</h1>", "text/html": "<b>screen</b>"})


def test_only_marked_outputs_are_exported():
    leaks = book(
        BLOCK,
        shown(text_html="<table>leak</table>"),
        shown(text_plain="leak"),
        shown(text_markdown="leak"),
        shown(image_png="leak"),
        new_output("stream", name="stderr", text="leak /home/coach/roster"),
        new_output("error", ename="E", evalue="leak", traceback=["leak"]),
    )
    leaks.cells += [new_markdown_cell("leak"), new_raw_cell("leak")]
    page = render(blocks_of(leaks), title="A week")
    assert page.count("<h1>A week</h1>") == 1
    for gone in ("leak", "secret", "screen"):
        assert gone not in page


def test_a_page_starts_with_its_policy_and_names_its_language():
    page = render(blocks_of(book(BLOCK)), title="<Ada> & week", lang="de")
    assert page.startswith("<!DOCTYPE html>")
    assert page.index("Content-Security-Policy") < page.index("charset") < page.index("<title>")
    assert CONTENT_POLICY in page
    assert '<html lang="de">' in page
    assert "<title>&lt;Ada&gt; &amp; week</title>" in page
    check_page(page)


def test_the_accent_reaches_the_page():
    assert (
        render(blocks_of(book(BLOCK)), title="x", accent="#7a2e8a").count("--accent:#7a2e8a") == 2
    )  # light and print


def test_a_page_without_blocks_is_refused():
    with pytest.raises(ReportProblem, match="the page has 0 blocks"):
        render(blocks_of(book(shown(text_html="<p>"))), title="x")


@pytest.mark.parametrize("count", [0, 2])
def test_exactly_one_set_of_numbers_is_needed(count):
    with pytest.raises(ReportProblem, match=f"shows {count} sets of numbers; exactly 1 is needed"):
        numbers_of(book(numbers=count))


@pytest.mark.parametrize("value", [float("nan"), float("inf"), {1, 2}, object()])
def test_numbers_that_are_no_plain_values_are_refused(value):
    with pytest.raises(ReportProblem, match="the numbers of a report cannot be kept"):
        Numbers({"drift_pct": value})


def test_a_block_is_shown_with_its_style_in_a_notebook():
    bundle = Html("<p>Hello</p>")._repr_mimebundle_()
    assert bundle[BLOCK_TYPE] == "<p>Hello</p>"
    assert bundle["text/html"].startswith("<style>.letter,")
    assert "prefers-color-scheme" not in bundle["text/html"]


def test_what_is_for_the_coach_stays_apart_from_the_numbers():
    kept = Numbers({"n": 1}, for_coach={"unreadable": ["x"]})
    done = new_notebook(
        cells=[new_code_cell(outputs=[new_output("display_data", data=kept._repr_mimebundle_())])]
    )
    assert numbers_of(done) == {"n": 1} == kept.values
    assert for_coach_of(done) == {"unreadable": ["x"]}
    assert blocks_of(done) == []
