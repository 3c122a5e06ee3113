"""A note loses nothing silently: every word and number that was typed stands on the page."""

import html
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coachlib.errors import ReportProblem
from coachlib.report.look.markdown import MAX_NOTE, markdown_html


def words_of(text):
    return re.findall(r"[^\W_]+", text)


def shown(note):
    return words_of(html.unescape(re.sub(r"<[^>]*>", " ", markdown_html(note)).replace("\xa0", " ")))


NOTES = [
    "[Mon]: rest", "[Mon]: <rest>\n[Tue]: easy 'long'", "2026. was good", "24. Nov: rest\n26. Nov: easy", "7) x\n9) y",
    "![caption](x.png 'title')", "[map](https://example.org/a?b=c#d 'title')", "<https://example.org> a@b.org",
    "```py info\ncode\n```", "    indented\n    more", "~~~\nx\n~~~", "&copy; &#65; &amp;", "<b>bold</b> <!x> <?y?>",
    "a | b\n--|--\n1 | 2", "Title\n===\nNext\n---", "# H1 #\n####### H7", "> q\n> > r\n- a\n  1. b\n  2. c", "1. a\n2. b",
    "- [ ] todo\n- [x] done", "x[^1]\n\n[^1]: foot", "*[HR]: heart rate", "a\\\nb  \nc", "\\[x\\]: y", "1. a\n\n\n3. b",
]  # fmt: skip


@pytest.mark.parametrize("note", NOTES)
def test_every_word_is_shown(note):
    counted = re.compile(r"(?m)^ *[12]\. (?=[abc]$)")  # shown by the list itself
    assert shown(note) == words_of(counted.sub("", note) if "3. b" not in note else note)


@given(
    st.lists(
        st.sampled_from(
            ["word ", "Mon", "[", "]", "(", ")", ": ", "!", "*", "**", "_", "`", "```", "\n", "\n\n", "  \n", "    ", ">", "> ",
             "- ", "+ ", "#", "# ", "---\n", "=", "<", ">", "<b>", "&amp;", "&", ";", "\\", "|", "~~", "3. ", "2026. ", '"', "'", "^", "é"]
        ),
        max_size=40,
    ).map("".join)
)  # fmt: skip
@settings(max_examples=400)
def test_no_arrangement_of_marks_swallows_a_word(note):
    typed = words_of(note)
    kept = shown(note)
    numbered = [w for w in typed if not w.isdigit()]
    assert [w for w in kept if not w.isdigit()] == numbered
    if any(w.isdigit() for w in typed) and not re.search(r"(?m)^[\s>*+-]*1[.)]\s", note):
        assert [w for w in kept if w.isdigit()] == [w for w in typed if w.isdigit()]


def test_a_note_of_any_length_is_kept_or_refused_in_words():
    longest = "word " * (MAX_NOTE // 5)
    assert len(shown(longest)) == MAX_NOTE // 5
    with pytest.raises(ReportProblem, match=r"the note has 8,005 characters; 8,000 are the most.*Shorten it"):
        markdown_html(longest + "word ")
