"""Decisions written back: what did not change stays as it was, comments included."""

import re
import tomllib

import numpy as np
import pytest

from coachlib.errors import RosterProblem
from coachlib.files.roster.forms import fill
from coachlib.files.roster.rewriting import rewritten
from coachlib.files.roster.tomltext import decoded, parsed, pieces
from coachlib.records.decisions import Decisions, Exclusion, Stage, Window

SHA = "0" * 64
TEXT = f"""\
# opened on a Monday
schema = 1
fit_sha256 = "{SHA}"
kind = "drift test"   # agreed with her

# the hour on the belt
[[window]]
start_s = 1800.0   # after the drink
stop_s = 5400.0
purpose = "steady"
note = \"\"\"
two lines,
[[window]]
inside a text\"\"\"

# a greeting here
[[exclusion]]
start_s = 2412.0
stop_s = 2440.0
quantity = "hr_bpm"
reason = "greeting"
found_by = "coach"

# and here the strap was dry
[[exclusion]]
start_s = 3000.0
stop_s = 3060.0
reason = "static"

# nothing below this line
"""


def said_by(text):
    typed = tomllib.loads(text)
    typed.pop("schema")
    return fill(Decisions, typed).record


@pytest.fixture
def old():
    return said_by(TEXT)


def test_pieces_put_together_are_the_file():
    assert pieces(TEXT).text == TEXT
    assert [entry.kind for entry in pieces(TEXT).entries] == ["window", "exclusion", "exclusion"]


def test_nothing_changed_is_nothing_written(old):
    assert rewritten(TEXT, old, old) == TEXT
    assert rewritten(TEXT, old, said_by(TEXT)) == TEXT


def test_a_moved_window_keeps_its_comments(old):
    moved = old.windows[0].model_copy(update={"start_s": 1860.0})
    text = rewritten(TEXT, old, old.model_copy(update={"windows": (moved,)}))
    assert text == TEXT.replace("start_s = 1800.0   # after", "start_s = 1860.0   # after")


def test_another_kind_changes_one_word(old):
    text = rewritten(TEXT, old, old.model_copy(update={"kind": "long"}))
    assert text == TEXT.replace('"drift test"', '"long"')


def test_a_kind_taken_back_leaves_the_rest(old):
    text = rewritten(TEXT, old, old.model_copy(update={"kind": None}))
    assert text == TEXT.replace('kind = "drift test"   # agreed with her\n', "")


def test_a_removed_exclusion_takes_only_its_own_comment(old):
    text = rewritten(TEXT, old, old.model_copy(update={"exclusions": old.exclusions[1:]}))
    start, stop = TEXT.index("\n# a greeting"), TEXT.index("\n# and here the strap")
    assert text == TEXT[:start] + TEXT[stop:]


def test_a_new_exclusion_stands_among_the_others(old):
    new = Exclusion(start_s=100, stop_s=130, reason="rise", found_by="detector 1")
    decided = old.model_copy(update={"exclusions": (*old.exclusions, new)})
    text = rewritten(TEXT, old, decided)
    assert said_by(text) == decided
    assert text.endswith('found_by = "detector 1"\n\n# nothing below this line\n')


def test_order_is_kept(old):
    decided = old.model_copy(update={"exclusions": old.exclusions[::-1]})
    assert said_by(rewritten(TEXT, old, decided)) == decided


def test_all_can_be_removed_and_written_anew(old):
    bare = Decisions(fit_sha256=SHA)
    text = rewritten(TEXT, old, bare)
    assert said_by(text) == bare
    assert "# opened on a Monday" in text
    assert said_by(rewritten(text, bare, old)) == old


def test_a_table_written_in_one_line_is_written_out():
    text = f'schema = 1\nfit_sha256 = "{SHA}"\nwindow = [{{start_s = 0, stop_s = 60}}] # short\n'
    old = said_by(text)
    decided = old.model_copy(update={"windows": (Window(start_s=0, stop_s=90),)})
    written = rewritten(text, old, decided)
    assert said_by(written) == decided
    assert "[[window]]" in written


def test_windows_line_endings_stay(old):
    text = TEXT.replace("\n", "\r\n")
    stage = Stage(start_s=0, stop_s=900, speed_mps=2.5)
    moved = old.windows[0].model_copy(update={"stop_s": 5000.0})
    written = rewritten(
        text, said_by(text), said_by(text).model_copy(update={"windows": (moved,), "stages": (stage,)})
    )
    assert written.count("\n") == written.count("\r\n") > text.count("\n")
    assert said_by(written).stages == (stage,)


def test_a_new_file_reads_back():
    decided = Decisions(
        fit_sha256=SHA,
        kind="step test",
        part=1,
        windows=(Window(start_s=1, stop_s=2, purpose="trial", note='"so"'),),
        exclusions=(Exclusion(start_s=3, stop_s=4),),
        stages=(Stage(start_s=0, stop_s=300, power_w=150), Stage(start_s=300, stop_s=600, power_w=180)),
    )
    text = rewritten("schema = 1\n", None, decided)
    assert said_by(text) == decided
    assert text.startswith("schema = 1\nfit_sha256")


def some_decisions(rng):
    """Any valid decisions: stretches in order, now and then without a note or a setting."""

    def stretches(model, make):
        edges = np.sort(rng.choice(5000, size=2 * rng.integers(0, 5), replace=False)) / 2
        return tuple(
            model(start_s=a, stop_s=b, **make()) for a, b in zip(edges[::2], edges[1::2], strict=True)
        )

    return Decisions(
        fit_sha256=SHA,
        kind=[None, "easy", "drift test"][rng.integers(3)],
        part=[None, 0, 1][rng.integers(3)],
        windows=stretches(Window, lambda: {"note": ["", 'say "so"', "a\n[[stage]]\nb"][rng.integers(3)]}),
        exclusions=stretches(Exclusion, lambda: {"reason": ["", "talking # a lot"][rng.integers(2)]}),
        stages=stretches(
            Stage, lambda: [{"power_w": 150.0}, {"speed_mps": 2.5, "grade": 0.05}][rng.integers(2)]
        ),
    )


@pytest.mark.parametrize("seed", range(60))
def test_whatever_is_decided_reads_back_and_comments_stay(seed):
    rng = np.random.default_rng(seed)
    decided = some_decisions(rng)
    text = rewritten("# top\nschema = 1\n", None, decided)
    text = re.sub(
        r"^\[\[(window|exclusion)\]\]$(?=\nstart_s)", r"# mine\n[[\1]]  # beside", text, flags=re.MULTILINE
    )
    text += "# last\n"
    for _ in range(3):
        following = some_decisions(rng)
        if rng.random() < 0.5:
            following = following.model_copy(update={"windows": decided.windows})
        written = rewritten(text, decided, following)
        assert said_by(written) == following
        assert written.startswith("# top\n")
        assert written.endswith("# last\n")
        kept = sum(entry.count("# mine") for entry in pieces(text).of("window"))
        if following.windows == decided.windows:
            assert sum(entry.count("# mine") for entry in pieces(written).of("window")) == kept
        text, decided = written, following


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("name = Mira\n", "line 1 cannot be read: name = Mira"),
        ('name = "Mira"\n\nhr_max_bpm 186\n', "line 3 cannot be read: hr_max_bpm 186"),
        ('name = "Mira"\nname = "Mo"\n', "line 2 cannot be read"),
        ('sports = ["running"\n', "line 1 cannot be read"),
    ],
)
def test_what_is_no_toml_is_told_with_its_line(text, sentence):
    with pytest.raises(RosterProblem, match=f"athlete.toml of mira, {sentence}"):
        parsed(text, "athlete.toml of mira")


def test_letters_in_an_old_code_page_are_told_with_their_line():
    with pytest.raises(RosterProblem, match=r"notes, line 2: a letter is not written in UTF-8"):
        decoded("one\nJürgen\n".encode("cp1252"), "notes")
    assert decoded("Jürgen".encode("utf-8-sig"), "notes") == "Jürgen"
