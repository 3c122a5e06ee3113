"""Text from people: what reaches a page of what they typed."""

import nh3
import pytest

from coachlib.errors import BadArgument
from coachlib.report.look.markdown import NOTE_TAGS, markdown_html, words_html
from coachlib.report.look.tables import table
from coachlib.report.look.text import MAX_TEXT, clean_text, escape

HOSTILE = (
    "<script>document.title='ran'</script>",
    "<img src=x onerror=\"document.title='ran'\">",
    "<svg onload=\"document.title='ran'\"></svg>",
    "</script><script>document.title='ran'</script>",
    '" onmouseover="document.title=\'ran\'" x="',
    "[click](javascript:document.title='ran')",
    "![x](https://example.org/x.png)",
    "<javascript:document.title='ran'>",
    "<https://example.org/autolink>",
    "[ref]\n\n[ref]: javascript:document.title='ran'",
    "`<b>code</b>`\n\n```\n<script>x</script>\n```",
    "<style>body{background:url(https://example.org)}</style>",
    "{{ 7*7 }}{% raw %}",
)


@pytest.mark.parametrize("text", HOSTILE)
def test_a_note_is_made_of_a_few_elements_without_attributes(text):
    made = markdown_html(text)
    assert made == nh3.clean(made, tags=set(NOTE_TAGS), attributes={}, url_schemes=set())
    assert "<a" not in made
    assert "<script" not in made
    assert "<img" not in made


@pytest.mark.parametrize("text", HOSTILE)
def test_remarks_cells_and_attributes_hold_no_markup(text):
    for made in (escape(text), words_html(text).replace("<br>", "")):
        assert not set('<>"') & set(made)
    made = table([text, "min"], [[text, text]], caption=text)
    assert made.count("<") == table(["a", "min"], [["a", "a"]], caption="a").count("<")


@pytest.mark.parametrize("code", [0, 7, 8, 0x0B, 0x1B, 0x7F, 0x9F, 0xFFFE, 0xD800, 0x202E, 0x2066])
def test_characters_no_page_can_carry_are_taken_out(code):
    assert clean_text(f"a{chr(code)}b") == "ab"


def test_letters_of_every_script_and_line_ends_stay():
    text = "Åsa Łuczak 大翔 \U0001f3d4 5\u00a0km\n\tend"
    assert clean_text(text) == text


def test_far_too_long_text_is_cut():
    assert len(clean_text("word " * MAX_TEXT)) <= MAX_TEXT
    assert clean_text("word " * MAX_TEXT).endswith("…")


def test_a_note_keeps_its_paragraphs_emphasis_and_lists():
    made = markdown_html("# Head\n\nOne *two* **three**.\n\n1. a\n2. b\n\n> said")
    assert made.startswith("<p><strong>Head</strong></p>")
    assert "<em>two</em> <strong>three</strong>" in made
    assert "<ol>" in made
    assert "<blockquote>" in made


def test_a_table_names_its_rows_and_columns():
    made = table(["Day", "min"], [["Mon", 30], ["Tue", 5]], caption="Minutes")
    assert made.count('scope="col"') == 2
    assert made.count('scope="row"') == 2


def test_a_ragged_table_is_refused():
    with pytest.raises(BadArgument, match="row 2 of the table 'Minutes' has 1 cells; its head has 2"):
        table(["Day", "min"], [["Mon", 30], ["Tue"]], caption="Minutes")
